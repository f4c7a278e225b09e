"""What became of the designer's decisions: followed, or why not; each that is not is a finding too."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message, joined, note
from ufh_core.basis.small_objects import seldom_collected
from ufh_core.building.types import Passage, Room
from ufh_core.circuits.branched_layout import lay_with_branches
from ufh_core.circuits.kept_layout import lay_round
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.relief import relieved
from ufh_core.circuits.types import LaidCircuit, LevelLayout, Manifold
from ufh_core.design_result import Answer
from ufh_core.settings.types import Settings
from ufh_core.zones.floor_answers import FloorAnswer
from ufh_core.zones.given_places import GivenPlace, unsuited
from ufh_core.zones.partners import ALONE
from ufh_core.zones.selection import matches
from ufh_core.zones.wishes import Wishes

TOLD_BEFORE = frozenset({"leave_out", "take_in"})  # by the reading of the areas, as findings of their own
THROUGH_M = 0.05  # a pipe that goes through a passage lies in it for at least this
MOVED_M = 0.10  # a manifold farther from where it was wanted is told


def lay_as_wished(brief: LevelBrief) -> LevelLayout:
    """Lay a level by the designer's wishes, round the circuits that stay."""
    with seldom_collected():
        return lay_round(brief, _lay_rest)


def _lay_rest(brief: LevelBrief) -> LevelLayout:
    """Lay a level by the designer's wishes; those of rooms that fail so are dropped where that helps.

    Only then walls are drilled for tails that do not fit.
    """
    laid, wishes, used = lay_with_branches(brief), brief.wishes, brief
    for fewer in (wishes.without({f.room for f in laid.failed}), wishes.with_all_ways_open()):
        if laid.failed and fewer != wishes:
            less = replace(brief, wishes=fewer)
            again = lay_with_branches(less)
            laid, used = (again, less) if len(again.failed) < len(laid.failed) else (laid, used)
    return relieved(laid, used, lay_with_branches)


def room_answers(wishes: Wishes, layouts: Sequence[LevelLayout]) -> dict[str, tuple[Answer, ...]]:
    """Answers by room for every room that the designer decided something about."""
    found: dict[str, list[Answer]] = {}
    for guid, count in wishes.circuits.items():
        found.setdefault(guid, []).append(_circuits(guid, count, layouts))
    for guid, ways in wishes.entries.items():
        found.setdefault(guid, []).append(_entry(guid, ways, layouts))
    for guid, name in wishes.served_from.items():
        found.setdefault(guid, []).append(_manifold(guid, name, layouts))
    for guid, name in wishes.shares_with.items():
        found.setdefault(guid, []).append(_shares(guid, name, layouts))
    for guid, areas in wishes.areas.items():
        found.setdefault(guid, []).extend(_area(a) for a in areas)
    return {guid: tuple(answers) for guid, answers in found.items()}


def answer_findings(rooms: Iterable[Room], answers: Mapping[str, Sequence[Answer]]) -> list[Finding]:
    """A warning for each decision that could not be followed."""
    return [
        Finding(
            code=f"layout.{answer.key}-not-followed",
            severity=Severity.WARNING,
            message=Message(
                "{label}: {key} = {asked} cannot be followed, {remark}",
                label=room.label,
                key=answer.key,
                asked=answer.asked,
                remark=answer.remark,
            ),
            ifc_guids=(room.ifc_guid,),
        )
        for room in rooms
        for answer in answers.get(room.ifc_guid, ())
        if not answer.followed and answer.key not in TOLD_BEFORE
    ]


def kept_findings(wishes: Wishes, layouts: Sequence[LevelLayout]) -> list[Finding]:
    """Circuits that should stay and could not, with the rule that they break."""
    refused = {r.label: r for layout in layouts for r in layout.refused}
    stayed = {c.kept for layout in layouts for c in layout.circuits}
    return [
        Finding(
            code="layout.not-kept",
            severity=Severity.WARNING,
            message=(
                Message(
                    "circuits.keep: {label} cannot stay as it lies, {reason}; its floor is laid anew",
                    label=pipe.label,
                    reason=refused[pipe.label].reason if pipe.label in refused else Message("its room is not heated"),
                )
            ),
            ifc_guids=(pipe.room,),
        )
        for pipe in wishes.kept
        if pipe.label not in stayed
    ]


def place_findings(wishes: Wishes, layouts: Sequence[LevelLayout], settings: Settings) -> list[Finding]:
    """Where manifolds stand other than the designer said, and those that were added to his."""
    manifolds = {m.place: m for layout in layouts for m in layout.manifolds if m.place}
    stayed = {c.manifold for layout in layouts for c in layout.circuits if c.kept}
    added = [(lay, m) for lay in layouts for m in lay.manifolds if not m.place and m.name not in stayed]
    found = []
    for place in wishes.places:
        if place.name not in manifolds:
            found.append(_not_used(place, layouts, settings))
        elif place.distance_m(manifolds[place.name].position) > MOVED_M:
            found.append(_moved(place, manifolds[place.name]))
    bound = wishes.places or stayed
    return found + ([_added(layout, m, given=bool(wishes.places)) for layout, m in added] if bound else [])


def _area(answer: FloorAnswer) -> Answer:
    words = note("{count} areas, {area:.2f} m²") if answer.areas > 1 else note("{count} area, {area:.2f} m²")
    count = Message(words, count=answer.areas, area=answer.square_metres)
    return Answer(key=answer.key, asked=count, followed=not answer.remark, remark=answer.remark)


