"""Every setting of the design: default, unit, range and source, in frozen dataclasses.

The metadata of each field is what the settings file's comments and the checks are made from.
All values in SI (m, W, Pa, K; temperatures in °C).
"""

# ruff: noqa: RUF009 (`_set` only makes a dataclass field)

from __future__ import annotations

from dataclasses import dataclass, field

from ufh_core.settings.cooling_types import CoolingSettings
from ufh_core.settings.floor_types import FloorSettings, PipeSettings
from ufh_core.settings.hydraulic_types import HydraulicSettings
from ufh_core.settings.joint_types import JointSettings
from ufh_core.settings.metadata import BUILDING_AGES, CP, EDGE_ZONES, PATTERNS, ROOM_KINDS
from ufh_core.settings.metadata import setting as _set
from ufh_core.settings.order_types import OrderSettings
from ufh_core.settings.steering import KeptCircuits, ManifoldPlace, RoomOverride


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomSettings:
    """Which rooms are heated, and to what temperature."""

    not_heated_kinds: tuple[str, ...] = _set(
        ("stair", "shaft", "attic", "roof", "garage", "cellar", "technical", "store", "outside", "area_scheme"),
        "kinds of room that are left out",
        CP,
        choices=ROOM_KINDS,
    )
    least_area_m2: float = _set(1.0, "smaller rooms are left out", CP, "m²", 0.2, 10)
    indoor_c: dict[str, float] = _set(
        {"bath": 24.0, "hall": 20.0, "treatment": 22.0, "store": 15.0, "utility": 18.0},
        "indoor temperature by kind of room; any other kind: indoor_default_c",
        "EN 12831-1 national annex values, from memory",
        "°C",
        5,
        30,
        ROOM_KINDS,
    )
    indoor_default_c: float = _set(20.0, "indoor temperature of other rooms", "EN 12831 NA", "°C", 5, 30)
    model_choices: bool = _set(
        True,
        "take the answers for rooms and places of manifolds that the model carries from an earlier design "
        "(UFH_RoomChoices, UFH_ManifoldPlaces) where this file is silent; false: this file alone",
    )
    overrides: tuple[RoomOverride, ...] = _set((), "rooms with answers of their own, as [[rooms.overrides]] tables")


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatDemandSettings:
    """Heat demand by EN 12831-1, simplified, where the model states none."""

    outdoor_c: float = _set(-12.0, "design outdoor temperature", "local annex; this default is generic", "°C", -40, 15)
    ground_factor: float = _set(
        0.3, "temperature factor of floors on ground", "DIN/TS 12831-1 simple factors", "", 0, 1
    )
    unheated_factor: float = _set(
        0.5, "temperature factor to unheated rooms", "DIN/TS 12831-1 simple factors", "", 0, 1
    )
    thermal_bridge: float = _set(0.05, "thermal-bridge allowance", "DIN/TS 12831-1 simple values", "W/(m²K)", 0, 0.3)
    air_change: float = _set(0.5, "least air change of other rooms", "EN 12831-1, from memory", "1/h", 0, 5)
    air_change_by_kind: dict[str, float] = _set(
        {"bath": 1.0, "wc": 1.0, "kitchen": 1.0, "treatment": 1.5, "waiting": 1.5},
        "least air change by kind of room",
        CP,
        "1/h",
        0,
        5,
        ROOM_KINDS,
    )
    reheat_w_m2: float = _set(0.0, "power for heating up after a setback", "EN 12831-1; agree it", "W/m²", 0, 60)
    building_age: str = _set(
        "from-2002", "when the building was built or last insulated: typical U-values", CP, choices=BUILDING_AGES
    )
    u_wall: float = _set(0.28, "U-value of an outer wall where the model is silent", CP, "W/(m²K)", 0.05, 5)
    u_window: float = _set(1.3, "U-value of a window where the model is silent", CP, "W/(m²K)", 0.4, 7)
    u_door: float = _set(1.8, "U-value of an outer door where the model is silent", CP, "W/(m²K)", 0.4, 7)
    u_roof: float = _set(0.20, "U-value of a roof or top floor where the model is silent", CP, "W/(m²K)", 0.05, 5)
    u_ground: float = _set(0.35, "U-value of a lowest floor where the model is silent", CP, "W/(m²K)", 0.05, 5)
    u_inner: float = _set(1.5, "U-value of an inner wall or floor where the model is silent", CP, "W/(m²K)", 0.1, 7)
    fallback_w_m2: float = _set(60.0, "heat demand where nothing can be calculated", CP, "W/m²", 5, 300)


