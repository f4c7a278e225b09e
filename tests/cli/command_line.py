"""The command in a process of its own, as a user runs it."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SAMPLES = ROOT / "sample_models"
RUN = "from ufh_core.cli import main\nmain()"
ANY_TIME = "1700000000"


def warmloom(
    *arguments: object, most_bytes: int | None = None, before: str = "", timeout_s: float = 300
) -> subprocess.CompletedProcess[str]:
    """Run the command; `before` is Python that runs first in there, `most_bytes` the size that a file may grow to."""

    def limit() -> None:
        if most_bytes is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, most_bytes))

    fixed = {"PYTHONDONTWRITEBYTECODE": "1", "PYTHONIOENCODING": "utf-8", "SOURCE_DATE_EPOCH": ANY_TIME}
    return subprocess.run(
        [sys.executable, "-c", f"{before}\n{RUN}", *map(str, arguments)],
        cwd=ROOT,
        env=os.environ | fixed,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=timeout_s,
        preexec_fn=limit,
        check=False,
    )
