"""Settings of the floor's layers and of its pipe."""

# ruff: noqa: RUF009 (`_set` only makes a dataclass field)

from __future__ import annotations

from dataclasses import dataclass

from ufh_core.settings.metadata import CP, ROOM_KINDS
from ufh_core.settings.metadata import setting as _set

SCREEDS = ("cement", "calcium sulphate", "flowing calcium sulphate")
PIPE_HOLDERS = ("staples", "rails")
"""What holds the pipe where there is no stud grid; the same as `floor.fixing` names them (a test keeps them so)."""

SCREED_STRENGTHS = ("F4", "F5", "F7")
"""Classes of bending strength by EN 13813; the same as `floor.strength.STRENGTHS` (a test keeps them so)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorSettings:
    """The build-up over the load-bearing base."""

    screed: str = _set("cement", "kind of screed", choices=SCREEDS)
    poured_on: str = _set(
        "", "first day of laying screed, as 2031-05-06; its calendar then has dates, from the last one on"
    )
    screed_strength: str = _set("F4", "class of bending strength of the screed", "EN 13813", choices=SCREED_STRENGTHS)
    load_kn_m2: float = _set(2.0, "imposed load on the floor", "EN 1991-1-1: dwellings 2, offices 3", "kN/m²", 0.5, 10)
    insulation_deflection_m: float = _set(
        0.003, "by how much the insulation boards give way under their load, all layers", CP, "m", 0, 0.01
    )
    screed_conductivity: float = _set(1.2, "thermal conductivity of the screed", "EN 1264-2", "W/(m K)", 0.5, 2.5)
    screed_cover_m: float = _set(
        0.045, "cover of screed over the pipe", "DIN 18560-2, CT-F4, up to 2 kN/m²", "m", 0.03, 0.15
    )
    screed_density: float = _set(2000.0, "density of the screed as laid", CP, "kg/m³", 1000, 2600)
    finish_r: float = _set(0.10, "thermal resistance of the finish", "EN 1264-3 least design value", "m²K/W", 0, 0.4)
    finish_r_by_kind: dict[str, float] = _set(
        {"bath": 0.02, "wc": 0.02, "kitchen": 0.02, "hall": 0.05, "utility": 0.02},
        "thermal resistance of the finish by kind of room (tiles about 0.02)",
        CP,
        "m²K/W",
        0,
        0.4,
        ROOM_KINDS,
    )
    finish_thickness_m: float = _set(0.015, "thickness of the finish", CP, "m", 0, 0.1)
    insulation_conductivity: float = _set(
        0.035, "thermal conductivity of the insulation under the panel", CP, "W/(m K)", 0.015, 0.08
    )
    insulation_r_heated_below: float = _set(
        0.75, "least resistance over heated rooms", "EN 1264-4, table 1", "m²K/W", 0, 10
    )
    insulation_r_ground: float = _set(
        1.25, "least resistance over ground or unheated", "EN 1264-4, table 1", "m²K/W", 0, 10
    )
    insulation_r_outside: float = _set(2.0, "least resistance over outside air", "EN 1264-4, table 1", "m²K/W", 0, 10)
    panel_base_m: float = _set(0.011, "thickness of the castellated panel under the pipe", "generic", "m", 0.0, 0.06)
    panel_conductivity: float = _set(
        0.035, "thermal conductivity of the castellated panel", "generic", "W/(m K)", 0.02, 0.08
    )
    panel_length_m: float = _set(1.40, "castellated panel, length that covers", "generic", "m", 0.3, 3)
    panel_width_m: float = _set(0.80, "castellated panel, width that covers", "generic", "m", 0.3, 3)
    panel_lap_m: float = _set(
        0.01, "lap of panels over those laid before: a piece is cut to its gap and this", CP, "m", 0.0, 0.2
    )
    panel_least_piece_m: float = _set(0.10, "least width of a piece of panel", CP, "m", 0.02, 0.5)
    panel_pin_below_m2: float = _set(0.25, "smaller pieces are pinned, since the pipe lifts them", CP, "m²", 0, 2)
    stud_volume_m3_per_m2: float = _set(0.004, "screed that the studs displace", "generic", "m³/m²", 0, 0.02)
    pipe_holder: str = _set(
        "staples", "what holds the pipe where layout.stud_grid = false: no panels then", CP, choices=PIPE_HOLDERS
    )
    staple_spacing_m: float = _set(0.40, "staples along the pipe, mean distance with bends", CP, "m", 0.1, 1)
    rail_spacing_m: float = _set(1.0, "distance of clip rails, which lie across the pipes", CP, "m", 0.3, 2)
    rail_seat_m: float = _set(0.005, "height of the pipe's underside over the foil in a clip rail", CP, "m", 0, 0.02)
    membrane_thickness_m: float = _set(0.001, "thickness of the damp-proof membrane, on ground only", CP, "m", 0, 0.01)
    foil_thickness_m: float = _set(
        0.0002, "thickness of the foil", "EN 1264-4: 0.15 mm or more, from memory", "m", 0.00015, 0.002
    )
    edge_strip_thickness_m: float = _set(
        0.008, "thickness of the edge strip", "DIN 18560-2, from memory", "m", 0.005, 0.02
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeSettings:
    """The pipe."""

    outside_diameter_m: float = _set(0.016, "outside diameter of the pipe", "generic", "m", 0.008, 0.03)
    wall_m: float = _set(0.002, "thickness of the pipe wall", "generic", "m", 0.0008, 0.005)
    conductivity: float = _set(0.35, "thermal conductivity of the pipe wall", "EN 1264-2 (PE-X)", "W/(m K)", 0.1, 400)
    roughness_m: float = _set(7e-6, "roughness of the inner surface", CP, "m", 0, 1e-4)
    least_bend_radius_m: float = _set(
        0.075, "least bend radius on the axis", "three studs of 50 mm round a turn, " + CP, "m", 0.05, 0.2
    )
    greatest_circuit_length_m: float = _set(
        100.0, "greatest length of a circuit with both tails", CP + " for 16 mm pipe", "m", 20, 300
    )
    spare: float = _set(0.03, "share of spare pipe in the order", CP, "", 0, 0.3)
    coil_lengths_m: tuple[float, ...] = _set(
        (120.0, 240.0, 500.0),
        "coils that can be bought; every circuit is cut from one, without a joint",
        CP,
        "m",
        50,
        600,
    )
