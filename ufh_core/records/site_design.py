"""The design as those on site need it: read from design.json, so that nobody there needs the architect's model."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from ufh_core.basis.pipe_axis import Arc, Point, arc_through
from ufh_core.records.readings import RecordError
from ufh_core.section.calendar import ScreedDay
from ufh_core.section.first_heating import DAY_S, HeatingProgramme
from ufh_core.settings.reading import settings_from_table
from ufh_core.settings.types import Settings

FILE = "design.json"
_LEAST_M = 1e-4
_SECTIONS = ("pipe", "floor", "hydraulics")  # of the settings, what records are checked with


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteRoom:
    """A room by GlobalId and by the name that people read."""

    guid: str
    name: str
    storey: str
    indoor_c: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteCircuit:
    """A circuit as designed. Length [m], flow [kg/s] and [l/min], temperatures [°C], Kv [m³/h]; `arcs` are its bends.

    `rooms` are names, the first the one that it heats; `indoor_c` is that room's temperature.
    """

    number: str
    manifold: str
    rooms: tuple[str, ...]
    length_m: float
    mass_flow: float
    flow_l_min: float
    flow_c: float
    return_c: float
    indoor_c: float
    valve_kv: float
    valve_turns: float | None
    valve_setting: str
    arcs: tuple[Arc, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteManifold:
    """A manifold with its pump's duty [Pa], the flow [kg/s] and [m³/s] at it, and the part that all circuits share."""

    name: str
    storey: str
    room: str
    flow_c: float
    return_c: float
    pump_pa: float
    entry_pa: float
    mass_flow: float
    volume_flow: float
    circuits: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteField:
    """A pour field: name, rooms by name, size [m²], [m], screed [m] as designed, pipe's cover in it [m], manifolds."""

    name: str
    storey: str
    rooms: tuple[str, ...]
    area_m2: float
    length_m: float
    width_m: float
    thickness_m: float
    cover_m: float
    manifolds: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteDesign:
    """What site records are held against; `fingerprint` changes with whatever they refer to."""

    project: str
    fingerprint: str
    settings: Settings
    rooms: tuple[SiteRoom, ...]
    manifolds: tuple[SiteManifold, ...]
    circuits: tuple[SiteCircuit, ...]
    fields: tuple[SiteField, ...]
    programme: HeatingProgramme | None
    calendar: tuple[ScreedDay, ...]

    def names(self, what: str) -> tuple[str, ...]:
        """Names of all there are: "manifold", "circuit", "field" or "room"."""
        found: Mapping[str, tuple[str, ...]] = {
            "manifold": tuple(m.name for m in self.manifolds),
            "circuit": tuple(c.number for c in self.circuits),
            "field": tuple(f.name for f in self.fields),
            "room": tuple(r.name for r in self.rooms),
        }
        return found[what]

    def circuit(self, number: str) -> SiteCircuit:
        """A circuit that is there, by number."""
        return next(c for c in self.circuits if c.number == number)

    def manifold(self, name: str) -> SiteManifold:
        """A manifold that is there, by name."""
        return next(m for m in self.manifolds if m.name == name)

    def field(self, name: str) -> SiteField:
        """A pour field that is there, by name."""
        return next(f for f in self.fields if f.name == name)


def read_site_design(folder: Path) -> SiteDesign:
    """The design in a folder.

    Raises: RecordError, one line, where there is none or it cannot be read.
    """
    path = folder / FILE
    try:
        table = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise RecordError(f"{path}: not there; name the folder that `warmloom design MODEL --out DIR` wrote") from None
    except (OSError, UnicodeDecodeError) as error:
        raise RecordError(f"{path}: cannot be read: {getattr(error, 'strerror', None) or 'not UTF-8 text'}") from None
    except (json.JSONDecodeError, RecursionError):
        raise RecordError(f"{path}: not valid JSON; run `warmloom design` again") from None
    return site_design(table, str(path))


def site_design(table: Any, file: str = FILE) -> SiteDesign:
    """The design from the content of design.json.

    Raises: RecordError where something that records need is not in it.
    """
    try:
        return _site_design(table, file)
    except (KeyError, TypeError, ValueError, AttributeError, IndexError, ZeroDivisionError):
        raise RecordError(f"{file}: not of this version of the tool: run `warmloom design` again") from None


def _site_design(table: Mapping[str, Any], file: str) -> SiteDesign:
    sections = {name: table["settings"][name] for name in _SECTIONS}
    settings = settings_from_table(sections, file)
    rooms = {room.guid: room for storey in table["storeys"] for room in _rooms(storey)}
    circuits = tuple(_circuit(row, rooms, settings) for s in table["storeys"] for row in s["circuits"])
    return SiteDesign(
        project=str(table["model"]["project_name"] or table["model"]["building_name"] or ""),
        fingerprint=_fingerprint(table),
        settings=settings,
        rooms=tuple(rooms.values()),
        manifolds=tuple(_manifold(row, s, rooms, circuits) for s in table["storeys"] for row in s["manifolds"]),
        circuits=circuits,
        fields=tuple(f for k, s in enumerate(table["storeys"], 1) for f in _fields(s, k, rooms, circuits, settings)),
        programme=_programme(table["first_heating"]),
        calendar=tuple(_day(row) for row in table["screed_calendar"]),
    )


