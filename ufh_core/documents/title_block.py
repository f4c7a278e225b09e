"""The title block at the foot of every sheet: key plan, scale bar and north, names, provenance, room for revisions."""

from __future__ import annotations

from collections.abc import Sequence

from ufh_core.design_result import Design
from ufh_core.documents.lettering import clean
from ufh_core.documents.sheet import COLUMN_MM
from ufh_core.documents.writing import Cell, Row, fitted
from ufh_core.words import say

_SIGN_ROWS_MM = {"key plan": 30.0, "scale and north": 19.0, "scale": 14.0}


def title_rows(design: Design, heading: str, facts: str, date: str, signs: Sequence[str]) -> tuple[Row, ...]:
    """The rows from above to below: `signs` to draw, project, building, heading, facts, revision, provenance."""
    building = design.building
    names = ((building.project_name, 2.6), (building.building_name, 2.2))
    rows = [Row(height=_SIGN_ROWS_MM[sign], sign=sign, rule=True) for sign in signs]
    rows += [_line(clean(text), height) for text, height in names if clean(text)]
    rows.append(_line(heading, 3.2))
    digests = [digest[:12] or say("unknown") for digest in (building.file_digest, design.settings_digest)]
    read = say("model {model}, settings {settings}", model=digests[0], settings=digests[1])
    rows.append(_line(facts + (f" · {clean(date)}" if date else ""), 2.0))
    rows.append(_line(f"{read}, warmloom {clean(design.software_version)}", 1.8, bold=False))
    rows.append(_revision())
    return tuple(rows)


def _revision() -> Row:
    """Room to write by hand; what tells two revisions apart is the digests above."""
    asked = (
        (1.5, say("revision {line}", line="______")),
        (28.0, say("date {line}", line="__________")),
        (57.0, say("checked {line}", line="__________")),
    )
    cells = tuple(Cell(x=x, drop=4.6, text=text) for x, text in asked)
    return Row(height=6.0, cells=cells)


def _line(text: str, height: float, bold: bool = True) -> Row:
    size = fitted(text, COLUMN_MM - 3.0, height)
    return Row(height=size * 1.9, cells=(Cell(x=1.5, drop=size * 1.45, text=text, height=size, bold=bold),))
