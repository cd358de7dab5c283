"""A child process for the tests: appends reps to a log and prints each uuid once `append` has returned.

python -m tests.store.appender LOG NAME COUNT      (COUNT 0: until killed)
"""

import sys
from datetime import UTC, datetime
from itertools import count
from pathlib import Path

from coach.practice.rep import Rep
from coach.store.log import Log


def main() -> None:
    path, name, wanted = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
    log = Log.open(path)
    for k in range(wanted) if wanted else count():
        uuid = f"{name}-{k}"
        rep = Rep(
            uuid, datetime.now(UTC), "UTC", "etude", "c0ffee", "s", "1.1", "2.1", "1", "2", 60.0, "quarter", "clean"
        )
        log.append(rep.to_entry())
        sys.stdout.write(f"{uuid}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
