"""What became of the designer's decisions: followed, or why not; each that is not is a finding too."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from ufh_core.basis.findings import Finding, Severity
from ufh_core.building.types import Room
from ufh_core.circuits.level_layout import lay_level
from ufh_core.circuits.types import LevelLayout
from ufh_core.design_result import Answer
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level
from ufh_core.zones.wishes import Wishes


def room_answers(wishes: Wishes, layouts: Sequence[LevelLayout]) -> dict[str, tuple[Answer, ...]]:
    """Answers by room for every room that the designer decided something about."""
    return {guid: (_circuits(guid, asked, layouts),) for guid, asked in wishes.circuits.items()}


def lay_as_wished(
    level: Level,
    pitches: Mapping[str, float],
    settings: Settings,
    first_manifold: int,
    tell: Callable[[str], None],
    counts: Mapping[str, int],
    wishes: Wishes,
) -> LevelLayout:
    """Lay a level by the designer's wishes; those of rooms that fail so are dropped where that helps."""
    laid = lay_level(level, pitches, settings, first_manifold, tell, counts, wishes)
    fewer = wishes.without({f.room for f in laid.failed})
    if fewer == wishes:
        return laid
    again = lay_level(level, pitches, settings, first_manifold, tell, counts, fewer)
    return again if len(again.failed) < len(laid.failed) else laid


def answer_findings(rooms: Iterable[Room], answers: Mapping[str, Sequence[Answer]]) -> list[Finding]:
    """A warning for each decision that could not be followed."""
    return [
        Finding(
            code=f"layout.{answer.key}-not-followed",
            severity=Severity.WARNING,
            message=f"{room.label}: {answer.key} = {answer.asked} cannot be followed, {answer.remark}",
            ifc_guids=(room.ifc_guid,),
        )
        for room in rooms
        for answer in answers.get(room.ifc_guid, ())
        if not answer.followed
    ]


def _circuits(guid: str, asked: int, layouts: Sequence[LevelLayout]) -> Answer:
    laid = sum(c.rooms[0] == guid for layout in layouts for c in layout.circuits)
    why = ""
    if laid > asked:
        why = f"{laid} are laid: fewer would be longer than a circuit may be, or the floor is in parts"
    elif laid < asked:
        reasons = [f.reason for layout in layouts for f in layout.failed if f.room == guid]
        why = f"{laid} are laid: {reasons[0] if reasons else 'more find no way to it or too little floor each'}"
    return Answer(key="circuits", asked=str(asked), followed=laid == asked, remark=why)
