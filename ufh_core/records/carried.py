"""Records that were typed on the page of the site pack and come as a file: all are checked before one is kept.

What is on file already is passed over, so that a file may be taken twice.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from ufh_core.records.chain import Chain
from ufh_core.records.hold_points import known_to
from ufh_core.records.kinds import KINDS, ROLES, Photograph, SiteRecord
from ufh_core.records.ledger import NewLine
from ufh_core.records.readings import RecordError, checked
from ufh_core.records.site_design import SiteDesign

MARK = "warmloom_records"
MOST_BYTES = 20_000_000
LONGEST_NAME = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """What a file brings: `new` lines with their records, and how many of it were on file before."""

    new: tuple[tuple[NewLine, SiteRecord], ...]
    known: int


def carried(path: Path, site: SiteDesign, chain: Chain, now: datetime) -> Carried:
    """The records of a file, each checked.

    Raises: RecordError, one line that names the record, where one of them cannot be taken.
    """
    content = _content(path)
    there = {(line.kind, line.role, line.person, _key(line.values)) for line in chain.lines}
    new: list[tuple[NewLine, SiteRecord]] = []
    known = 0
    for number, row in enumerate(content["records"], 1):
        try:
            line, record = _line(row, content["design"], site, now)
        except RecordError as error:
            raise RecordError(f"{path.name}, record {number}: {error}; nothing of the file was taken") from None
        key = (line.kind, line.role, line.person, _key(line.values))
        if key in there:
            known += 1
        else:
            there.add(key)
            new.append((line, record))
    return Carried(new=tuple(new), known=known)


def _content(path: Path) -> dict[str, Any]:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise RecordError(f"{path}: larger than any file of records from the page")
        content = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise RecordError(f"{path}: cannot be read: {error.strerror or error}") from None
    except (ValueError, RecursionError):
        raise RecordError(f"{path}: no file of records from the page") from None
    fine = isinstance(content, dict) and content.get(MARK) == 1 and isinstance(content.get("records"), list)
    if not fine or not isinstance(content.get("design"), str):
        raise RecordError(f"{path}: no file of records from the page")
    return dict(content)


def _line(row: Any, design: str, site: SiteDesign, now: datetime) -> tuple[NewLine, SiteRecord]:
    """One record; it stays with the state of the design that its page was of."""
    if not isinstance(row, dict) or not isinstance(row.get("values"), dict):
        raise RecordError("not a record")
    kind = KINDS.get(str(row.get("kind")))
    if kind is None or kind is Photograph:
        raise RecordError(f"{str(row.get('kind'))[:40]!r}: no kind that a page can bring")
    role, person = row.get("role"), row.get("person", "")
    if role not in ROLES or not isinstance(person, str) or len(person) > LONGEST_NAME or not person.isprintable():
        raise RecordError(f"who recorded it must be one of: {', '.join(ROLES)}, with a name of one line")
    record: SiteRecord = checked(kind, row["values"])
    known_to(site, record)
    if record.on > now.astimezone().date():
        raise RecordError(f"{record.on}: that day is still to come")
    name = getattr(record, "name", None) or person.strip()
    line = NewLine(at=now, role=role, person=name, kind=kind.word, design=design[:64], values=record.values())
    return line, record


def _key(values: Any) -> str:
    return json.dumps(values, sort_keys=True)
