"""Photographs by reference: a digest when they are recorded, and whether the file is still the same."""

from __future__ import annotations

import hashlib
from pathlib import Path

from ufh_core.records.kinds import Photograph
from ufh_core.records.readings import RecordError
from ufh_core.records.verdicts import OWN, Check, Outcome, judged


def referred_to(folder: Path, file: str) -> tuple[str, str]:
    """(path from the folder on, SHA-256) of a photograph.

    Raises: RecordError where it is not in the folder or cannot be read.
    """
    path = Path(file) if Path(file).is_absolute() else folder / file
    if not path.exists() and Path(file).exists():
        path = Path(file)
    try:
        within = path.resolve().relative_to(folder.resolve())
    except ValueError:
        raise RecordError(f"--file {file}: not in {folder}; copy it there, so that it stays with the records") from None
    try:
        return within.as_posix(), _digest(path)
    except OSError as error:
        raise RecordError(f"--file {file}: cannot be read: {error.strerror or error}") from None


def photograph_check(folder: Path, photograph: Photograph) -> Check:
    """Whether the file is still there and unchanged."""
    try:
        same = _digest(folder / photograph.file) == photograph.sha256
    except OSError:
        return Check(Outcome.MISSING, f"{photograph.file} is not there any more", OWN)
    return judged(same, f"{photograph.file} {'is as recorded' if same else 'was changed since it was recorded'}", OWN)


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
