"""`coach play` through a real PulseAudio: it sounds, and Ctrl-C ends the sound."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from tests.cli.conftest import Coach, command, environment
from tests.servers import RATE_HZ, pulse, recording, wait_until

pytestmark = [
    pytest.mark.server,
    pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX"),
]
SILENCE = 1e-4


def test_it_sounds_and_ctrl_c_ends_it(coach: Coach, home: Path, tmp_path: Path) -> None:
    coach("demo")
    (home / "config" / "settings.toml").write_text('output = "audio"\n')
    with pulse(tmp_path) as server, recording(server) as record:
        process = subprocess.Popen(
            command("play", "demo", "--measures", "11-13", "--loop"),
            env={**environment(home), **server.environment},
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )
        try:
            wait_until(lambda: np.abs(record.samples).max(initial=0) > 0.01, 30, "sound")
            os.killpg(process.pid, signal.SIGINT)
            _, err = process.communicate(timeout=20)
        finally:
            process.kill()
            process.wait()
        assert process.returncode == 130 and "Traceback" not in err
        ended = record.frames
        wait_until(lambda: record.frames > ended + RATE_HZ, what="a second more")
        assert np.abs(record.samples[ended + RATE_HZ // 4 :]).max() < SILENCE


def test_a_stretch_plays_to_its_end(coach: Coach, home: Path, tmp_path: Path) -> None:
    """Two measures of nine eighths at twice dotted quarter = 50 last 3.6 s (arithmetic: 6 beats of 0.6 s)."""
    coach("demo")
    (home / "config" / "settings.toml").write_text('output = "audio"\n')
    with pulse(tmp_path) as server, recording(server) as record:
        done = subprocess.run(
            command("play", "demo", "--measures", "1-2", "--percent", "200"),
            env={**environment(home), **server.environment},
            capture_output=True,
            text=True,
            timeout=60,
        )
        assert (done.returncode, done.stderr.splitlines()) == (0, ["measure 1", "measure 2"])
        sounding = np.flatnonzero(np.abs(record.samples) > SILENCE)
        assert (sounding[-1] - sounding[0]) / RATE_HZ == pytest.approx(3.6, abs=0.4)