def _fingerprint(table: Mapping[str, Any]) -> str:
    """Digest of what records refer to: circuits with length and flow, fields with size, the first heating."""
    circuits = [
        [row["number"], row["rooms"], round(row["length_m"], 2), round(row["mass_flow_kg_s"], 5)]
        for storey in table["storeys"]
        for row in storey["circuits"]
    ]
    fields = [[row["rooms"], round(row["area_m2"], 2)] for s in table["storeys"] for row in s["joints"]["pour_fields"]]
    content = json.dumps([circuits, fields, table["first_heating"]], sort_keys=True)
    return hashlib.sha256(content.encode()).hexdigest()[:16]


def _rooms(storey: Mapping[str, Any]) -> Iterator[SiteRoom]:
    for row in storey["rooms"]:
        indoor = row.get("design_indoor_temperature_c")
        yield SiteRoom(guid=row["ifc_guid"], name=row["name"], storey=storey["name"], indoor_c=indoor)


def _circuit(row: Mapping[str, Any], rooms: Mapping[str, SiteRoom], settings: Settings) -> SiteCircuit:
    density = settings.hydraulics.fluid.density((row["flow_temperature_c"] + row["return_temperature_c"]) / 2)
    indoor = rooms[row["rooms"][0]].indoor_c
    return SiteCircuit(
        number=row["number"],
        manifold=row["manifold"],
        rooms=tuple(rooms[guid].name for guid in row["rooms"]),
        length_m=float(row["length_m"]),
        mass_flow=float(row["mass_flow_kg_s"]),
        flow_l_min=float(row["mass_flow_kg_s"]) / density * 60000,
        flow_c=float(row["flow_temperature_c"]),
        return_c=float(row["return_temperature_c"]),
        indoor_c=20.0 if indoor is None else float(indoor),
        valve_kv=float(row["valve_kv_m3_h"]),
        valve_turns=row["valve_turns"],
        valve_setting=row["valve_setting"],
        arcs=tuple(_arcs(row["path"])),
    )


def _arcs(path: Any) -> Iterator[Arc]:
    """The bends of a path; one that is no longer than its rounding is none."""
    for piece in path:
        if isinstance(piece, dict):
            start, middle, end = map(_point, piece["arc"])
            if min(math.dist(start, middle), math.dist(middle, end)) > _LEAST_M:
                yield arc_through(start, middle, end)


def _point(pair: Any) -> Point:
    return float(pair[0]), float(pair[1])


def _manifold(
    row: Mapping[str, Any], storey: Mapping[str, Any], rooms: Mapping[str, SiteRoom], circuits: tuple[SiteCircuit, ...]
) -> SiteManifold:
    return SiteManifold(
        name=row["name"],
        storey=storey["name"],
        room=rooms[row["room"]].name if row["room"] in rooms else "",
        flow_c=float(row["flow_temperature_c"]),
        return_c=float(row["return_temperature_c"]),
        pump_pa=float(row["pump_pressure_pa"]),
        entry_pa=sum(float(entry["pressure_pa"]) for entry in row["pump_pressure_entries"]),
        mass_flow=float(row["mass_flow_kg_s"]),
        volume_flow=float(row["volume_flow_m3_s"]),
        circuits=tuple(c.number for c in circuits if c.manifold == row["name"]),
    )


def _fields(
    storey: Mapping[str, Any],
    number: int,
    rooms: Mapping[str, SiteRoom],
    circuits: tuple[SiteCircuit, ...],
    settings: Settings,
) -> Iterator[SiteField]:
    """The pour fields of a storey, numbered in its order; a field without pipe and floor build-up is left out."""
    outside = settings.pipe.outside_diameter_m
    for k, row in enumerate(storey["joints"]["pour_fields"], 1):
        build_ups = [storey["build_up"][guid] for guid in row["rooms"] if guid in storey["build_up"]]
        screeds = [(layer, b) for b in build_ups for layer in b["layers"] if layer["role"] == "screed"]
        if not screeds:
            continue
        names = tuple(rooms[guid].name for guid in row["rooms"])
        yield SiteField(
            name=f"F{number}.{k:02d}",
            storey=storey["name"],
            rooms=names,
            area_m2=float(row["area_m2"]),
            length_m=float(row["length_m"]),
            width_m=float(row["width_m"]),
            thickness_m=max(layer["top_m"] - layer["bottom_m"] for layer, _ in screeds),
            cover_m=min(layer["top_m"] - b["pipe_axis_m"] - outside / 2 for layer, b in screeds),
            manifolds=tuple(sorted({c.manifold for c in circuits if set(names) & set(c.rooms)})),
        )


def _programme(row: Mapping[str, Any] | None) -> HeatingProgramme | None:
    if row is None:
        return None
    points = tuple((float(point["day"]) * DAY_S, float(point["flow_c"])) for point in row["points"])
    return HeatingProgramme(screed=row["screed"], earliest_days=float(row["earliest_days"]), points=points)


def _day(row: Mapping[str, Any]) -> ScreedDay:
    on = None if row["date"] is None else date.fromisoformat(row["date"])
    return ScreedDay(day=float(row["day"]), what=row["what"], source=row["source"], on=on)