def _of_room(guid: str, layouts: Sequence[LevelLayout]) -> list[LaidCircuit]:
    """The room's own circuits; where it has none, those of other rooms that warm it too."""
    all_of_it = [c for layout in layouts for c in layout.circuits if guid in c.rooms]
    return [c for c in all_of_it if c.rooms[0] == guid] or all_of_it


def _circuits(guid: str, asked: int, layouts: Sequence[LevelLayout]) -> Answer:
    laid = sum(not all(f.edge for f in c.fields) for c in _of_room(guid, layouts))
    why = ""
    if laid > asked:
        why = Message(
            "{laid} are laid: fewer would be longer than a circuit may be, or the floor is in parts",
            laid=laid,
        )
    elif laid < asked:
        reasons = [f.reason for layout in layouts for f in layout.failed if f.room == guid]
        why = Message(
            "{laid} are laid: {reason}",
            laid=laid,
            reason=reasons[0] if reasons else Message("more find no way to it or too little floor each"),
        )
    return Answer(key="circuits", asked=str(asked), followed=laid == asked, remark=why)


def _entry(guid: str, ways: frozenset[str], layouts: Sequence[LevelLayout]) -> Answer:
    circuits = _of_room(guid, layouts)
    passages = {p.ifc_guid: p for layout in layouts for p in layout.level.passages}
    wrong = [c for c in circuits if not any(_through(c, passages[w]) for w in ways if w in passages)]
    why = ""
    if not circuits:
        why = Message("it has no circuit")
    elif any(m.room == guid for c in wrong for layout in layouts for m in layout.manifolds if m.name == c.manifold):
        why = Message("its manifold stands in the room itself")
    elif wrong:
        why = Message("circuit {number} finds no way there among the others", number=wrong[0].number)
    return Answer(key="entry", asked=joined(sorted(ways), note(" or ")), followed=not why, remark=why)


def _through(circuit: LaidCircuit, passage: Passage) -> bool:
    return bool(circuit.axis.line().intersection(passage.outline).length > THROUGH_M)


def _manifold(guid: str, name: str, layouts: Sequence[LevelLayout]) -> Answer:
    places = {m.name: m.place for layout in layouts for m in layout.manifolds}
    circuits = _of_room(guid, layouts)
    others = sorted({c.manifold for c in circuits if places[c.manifold] != name})
    why = "" if circuits else Message("it has no circuit")
    if others:
        ports = [len(m.ports) for layout in layouts for m in layout.manifolds if m.place == name]
        there = (
            Message("the {ports} circuits there leave no way or no wall for it", ports=ports[0])
            if ports
            else Message("no manifold stands there")
        )
        why = Message("it is served from {others}: {there}", others=joined(others, note(" and ")), there=there)
    return Answer(key="manifold", asked=name, followed=not why, remark=why)


def _shares(guid: str, name: str, layouts: Sequence[LevelLayout]) -> Answer:
    """Whether a room is on the circuit of the neighbour that the designer wished, or on its own."""
    circuits = _of_room(guid, layouts)
    rooms = {c.rooms[0] for c in circuits}
    why = "" if circuits else Message("it has no circuit")
    if circuits and name == ALONE:
        why = "" if rooms == {guid} else Message("circuit {number} fills it on its way", number=circuits[0].number)
    elif circuits and not any(matches(name, lay.level.room(g)) for lay in layouts for g in rooms & lay.level.heated):
        why = Message("there is no such heated room in the flat, or no pair of pipes leads straight here from its pipe")
    return Answer(key="shares_with", asked=name, followed=not why, remark=why)


def _not_used(place: GivenPlace, layouts: Sequence[LevelLayout], settings: Settings) -> Finding:
    labels = {r.ifc_guid: r.label for layout in layouts for r in layout.level.rooms}
    instead = joined(
        Message("{name} in {room}", name=m.name, room=labels[m.room]) for layout in layouts for m in layout.manifolds
    )
    return Finding(
        code="layout.place-not-used",
        severity=Severity.WARNING,
        message=(
            Message(
                'manifold.places "{name}" ({words}): no manifold stands there, {unsuited}; instead: {instead}',
                name=place.name,
                words=place.words,
                unsuited=unsuited(place, [layout.level for layout in layouts], settings),
                instead=instead or Message("none"),
            )
        ),
    )


def _moved(place: GivenPlace, manifold: Manifold) -> Finding:
    return Finding(
        code="layout.place-moved",
        severity=Severity.NOTE,
        message=(
            Message(
                'manifold {name} "{wanted}" stands {distance:.2f} m from {place}, on the nearest '
                "straight free wall that holds it",
                name=manifold.name,
                wanted=place.name,
                distance=place.distance_m(manifold.position),
                place=place.words.removeprefix("at "),
            )
        ),
        at=manifold.position,
    )


def _added(layout: LevelLayout, manifold: Manifold, *, given: bool) -> Finding:
    mine = [c for c in layout.circuits if c.manifold == manifold.name]
    rooms = sorted({layout.level.room(guid).label for c in mine for guid in c.rooms})
    return Finding(
        code="layout.manifold-added",
        severity=Severity.WARNING if given else Severity.NOTE,
        message=(
            Message(
                "manifold {name} in {label} is added: those that are given or stay have no port, no wall "
                "or no way for {rooms}",
                name=manifold.name,
                label=layout.level.room(manifold.room).label,
                rooms=", ".join(rooms),
            )
        ),
        at=manifold.position,
    )
