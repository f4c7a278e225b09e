"""A revision in lines for people and as plain values for programs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from ufh_core.revision.types import EFFECT_WORDS, Change, Effect, Revision

MOST_NAMED = 12
NOTHING = "nothing changed"


def revision_lines(revision: Revision) -> list[str]:
    """One line for each change, the most serious first, and below what of the design is touched and what stays."""
    if not revision.changes:
        return [NOTHING]
    lines = [change_line(change, revision) for change in revision.changes]
    return lines + [f"In sum: {line}" for line in (revision_sums(revision) if revision.designed else [])]


def change_line(change: Change, revision: Revision, *, with_storey: bool = True) -> str:
    """A change with what it touches; the storey before it where the building has several."""
    words = change.words[:1].upper() + change.words[1:]
    storey = _storey_name(change, revision) if with_storey else ""
    return f"{storey}{words}{_touches(change, revision)}"


def _storey_name(change: Change, revision: Revision) -> str:
    """The storey before the words, where the building has several."""
    storeys = {s.ifc_guid: s.name for b in (revision.old, revision.new) for s in b.storeys}
    several = sum(bool(s.rooms) for s in revision.new.storeys) > 1
    return f"{storeys[change.storey]}: " if several and storeys.get(change.storey) else ""


def _touches(change: Change, revision: Revision) -> str:
    if not revision.designed:
        return ""
    parts = [f"manifold {name} has to move" for name in change.manifolds]
    graver = [n for n in change.circuits if n in revision.laid_anew]
    others = [n for n in change.circuits if n not in revision.laid_anew]
    if graver:
        parts.append(f"{_circuits(graver)} touched, {change.pipe_m:.0f} m of pipe")
    if others:
        parts.append(f"{_circuits(others, 'keep their way' if len(others) > 1 else 'keeps its way')}")
    if not parts:
        return ": no circuit is touched" if change.effect is not Effect.NONE and change.storey else ""
    return ": " + "; ".join(parts)


def _circuits(numbers: Sequence[str], verb: str = "") -> str:
    many = len(numbers) > 1
    named = ", ".join(numbers[:MOST_NAMED]) + (f" and {len(numbers) - MOST_NAMED} more" * (len(numbers) > MOST_NAMED))
    return f"circuit{'s' if many else ''} {named} {verb or ('are' if many else 'is')}"


def revision_sums(revision: Revision) -> list[str]:
    """What of the design is touched in all, and what stays."""
    anew = [c for c in revision.circuits if c.number in revision.laid_anew]
    total = sum(c.length_m for c in revision.circuits)
    length = sum(c.length_m for c in anew)
    stay = len(revision.circuits) - len(anew)
    lines = [
        f"{len(anew)} of {len(revision.circuits)} circuits are laid anew"
        f" ({length:.0f} of {total:.0f} m of pipe), {stay} stay as they lie"
    ]
    if revision.panels:
        lines.append(f"panels are laid anew in {_rooms(revision, revision.panels)}")
    return lines


def _rooms(revision: Revision, guids: Iterable[str]) -> str:
    labels = {r.ifc_guid: r.label for s in revision.new.storeys for r in s.rooms}
    return ", ".join(labels.get(guid, guid) for guid in guids)


def revision_json(revision: Revision) -> dict[str, Any]:
    """The revision as plain values: lengths in m, GlobalIds as in the new state."""
    return {
        "changes": [_row(change, revision) for change in revision.changes],
        "designed": revision.designed,
        "circuits": [
            {
                "number": c.number,
                "manifold": c.manifold,
                "effect": EFFECT_WORDS[c.effect],
                "reason": c.reason,
                "fields": [{"circuit": c.number, "room": guid} for guid in c.fields],
                "length_m": round(c.length_m, 3),
            }
            for c in revision.touched
        ],
        "manifolds": list(revision.manifolds),
        "panels": [{"room": guid} for guid in revision.panels],
        "stay": [c.number for c in revision.circuits if c.number not in revision.laid_anew],
    }


def _row(change: Change, revision: Revision) -> dict[str, Any]:
    return {
        "code": change.code,
        "line": change_line(change, revision),
        "storey": change.storey,
        "elements": list(change.elements),
        "rooms": list(change.rooms),
        "effect": EFFECT_WORDS[change.effect],
        "circuits": list(change.circuits),
        "manifolds": list(change.manifolds),
        "pipe_m": round(change.pipe_m, 3),
    }