@dataclass(frozen=True, slots=True, kw_only=True)
class LayoutSettings:
    """How pipes are laid."""

    pitches_m: tuple[float, ...] = _set(
        (0.15, 0.20, 0.25, 0.30), "pitches to choose from, each a multiple of the stud pitch", CP, "m", 0.1, 0.4
    )
    stud_pitch_m: float = _set(0.05, "stud pitch of the castellated panel", "generic", "m", 0.025, 0.1)
    pattern: str = _set(
        "counterflow",
        "how a circuit fills its floor: flow and return side by side, to and fro, or to and fro from the outer wall on",
        CP,
        choices=PATTERNS,
    )
    edge_zone: str = _set(
        "none",
        "floor along outer walls laid tighter: not at all, by the room's own pipe, or by a circuit for the edge alone",
        CP,
        choices=EDGE_ZONES,
    )
    edge_zone_depth_m: float = _set(1.0, "depth of edge zones from the outer wall", "EN 1264-2: up to 1 m", "m", 0.3, 1)
    edge_zone_pitch_m: float = _set(0.15, "pitch in edge zones, where it is less than the room's", CP, "m", 0.1, 0.4)
    stud_grid: bool = _set(
        True,
        "false: no castellated panel; what floor.pipe_holder says holds the pipe anywhere, so runs follow oblique and "
        "curved walls, and stud_pitch_m is only the grid that tails are led on",
        CP,
    )
    wall_clearance_m: float = _set(
        0.05, "pipe axis to walls, columns and fixed units", "EN 1264-4, from memory", "m", 0.03, 0.3
    )
    hearth_clearance_m: float = _set(
        0.20, "pipe axis to hearths, chimneys and open shafts", "EN 1264-4, from memory", "m", 0.05, 0.5
    )
    tail_spacing_m: float = _set(0.05, "least distance between tails", CP, "m", 0.036, 0.2)
    wall_sleeves: bool = _set(
        True,
        "where no door leads to a room, or none wide enough, take its tails straight through a wall in sleeves; never "
        "through one that bears by the model's word",
    )
    fire_wall_sleeves: bool = _set(
        False, "allow such sleeves in walls that resist fire; each hole is then to be sealed to the wall's rating"
    )
    keep_clear_of_movable: bool = _set(False, "leave out the floor under movable furniture too")


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifoldSettings:
    """The manifold and its place."""

    most_ports: int = _set(12, "most circuits of one manifold", CP, "", 2, 24)
    port_spacing_m: float = _set(
        0.10, "width that one circuit (flow and return) takes at the bars", "generic", "m", 0.1, 0.2
    )
    mixing_station_m: float = _set(
        0.30, "length beside the bars for the mixing station and the entry valves", "generic", "m", 0, 1
    )
    cabinet_depth_m: float = _set(0.12, "depth of the cabinet", "generic", "m", 0.05, 0.4)
    cabinet_height_m: float = _set(0.75, "height of the cabinet", "generic", "m", 0.4, 1.5)
    service_depth_m: float = _set(0.70, "depth of free floor in front", CP, "m", 0.4, 1.5)
    flow_bar_height_m: float = _set(0.60, "height of the flow bar over the floor", "generic", "m", 0.2, 1.5)
    return_bar_height_m: float = _set(0.40, "height of the return bar over the floor", "generic", "m", 0.2, 1.5)
    by_dwelling: bool = _set(
        True, "each flat has manifolds of its own, and no tails of another flat; flats are zones of the model"
    )
    room_factor: dict[str, float] = _set(
        {
            "utility": 1.0,
            "technical": 1.0,
            "store": 1.02,
            "hall": 1.04,
            "stair": 1.2,
            "wc": 1.35,
            "bath": 1.35,
            "kitchen": 1.5,
            "bedroom": 1.6,
            "living": 1.6,
        },
        "how dear a place is by kind of room; other kinds 1.5",
        CP,
        "",
        0.1,
        100,
        ROOM_KINDS,
    )
    places: tuple[ManifoldPlace, ...] = _set((), "places given by the designer, as [[manifold.places]] tables")


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitSettings:
    """Rooms that share a circuit, floor that is filled in passing, and circuits that are there already."""

    share_below_m2: float = _set(
        4.0,
        "a smaller room goes on a neighbour's circuit that passes its door, a smaller part of a room beyond a movement "
        "joint on one of the room's, where that can be; 0: never",
        "own rule",
        "m²",
        0,
        10,
    )
    fill_in_passing: bool = _set(
        True,
        "cold pieces of a room are filled by its circuit; of halls, utility rooms and stores also by others that pass",
    )
    keep: tuple[KeptCircuits, ...] = _set((), "circuits that stay, as [[circuits.keep]] tables")


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputSettings:
    """Water temperatures and surface limits."""

    flow_c: float | None = _set(
        None, "flow temperature; without it, the least that carries the rooms is found", "", "°C", 25, 60
    )
    greatest_flow_c: float = _set(45.0, "no flow temperature above this is proposed", CP, "°C", 25, 60)
    spread_k: float = _set(5.0, "spread of the water (flow less return) in the governing room", "EN 1264-3", "K", 2, 10)
    greatest_spread_k: float = _set(15.0, "greatest spread of any circuit", CP, "K", 5, 25)
    occupied_limit_k: float = _set(9.0, "limit of surface over room temperature, occupied area", "EN 1264-2", "K", 3, 9)
    edge_limit_k: float = _set(
        15.0, "limit of surface over room temperature, edge zone up to 1 m", "EN 1264-2", "K", 3, 15
    )
    bath_limit_k: float = _set(9.0, "limit of surface over room temperature, bathrooms", "EN 1264-2", "K", 3, 9)


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """All settings."""

    rooms: RoomSettings = field(default_factory=RoomSettings)
    heat_demand: HeatDemandSettings = field(default_factory=HeatDemandSettings)
    floor: FloorSettings = field(default_factory=FloorSettings)
    pipe: PipeSettings = field(default_factory=PipeSettings)
    layout: LayoutSettings = field(default_factory=LayoutSettings)
    manifold: ManifoldSettings = field(default_factory=ManifoldSettings)
    circuits: CircuitSettings = field(default_factory=CircuitSettings)
    output: OutputSettings = field(default_factory=OutputSettings)
    hydraulics: HydraulicSettings = field(default_factory=HydraulicSettings)
    cooling: CoolingSettings = field(default_factory=CoolingSettings)
    joints: JointSettings = field(default_factory=JointSettings)
    order: OrderSettings = field(default_factory=OrderSettings)
