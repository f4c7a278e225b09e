"""The file of records beside the design: lines are only ever added, one writer at a time, and reach the disk.

Algorithm of adding: take the lock of the operating system, which it gives back itself where a process dies; read what
stands there; put a torn last line aside in a file of its own, then cut it off; write the new line in one go; have it
flushed to the disk; give the lock back. Whoever was told of a record finds it again after `kill -9` or a power cut, as
far as the disk keeps its word.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout

from ufh_core.basis.errors import OutputError
from ufh_core.records.chain import Chain, Line, chain_of, digest, line_of
from ufh_core.records.readings import RecordError

FILE = "records.jsonl"
LOCK = "records.lock"
SET_ASIDE = "set-aside"
"""Kind of the line that tells of a torn line before it."""
PATIENCE_S = 30.0
MOST_BYTES = 200_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLine:
    """What is to be written."""

    at: datetime
    role: str
    person: str
    kind: str
    design: str
    values: Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """What was written, and the file in which a torn line was put aside before, if there was one."""

    line: Line
    set_aside: Path | None = None


def read_ledger(folder: Path) -> Chain:
    """The records of a folder; none where there is no file yet.

    Raises: RecordError where the file cannot be read.
    """
    chain = chain_of(_content(folder / FILE))
    if not chain.torn:
        return chain
    try:  # perhaps somebody is just writing
        with _locked(folder):
            return chain_of(_content(folder / FILE))
    except OutputError:
        return chain


def add(folder: Path, new: NewLine) -> Added:
    """Write a record behind the others.

    Raises: OutputError where it cannot be written; nothing is then changed.
    """
    path = folder / FILE
    try:
        with _locked(folder), _opened(path) as file:
            content = _content(path)
            chain = chain_of(content)
            aside = _put_aside(file, folder, chain.torn, len(content))
            if content and not chain.torn and not content.endswith(b"\n"):
                _write(file, b"\n", len(content))
            lines = _lines(chain, new, aside)
            size = os.fstat(file).st_size
            _write(file, b"".join(line.raw + b"\n" for line in lines), size)
            return Added(line=lines[-1], set_aside=aside)
    except OSError as error:
        raise OutputError(
            f"{path}: cannot be written: {error.strerror or error}; nothing was recorded: check folder and free space"
        ) from None


def _lines(chain: Chain, new: NewLine, aside: Path | None) -> list[Line]:
    """The new line, behind one that tells of what was put aside."""
    lines: list[Line] = []
    number, before = chain.next_number, chain.last_digest
    if aside is not None:
        told = {"file": aside.name, "bytes": len(chain.torn), "sha256": digest(chain.torn)}
        lines.append(line_of(number, before, new.at, "tool", "", SET_ASIDE, new.design, told))
        number, before = number + 1, lines[0].digest
    lines.append(line_of(number, before, new.at, new.role, new.person, new.kind, new.design, new.values))
    return lines


def _put_aside(file: int, folder: Path, torn: bytes, size: int) -> Path | None:
    """Keep a torn line in a file named by its digest, on the disk before it is cut off here."""
    if not torn:
        return None
    aside = folder / f"records-torn-{digest(torn)[:12]}.txt"
    with aside.open("wb") as kept:
        kept.write(torn)
        kept.flush()
        _flush(kept.fileno())
    _flush_folder(folder)
    os.ftruncate(file, size - len(torn))
    return aside


def _write(file: int, content: bytes, size: int) -> None:
    """Write all of `content` and flush it, or leave the file at its `size`."""
    try:
        left = memoryview(content)
        while left:
            left = left[os.write(file, left) :]
        _flush(file)
    except BaseException:
        os.ftruncate(file, size)
        raise


@contextmanager
def _opened(path: Path) -> Iterator[int]:
    """The file, made if absent, to be written at its end."""
    new = not path.exists()
    flags = os.O_RDWR | os.O_APPEND | os.O_CREAT | getattr(os, "O_BINARY", 0)
    file = os.open(path, flags, 0o666)
    try:
        if new:
            _flush_folder(path.parent)
        yield file
    finally:
        os.close(file)


@contextmanager
def _locked(folder: Path) -> Iterator[None]:
    """Be the only writer. Raises: OutputError where another one does not end, or no lock can be had."""
    lock = FileLock(folder / LOCK, timeout=PATIENCE_S)
    try:
        lock.acquire()
    except Timeout:
        raise OutputError(
            f"{folder / LOCK}: another program has been writing for {PATIENCE_S:g} s; nothing was recorded: try again"
        ) from None
    except (OSError, NotImplementedError) as error:
        reason = getattr(error, "strerror", None) or error
        raise OutputError(f"{folder}: cannot be written to: {reason}; nothing was recorded") from None
    try:
        yield
    finally:
        lock.release()


def _content(path: Path) -> bytes:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise RecordError(f"{path}: larger than {MOST_BYTES // 1_000_000} MB; this is no file of records")
        return path.read_bytes()
    except FileNotFoundError:
        return b""
    except OSError as error:
        raise RecordError(f"{path}: cannot be read: {error.strerror or error}") from None


def _flush(file: int) -> None:
    """Have the disk write it; macOS needs a stronger word for that than fsync."""
    if sys.platform == "darwin":
        import fcntl  # noqa: PLC0415 (not on Windows)

        fcntl.fcntl(file, fcntl.F_FULLFSYNC)
    else:
        os.fsync(file)


def _flush_folder(folder: Path) -> None:
    """Have the folder's list of files on the disk; Windows does so itself."""
    if os.name == "nt":
        return
    file = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(file)
    finally:
        os.close(file)
