"""Which rooms are heated, why not, and how warm: the designer's word first, then the model's, then rules."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields, replace

from shapely import union_all

from ufh_core.basis.errors import SettingsError
from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message, note
from ufh_core.building.types import Building, Room, RoomKind, Storey
from ufh_core.settings.room_choices import ROOM_SET
from ufh_core.settings.steering import RoomOverride
from ufh_core.settings.types import Settings
from ufh_core.zones.model_choices import choice_findings, with_model_choices

LEAST_HEIGHT_M = 1.9  # lower rooms are not lived in; common practice
LEAST_OVERLAP = 0.5  # share of a room's floor from which another room, or a void, takes its place
SAME_LEVEL_M = 1.0  # rooms whose floors differ by less are on one level

_WORDS = {
    RoomKind.STAIR: note("stair"),
    RoomKind.SHAFT: note("shaft or void"),
    RoomKind.ATTIC: note("attic"),
    RoomKind.ROOF: note("roof space"),
    RoomKind.GARAGE: note("garage"),
    RoomKind.CELLAR: note("cellar"),
    RoomKind.TECHNICAL: note("plant room"),
    RoomKind.STORE: note("store"),
    RoomKind.OUTSIDE: note("outside"),
    RoomKind.AREA_SCHEME: note("area scheme, not a room"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Selection:
    """Whether a room is heated. `reason` says why not, or which setting decided; `override` is all that applies."""

    heat: bool
    reason: str = ""
    kind: RoomKind
    override: RoomOverride | None = None


def select_rooms(building: Building, settings: Settings) -> dict[str, Selection]:
    """Decide for every room, by GlobalId; answers that the model carries count under those of the settings.

    Raises SettingsError where an override names a kind that does not exist.
    """
    told = with_model_choices(building, settings)
    selected = {r.ifc_guid: _first_answer(s, r, told) for s in building.storeys for r in s.rooms}
    if told is not settings:
        selected = {guid: _with_origin(building.room(guid), one, settings) for guid, one in selected.items()}
    for guid, reason in _taken_by_others(building, selected):
        selected[guid] = replace(selected[guid], heat=False, reason=reason)
    return selected


def indoor_temperature(room: Room, kind: RoomKind, settings: Settings, override: RoomOverride | None) -> float:
    """Find a room's indoor temperature [°C]: override, the model's own, settings by kind, default."""
    if override is not None and override.indoor_c is not None:
        return override.indoor_c
    if room.indoor_c is not None:
        return room.indoor_c
    return settings.rooms.indoor_c.get(kind.value, settings.rooms.indoor_default_c)


def override_findings(building: Building, settings: Settings) -> tuple[Finding, ...]:
    """One finding for each override that matches no room, with a near match; and what is taken from the model."""
    rooms = [room for storey in building.storeys for room in storey.rooms]
    unmatched = [o for o in settings.rooms.overrides if not any(matches(o.match, room) for room in rooms)]
    own = {room.ifc_guid: merged_override(room, settings) for room in rooms} if building.choices else {}
    return (*(_unmatched(o.match, rooms) for o in unmatched), *choice_findings(building, settings, own))


def matches(pattern: str, room: Room) -> bool:
    """Whether an override's pattern names a room: its GlobalId, or its name, long name or label in any case.

    The pattern is the whole text; * stands for any text, ? for one character.
    """
    body = "".join({"*": ".*", "?": "."}.get(c, re.escape(c)) for c in pattern.strip())
    if re.fullmatch(body, room.ifc_guid):
        return True
    texts = (room.name, room.long_name, room.label)
    return any(re.fullmatch(body, text.strip(), re.IGNORECASE | re.DOTALL) for text in texts if text)


def merged_override(room: Room, settings: Settings) -> RoomOverride | None:
    """Merge all overrides that match a room, a later table's values over an earlier one's."""
    found = [o for o in settings.rooms.overrides if matches(o.match, room)]
    if not found:
        return None
    merged = found[0]
    for later in found[1:]:
        given = {f.name: getattr(later, f.name) for f in fields(later) if getattr(later, f.name) is not None}
        merged = replace(merged, **given)
    return merged


def _first_answer(storey: Storey, room: Room, settings: Settings) -> Selection:
    """The answer for a room by itself."""
    override = merged_override(room, settings)
    kind = _kind(room, override)
    if override is not None and override.heat is not None:
        words = note('settings: override "{match}"')
        if not override.heat:
            words = note('settings: override "{match}" leaves it out')
        reason: str = Message(words, match=override.match)
        return Selection(heat=override.heat, reason=reason, kind=kind, override=override)
    reason = _why_not(storey, room, kind, settings)
    return Selection(heat=not reason, reason=reason, kind=kind, override=override)


def _with_origin(room: Room, answer: Selection, settings: Settings) -> Selection:
    """The answer for a room, its reason naming the model where the settings do not say whether it is heated."""
    own, all_of_them = merged_override(room, settings), answer.override
    if all_of_them is None or all_of_them.heat is None or (own is not None and own.heat is not None):
        return answer
    return replace(answer, reason=f"{ROOM_SET} in the model" + ("" if answer.heat else " leaves it out"))


def _kind(room: Room, override: RoomOverride | None) -> RoomKind:
    """The kind of a room: the override's, else the room's own."""
    if override is None or override.kind is None:
        return room.kind
    try:
        return RoomKind(override.kind.strip().lower())
    except ValueError:
        near = difflib.get_close_matches(override.kind.lower(), [k.value for k in RoomKind], 1, 0.5)
        hint = f'; did you mean "{near[0]}"?' if near else ""
        allowed = ", ".join(k.value for k in RoomKind)
        raise SettingsError(
            f'rooms.overrides "{override.match}": no kind "{override.kind}"{hint} Allowed: {allowed}'
        ) from None


def _why_not(storey: Storey, room: Room, kind: RoomKind, settings: Settings) -> str:
    """Why a room is not heated, or an empty text."""
    area = room.outline.area
    reasons: tuple[tuple[Callable[[], bool], str], ...] = (
        (lambda: room.external, Message("outside (external space)")),
        (lambda: kind.value in settings.rooms.not_heated_kinds, Message(_WORDS.get(kind, kind.value))),
        (lambda: area < settings.rooms.least_area_m2, Message("only {area:.1f} m² of clear floor", area=area)),
        (
            lambda: 0 < room.height_m < LEAST_HEIGHT_M,
            Message("too low to live in ({height:.2f} m)", height=room.height_m),
        ),
        (lambda: _under_stair(storey, room), Message("a stair takes its floor")),
        (lambda: _over_void(storey, room), Message("no floor under it")),
    )
    return next((reason for holds, reason in reasons if holds()), "")


def _under_stair(storey: Storey, room: Room) -> bool:
    """Whether a stair that stands on (or comes through) the floor takes most of it."""
    stairs = [o.outline for o in storey.obstacles if o.kind == "stair" and o.bottom_m < room.floor_m + 0.5]
    return bool(stairs) and room.outline.intersection(union_all(stairs)).area > LEAST_OVERLAP * room.outline.area


def _over_void(storey: Storey, room: Room) -> bool:
    """Whether most of the room is void, or has no slab under it where the storey's other rooms have one."""
    voids = [o.outline for o in storey.obstacles if o.kind == "void"]
    if voids and room.outline.intersection(union_all(voids)).area > LEAST_OVERLAP * room.outline.area:
        return True
    others = [r for r in storey.rooms if r.ifc_guid != room.ifc_guid and not r.external]
    if _covered(storey, room) > 0.1 or len(others) < 2:
        return False
    return sum(_covered(storey, other) > 0.5 for other in others) >= 0.8 * len(others)


