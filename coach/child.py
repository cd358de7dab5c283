"""How a process of our own is started."""

import os
import subprocess
import sys
from pathlib import Path
from typing import Any


def surroundings() -> dict[str, Any]:
    """Arguments for Popen: away from the terminal's Ctrl-C, without a window, finding this very coach."""
    environment = dict(os.environ)
    root = Path(__file__).resolve().parents[1]
    if (root / "pyproject.toml").exists():  # a checkout that need not be installed
        environment["PYTHONPATH"] = os.pathsep.join(filter(None, (environment.get("PYTHONPATH"), str(root))))
    if sys.platform == "win32":
        flags = subprocess.CREATE_NO_WINDOW | subprocess.CREATE_NEW_PROCESS_GROUP
        return {"env": environment, "creationflags": flags}
    return {"env": environment, "start_new_session": True}
