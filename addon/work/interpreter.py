"""The Python that runs the process beside the modeller: the host's own, never whichever stands first on a path.

A host with Python inside it says in `sys.executable` what it found on the user's path, which may be another Python,
another version, or the host itself. What belongs to the host lies under its own prefix; the rest is only asked after.
Each is tried once: it must be of the same kind and version, since it is to load the host's wheels.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from ufh_core.basis.errors import UfhError

PATIENCE_S = 20.0
QUESTION = "import sys; print(sys.implementation.cache_tag, sys.maxsize)"


@cache
def interpreter() -> str:
    """Path of the Python to start. Raises UfhError, one line, where the host has none that fits."""
    tried = list(dict.fromkeys(candidates()))
    for path in tried:
        if _fits(path):
            return path
    version = f"{sys.version_info.major}.{sys.version_info.minor}"
    raise UfhError(
        f"no Python {version} of the modeller's own was found ({', '.join(tried) or 'nothing'} tried): install the "
        "modeller anew from its maker's archive, or switch off In the background"
    )


def candidates() -> Iterator[str]:
    """Where the host's Python may be, the likeliest first."""
    version = f"{sys.version_info.major}.{sys.version_info.minor}"
    names = ("python.exe",) if os.name == "nt" else (f"python{version}", "python3", "python")
    for prefix in (sys.prefix, sys.base_prefix):
        for folder in ("bin", "."):
            yield from (str(Path(prefix) / folder / name) for name in names)
    for found in (sys.executable, getattr(sys, "_base_executable", None)):
        if found:
            yield found


def _fits(path: str) -> bool:
    """Whether a file is a Python whose wheels are the host's; the host's own programme is not asked: it would open."""
    if not (Path(path).name.lower().startswith("python") and os.access(path, os.X_OK) and Path(path).is_file()):
        return False
    try:
        told = subprocess.run(
            [path, "-I", "-c", QUESTION],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=PATIENCE_S,
            check=False,
            creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
        )
    except (OSError, subprocess.SubprocessError):
        return False
    return told.returncode == 0 and told.stdout.split() == [str(sys.implementation.cache_tag), str(sys.maxsize)]