def _covered(storey: Storey, room: Room) -> float:
    """The share of a room's floor that has a slab within 0.8 m below (or 0.3 m above) it."""
    slabs = [s.outline for s in storey.slabs if s.kind != "roof" and -0.8 <= s.top_m - room.floor_m <= 0.3]
    if room.slab_top_m is not None:
        return 1.0
    return room.outline.intersection(union_all(slabs)).area / max(room.outline.area, 1e-9) if slabs else 0.0


def _taken_by_others(building: Building, selected: dict[str, Selection]) -> Iterator[tuple[str, str]]:
    """Rooms to heat whose floor is mostly that of other rooms to heat: small rooms go before those that cover them."""
    kept: list[Room] = []
    for room in sorted(_heated(building, selected), key=lambda r: _claim(r, selected[r.ifc_guid])):
        level = [k for k in kept if abs(k.floor_m - room.floor_m) < SAME_LEVEL_M]
        shares = [(room.outline.intersection(k.outline).area / room.outline.area, k) for k in level]
        shares = sorted(((share, k) for share, k in shares if share > 0.01), key=lambda pair: -pair[0])
        together = union_all([k.outline for _, k in shares]) if shares else None
        taken = together is not None and room.outline.intersection(together).area > LEAST_OVERLAP * room.outline.area
        if taken and not _forced(selected[room.ifc_guid]):
            names = ", ".join(k.label for _, k in shares[:3])
            words = note("its floor is that of {names}")
            if len(shares) > 3:
                words = note("its floor is that of {names} and more")
            yield room.ifc_guid, Message(words, names=names)
        else:
            kept.append(room)


def _heated(building: Building, selected: dict[str, Selection]) -> list[Room]:
    """The rooms to heat so far, with a floor."""
    rooms = [room for storey in building.storeys for room in storey.rooms]
    return [room for room in rooms if selected[room.ifc_guid].heat and room.outline.area > 0]


def _claim(room: Room, selection: Selection) -> tuple[bool, float, bool, float]:
    """Order of claims to the floor: the designer's word, small rooms (to 10 %), rooms with a known use, lowest."""
    magnitude = float(f"{room.outline.area:.1e}")
    return (not _forced(selection), magnitude, selection.kind == RoomKind.OTHER, room.floor_m)


def _forced(selection: Selection) -> bool:
    """Whether the designer said to heat the room."""
    return selection.override is not None and selection.override.heat is True


def _unmatched(pattern: str, rooms: list[Room]) -> Finding:
    """The finding for a pattern that matches nothing."""
    known = {text.casefold(): text for r in rooms for text in (r.ifc_guid, r.name, r.long_name, r.label) if text}
    near = difflib.get_close_matches(pattern.casefold().strip("*? "), known, 1, 0.6)
    hint = Message("`warmloom inspect` lists the rooms")
    if near:
        hint = Message('the nearest is "{known}"', known=known[near[0]])
    return Finding(
        code="zones.override-matches-nothing",
        severity=Severity.WARNING,
        message=Message(
            'settings: rooms.overrides "{pattern}" matches no room; {hint}',
            pattern=pattern,
            hint=hint,
        ),
    )
