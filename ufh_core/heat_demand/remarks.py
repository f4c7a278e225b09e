"""Findings of the heat demand, one for each matter and not one for each element."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message, first_of, joined, note
from ufh_core.building.types import Room
from ufh_core.heat_demand.terms import DOUBTFUL_FACES
from ufh_core.heat_demand.types import DemandBasis, RoomDemand

_NAMES = {
    "wall": note("outer walls"),
    "window": note("windows"),
    "door": note("outer doors"),
    "roof": note("roofs or ceilings"),
}
_MOST_GAP = 0.02  # of the envelope; what rounding and small offsets leave is less
_MOST_DIFFERENCE = 0.25  # of the model's load; common practice
_MUCH_W_M2 = 150.0  # more is seldom right in a building to be heated by its floor; common practice


def remarks(rooms: Sequence[Room], demands: Mapping[str, RoomDemand], age: str) -> tuple[Finding, ...]:
    """Say what was assumed and what looks wrong."""
    assumed = (*_assumed_u(demands, age), *_defaults(rooms, demands), *_none(rooms, demands))
    odd = (*_much(rooms, demands), *_open(rooms, demands), *_uncounted(rooms, demands), *_differs(rooms, demands))
    return (*assumed, *odd)


def _assumed_u(demands: Mapping[str, RoomDemand], age: str) -> list[Finding]:
    """One note for each kind of element whose U-value the model does not give."""
    found = []
    for kind, name in _NAMES.items():
        terms = [t for d in demands.values() for t in d.terms if t.kind == kind and t.u_basis == "default"]
        if not terms:
            continue
        area = sum(term.area_m2 for term in terms)
        values = ", ".join(f"{u:g}" for u in sorted({term.u_value for term in terms}))
        found.append(
            Finding(
                code=f"heat_demand.u-assumed-{kind}",
                severity=Severity.NOTE,
                message=Message(
                    "U-value of {name} without one in the model ({area:.0f} m²) taken as {values} W/(m²K) "
                    "(heat_demand.building_age {age}); ask the architect, or set it under heat_demand in the "
                    "settings",
                    name=Message(name),
                    area=area,
                    values=values,
                    age=age,
                ),
                ifc_guids=tuple(sorted({term.ifc_guid for term in terms if term.ifc_guid})),
                source="EN ISO 6946",
            )
        )
    return found


def _defaults(rooms: Sequence[Room], demands: Mapping[str, RoomDemand]) -> list[Finding]:
    chosen = [r for r in rooms if demands[r.ifc_guid].note.startswith("stated default")]
    why = Message("heat demand taken as a stated default by floor area, since the model has no walls to calculate with")
    return _rooms("heat_demand.stated-default", Severity.WARNING, chosen, why)


def _none(rooms: Sequence[Room], demands: Mapping[str, RoomDemand]) -> list[Finding]:
    chosen = [r for r in rooms if demands[r.ifc_guid].demand_w <= 0]
    why = Message("no heat demand, since warmer rooms beside it give at least what is lost; 0 W is used")
    return _rooms("heat_demand.none", Severity.NOTE, chosen, why)


def _much(rooms: Sequence[Room], demands: Mapping[str, RoomDemand]) -> list[Finding]:
    def is_much(room: Room) -> bool:
        demand = demands[room.ifc_guid]
        return demand.basis is DemandBasis.CALCULATED and demand.demand_w > _MUCH_W_M2 * room.outline.area

    why = Message(
        "calculated heat demand of more than {much:g} W/m²: check U-values and outer walls in the model",
        much=_MUCH_W_M2,
    )
    return _rooms("heat_demand.high", Severity.WARNING, [room for room in rooms if is_much(room)], why)


def _open(rooms: Sequence[Room], demands: Mapping[str, RoomDemand]) -> list[Finding]:
    """One finding for each room whose faces do not add up to its envelope."""
    found = []
    for room in rooms:
        envelope = demands[room.ifc_guid].envelope
        if envelope is None or abs(envelope.gap) <= _MOST_GAP:
            continue
        parts = {
            note("sides {area:+.2f} m²"): envelope.missing_sides_m2,
            note("ceiling {area:+.2f} m²"): envelope.missing_ceiling_m2,
            note("floor {area:+.2f} m²"): envelope.missing_floor_m2,
        }
        missing = joined(Message(words, area=area) for words, area in parts.items() if abs(area) >= 0.005)
        why = Message(
            "faces of {faces:.1f} m² for an envelope of {envelope:.1f} m² ({gap:+.1%}); missing: "
            "{missing}; check the heat demand by hand",
            faces=envelope.faces_m2,
            envelope=envelope.envelope_m2,
            gap=envelope.gap,
            missing=missing,
        )
        found += _rooms("heat_demand.envelope-open", Severity.WARNING, [room], why)
    return found


def _uncounted(rooms: Sequence[Room], demands: Mapping[str, RoomDemand]) -> list[Finding]:
    """One note that names the rooms with much side for which no loss is counted."""

    def is_much(room: Room) -> bool:
        demand = demands[room.ifc_guid]
        area = sum(face.area_m2 for face in demand.faces if face.kind == "face" and face.what in DOUBTFUL_FACES)
        return demand.envelope is not None and area > _MOST_GAP * demand.envelope.envelope_m2

    why = Message(
        "no loss is counted for more than {most_gap:.0%} of the envelope, since a wall ends "
        "below the ceiling or stands end-on; the table of the heat demand names the faces",
        most_gap=_MOST_GAP,
    )
    return _rooms("heat_demand.faces-without-loss", Severity.NOTE, [room for room in rooms if is_much(room)], why)


def _differs(rooms: Sequence[Room], demands: Mapping[str, RoomDemand]) -> list[Finding]:
    """One finding for each room whose load in the model and calculated demand are far apart; both are shown."""
    found = []
    for room in rooms:
        model, calculated = demands[room.ifc_guid].model_w, demands[room.ifc_guid].calculated_w
        if model is None or calculated is None or abs(calculated - model) <= _MOST_DIFFERENCE * model:
            continue
        why = Message(
            "the model states a heat load of {model:.0f} W, calculated are {calculated:.0f} W "
            "({more:+.0%}); ask who made the model what its figure holds",
            model=model,
            calculated=calculated,
            more=calculated / model - 1,
        )
        found += _rooms("heat_demand.model-differs", Severity.WARNING, [room], why)
    return found


def _rooms(code: str, severity: Severity, rooms: Sequence[Room], why: str) -> list[Finding]:
    """One finding that names the rooms, the first five in words."""
    if not rooms:
        return []
    names = first_of([room.label for room in rooms])
    guids = tuple(room.ifc_guid for room in rooms)
    words = Message("{names}: {why}", names=names, why=why)
    return [Finding(code=code, severity=severity, message=words, ifc_guids=guids, source="EN 12831-1")]
