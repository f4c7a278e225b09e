"""A folder of results that appears whole or not at all.

Files are written into a hidden folder on the same file system and moved into place at the end; a
move within one file system is atomic for each file. Whatever goes wrong before or during the
moves, the files that stood there before stand there again.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from ufh_core.basis.errors import OutputError

_IFC_END = b"END-ISO-10303-21;"


@contextmanager
def whole_folder(folder: Path) -> Iterator[Path]:
    """Yield an empty folder to write into; its files land in `folder` if the block ends without an error.

    Raises: OutputError, one line, where the results cannot be written; `folder` is then as it was.
    """
    made: list[Path] = []
    workshop: Path | None = None
    try:
        made = _make_parents(folder)
        workshop = Path(tempfile.mkdtemp(prefix=".warmloom-", dir=folder))
        yield workshop
        _check_whole(workshop)
        _move_in(workshop, folder)
        made = []
    except OSError as error:
        raise OutputError(_line(folder, error)) from error
    finally:
        if workshop is not None:
            shutil.rmtree(workshop, ignore_errors=True)
        _unmake(made)


def _make_parents(folder: Path) -> list[Path]:
    """Make `folder` and what is missing above it; return what was made, outermost first."""
    missing = [path for path in (folder, *folder.parents) if not path.exists()]
    made: list[Path] = []
    try:
        for path in reversed(missing):
            path.mkdir()
            made.append(path)
    except OSError:
        _unmake(made)
        raise
    return made


def _unmake(made: list[Path]) -> None:
    """Remove folders that were made for nothing, innermost first."""
    for path in reversed(made):
        with suppress(OSError):
            path.rmdir()


def _check_whole(workshop: Path) -> None:
    """Find files cut short: a full disk is not always reported by the library that writes."""
    for path in sorted(workshop.iterdir()):
        with path.open("rb+") as file:
            os.fsync(file.fileno())
            size = file.seek(0, os.SEEK_END)
            file.seek(max(0, size - 64))
            tail = file.read()
        if size == 0 or (path.suffix == ".ifc" and _IFC_END not in tail):
            raise OutputError(f"{path.name} could not be written to its end: is the disk full? Nothing was written")


def _move_in(workshop: Path, folder: Path) -> None:
    """Move all files into place; put the old ones back if a move fails."""
    kept = Path(tempfile.mkdtemp(prefix=".old-", dir=workshop))
    names = sorted(path.name for path in workshop.iterdir() if path.is_file())
    done: list[str] = []
    try:
        for name in names:
            if (folder / name).exists():
                os.replace(folder / name, kept / name)
            done.append(name)
            os.replace(workshop / name, folder / name)
    except OSError:
        _put_back(done, kept, folder)
        raise


def _put_back(done: list[str], kept: Path, folder: Path) -> None:
    """Undo the moves named in `done`."""
    for name in done:
        with suppress(OSError):
            if (kept / name).exists():
                os.replace(kept / name, folder / name)
            else:
                (folder / name).unlink(missing_ok=True)


def _line(folder: Path, error: OSError) -> str:
    """Say in one line why nothing could be written."""
    if isinstance(error, FileExistsError | NotADirectoryError):
        return f"{folder}: not a folder; name a folder that exists or can be made"
    return f"{folder}: cannot be written to: {error.strerror or error}; nothing was written"
