"""A text file that is there whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from ufh_core.basis.errors import OutputError


def write_whole(out: Path, text: str) -> None:
    """Write a text file by way of a neighbour that is renamed when it is complete.

    Raises `OutputError` with one line when the folder is missing or read-only or the disk is full.
    """
    beside: Path | None = None
    try:
        with tempfile.NamedTemporaryFile("w", encoding="utf-8", dir=out.parent, suffix=".part", delete=False) as file:
            beside = Path(file.name)
            file.write(text)
        beside.chmod(0o666 & ~_umask())
        os.replace(beside, out)
    except OSError as error:
        if beside is not None:
            beside.unlink(missing_ok=True)
        why = error.strerror or type(error).__name__
        raise OutputError(
            f"{out}: cannot be written ({why}); check the folder, its permissions and free space"
        ) from None


def _umask() -> int:
    """The process's file mode mask."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
