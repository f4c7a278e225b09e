"""The cooling check of a storey: what each floor takes up in summer, and whether it stays dry and bearable."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from ufh_core.basis.findings import Finding, Severity
from ufh_core.basis.message import Message, first_of
from ufh_core.design_result import CircuitDesign, RoomDesign
from ufh_core.settings.types import Settings
from ufh_core.thermal_output.cooling import (
    COOLED_FLOOR_FILM,
    CooledFloor,
    cooled_floor,
    cooling_characteristic,
    dew_point,
)
from ufh_core.thermal_output.rooms import floor_section
from ufh_core.thermal_output.types import RoomRequest
from ufh_core.thermal_output.water_side import carried_heat

_SOURCE = "EN 1264-5"
_HAIR_K = 0.005


def with_cooling(
    rooms: Sequence[RoomDesign],
    requests: Iterable[RoomRequest],
    circuits: Iterable[CircuitDesign],
    settings: Settings,
) -> tuple[RoomDesign, ...]:
    """The rooms with what their floors take up at the flows of winter; unchanged where cooling is not asked for."""
    flow_c = settings.cooling.water_c
    if flow_c is None:
        return tuple(rooms)
    asked = {r.room: r for r in requests if r.kind.value not in settings.cooling.not_cooled_kinds}
    flows = _flows(circuits)
    done = []
    for room in rooms:
        request, output = asked.get(room.room), room.output
        if request is None or output is None or room.heated_area_m2 <= 0:
            done.append(room)
            continue
        cooled = cooled_floor(
            floor_section(request, output.pitch_m, settings),
            room.heated_area_m2,
            flows.get(room.room, 0.0),
            flow_c,
            settings.cooling.room_c,
            carried_heat(settings.hydraulics.fluid, flow_c),
        )
        done.append(replace(room, cooling=cooled))
    return tuple(done)


def _flows(circuits: Iterable[CircuitDesign]) -> dict[str, float]:
    """The water of each room's fields [kg/s]: that of its circuits, shared by floor."""
    flows: dict[str, float] = {}
    for circuit in circuits:
        whole = sum(field.area_m2 for field in circuit.laid.fields)
        for field in circuit.laid.fields:
            share = field.area_m2 / whole if whole > 0 else 0.0
            flows[field.room] = flows.get(field.room, 0.0) + share * circuit.flow.mass_flow
    return flows


def cooling_findings(
    rooms: Iterable[RoomDesign], requests: Iterable[RoomRequest], settings: Settings
) -> tuple[Finding, ...]:
    """What is taken up in all, wet surfaces, sweating pipes and floors too cold for feet."""
    asked = {request.room: request for request in requests}
    cooled = {room.room: (room, room.cooling) for room in rooms if room.cooling is not None}
    if not cooled:
        return ()
    own = settings.cooling
    dew_c = dew_point(own.room_c, own.humidity)
    driest = dew_c + own.dew_margin_k
    wet = {g: floor for g, (_, floor) in cooled.items() if floor.coldest_surface_c < driest - _HAIR_K}
    cold = {g: floor for g, (_, floor) in cooled.items() if floor.mean_surface_c < own.least_surface_c - _HAIR_K}
    found = [_taken(cooled, asked, dew_c, settings)]
    if wet:
        safe = _driest_flow((cooled[guid][0] for guid in wet), asked, driest, settings)
        found.append(
            _finding(
                "cooling.condensation",
                Severity.WARNING,
                Message(
                    "{names}: the floor gets down to {coldest_surface:.1f} °C where the water enters, nearer "
                    "than {dew_margin:g} K to the dew point of {dew:.1f} °C: run water of {safe:.1f} °C or "
                    "more, or keep the air drier than {humidity:.0f} %",
                    names=_names(wet, asked),
                    coldest_surface=min(f.coldest_surface_c for f in wet.values()),
                    dew_margin=own.dew_margin_k,
                    dew=dew_c,
                    safe=safe,
                    humidity=100 * own.humidity,
                ),
                wet,
            )
        )
    flow_c = next(iter(cooled.values()))[1].flow_c
    if flow_c < dew_c - _HAIR_K:
        found.append(
            _finding(
                "cooling.pipes-sweat",
                Severity.WARNING,
                Message(
                    "water of {flow:.1f} °C is colder than the dew point of {dew:.1f} °C: manifolds, mixing "
                    "stations and all pipe outside the floor sweat; insulate them vapour-tight, or run "
                    "warmer water, and stop the pump at the dew point",
                    flow=flow_c,
                    dew=dew_c,
                ),
                {},
            )
        )
    if cold:
        coldest = min(floor.mean_surface_c for floor in cold.values())
        words = Message(
            "the floor cools to {coldest:.1f} °C, under the {least_surface:g} °C that feet bear",
            coldest=coldest,
            least_surface=own.least_surface_c,
        )
        message = Message("{names}: {words}: run warmer water", names=_names(cold, asked), words=words)
        found.append(_finding("cooling.surface-cold", Severity.WARNING, message, cold))
    return tuple(found)


def _driest_flow(
    rooms: Iterable[RoomDesign], asked: Mapping[str, RoomRequest], driest_c: float, settings: Settings
) -> float:
    """The coldest flow [°C] with which these floors stay above a temperature where the water enters."""
    room_c, flows = settings.cooling.room_c, []
    for room in rooms:
        assert room.output is not None
        k = cooling_characteristic(floor_section(asked[room.room], room.output.pitch_m, settings))
        flows.append(room_c - COOLED_FLOOR_FILM * (room_c - driest_c) / k)
    return max(flows)


def _taken(
    cooled: Mapping[str, tuple[RoomDesign, CooledFloor]],
    asked: Mapping[str, RoomRequest],
    dew_c: float,
    settings: Settings,
) -> Finding:
    """What the floors take up, in all and each."""
    own = settings.cooling
    most = sorted(cooled, key=lambda guid: -cooled[guid][1].taken_w)
    each = first_of(
        [
            f"{asked[guid].called} {cooled[guid][1].taken_w:.0f} W ({cooled[guid][1].heat_flux:.0f} W/m²)"
            for guid in most
        ]
    )
    whole = sum(floor.taken_w for _, floor in cooled.values())
    floor = next(iter(cooled.values()))[1]
    return _finding(
        "cooling.output",
        Severity.NOTE,
        Message(
            "with water of {flow:.1f} °C at the flows of winter the floors take up {whole:.0f} W "
            "from rooms at {room:g} °C (dew point {dew:.1f} °C at {humidity:.0f} %): {each}; "
            "compare with a calculation of the cooling load",
            flow=floor.flow_c,
            whole=whole,
            room=own.room_c,
            dew=dew_c,
            humidity=100 * own.humidity,
            each=each,
        ),
        cooled,
    )


def _names(rooms: Iterable[str], asked: Mapping[str, RoomRequest]) -> str:
    """The first five rooms in words."""
    return first_of([asked[guid].called for guid in rooms])


def _finding(code: str, severity: Severity, message: Message, rooms: Iterable[str]) -> Finding:
    return Finding(code=code, severity=severity, message=message, ifc_guids=tuple(rooms), source=_SOURCE)
