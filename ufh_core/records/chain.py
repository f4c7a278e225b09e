"""Lines of the file of records, each bound to the one before.

A line is JSON of one record; its last field `hash` is the SHA-256 of the bytes before it, its field `before` the
SHA-256 of the whole line before. So a changed byte shows in its own line, a line that was taken out, put in or
written anew in the line after it. What does not show is a file rewritten from some line to its end: that is what the
digest of the last line is for, which is printed on the page that people sign.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

FORM = 1
FIRST = "0" * 64
"""What stands for the line before the first."""

_HASH = b',"hash":"'
_END = b'"}'


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line that is whole: its number, time (UTC), role and perhaps name of the person, the design it was made for.

    `kind` and `values` are the record as JSON has it. `raw` is the line as it stands, without its end.
    """

    number: int
    at: str
    role: str
    person: str
    kind: str
    design: str
    values: Mapping[str, Any]
    raw: bytes

    @property
    def digest(self) -> str:
        """SHA-256 of the line."""
        return digest(self.raw)


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong at a line, by its place in the file; `spoilt` where its record is not to be trusted."""

    line: int
    what: str
    spoilt: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """A file of records as read. `torn` are bytes behind the last whole line; `next_number` is for the line to add."""

    lines: tuple[Line, ...] = ()
    faults: tuple[Fault, ...] = ()
    torn: bytes = b""
    next_number: int = 1
    last_digest: str = FIRST


_Read = tuple[Line, str] | str  # a line and what it says of the one before, or what is wrong with it


def digest(raw: bytes) -> str:
    """SHA-256 in hexadecimal digits."""
    return hashlib.sha256(raw).hexdigest()


def line_of(
    number: int, before: str, at: datetime, role: str, person: str, kind: str, design: str, values: Mapping[str, Any]
) -> Line:
    """A new line."""
    time = at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
    content = {"form": FORM, "line": number, "at": time, "role": role, "person": person, "kind": kind}
    content |= {"design": design, "values": dict(values), "before": before}
    body = json.dumps(content, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()[:-1]
    raw = body + _HASH + digest(body).encode() + _END
    return Line(
        number=number, at=time, role=role, person=person, kind=kind, design=design, values=dict(values), raw=raw
    )


def chain_of(content: bytes) -> Chain:
    """Every line of a file's content, and what is wrong with it."""
    *whole, rest = content.split(b"\n")
    if rest and not isinstance(_read(rest), str):
        whole, rest = [*whole, rest], b""  # only the end of the line is missing
    read = [_read(raw) for raw in whole]
    digests = [FIRST, *(digest(raw) for raw in whole)]
    faults = tuple(_faults(read, digests))
    spoilt = {fault.line for fault in faults if fault.spoilt}
    lines = tuple(each[0] for k, each in enumerate(read, 1) if not isinstance(each, str) and k not in spoilt)
    return Chain(lines=lines, faults=faults, torn=rest, next_number=_next_number(read), last_digest=digests[-1])


def _next_number(read: Sequence[_Read]) -> int:
    last = read[-1] if read else None
    return last[0].number + 1 if isinstance(last, tuple) else len(read) + 1


def _faults(read: Sequence[_Read], digests: Sequence[str]) -> Iterator[Fault]:
    """Lines that are broken in themselves, or that the next one does not know."""
    for k, each in enumerate(read, 1):
        if isinstance(each, str):
            yield Fault(k, each)
            continue
        line, before = each
        earlier = read[k - 2] if k > 1 else None
        if isinstance(earlier, str):
            continue  # its fault is told, and what it was nobody knows
        if line.number != (1 if earlier is None else earlier[0].number + 1):
            yield Fault(k, f"calls itself line {line.number}: lines were taken out or put in before it", spoilt=False)
        elif before != digests[k - 1]:
            yield Fault(max(k - 1, 1), "was written anew after the next line had been added")


def _read(raw: bytes) -> _Read:
    """A line and what it says of the one before, or what is wrong with it."""
    body, mark, end = raw.rpartition(_HASH)
    if not mark or end[-2:] != _END:
        return "is not a whole record: something in it was changed"
    if end[:-2] != digest(body).encode():
        return "was changed after it was written: its hash does not fit"
    try:
        content = json.loads(raw)
        line = Line(
            number=int(content["line"]),
            at=str(content["at"]),
            role=str(content["role"]),
            person=str(content["person"]),
            kind=str(content["kind"]),
            design=str(content["design"]),
            values=dict(content["values"]),
            raw=raw,
        )
        return line, str(content["before"])
    except (ValueError, KeyError, TypeError):
        return "is not a record of this tool"
