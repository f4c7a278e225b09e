"""The order list: pipe, panels, boards, strip, foil, screed, manifolds."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

from ufh_core.floor.types import BuildUp, PanelCount, TakeOffLine
from ufh_core.settings.types import Settings

CUTTING_SPARE = 0.05  # boards and strip; common practice
LAP_SPARE = 0.10  # foil and membrane with laps of 80 mm and more (EN 1264-4, from memory)


def take_off(
    build_ups: Sequence[BuildUp],
    areas_m2: Mapping[str, float],
    circuit_lengths_m: Mapping[str, float],
    ports: Mapping[str, int],
    settings: Settings,
    panels: PanelCount | None = None,
) -> tuple[TakeOffLine, ...]:
    """List what to order.

    `areas_m2` gives the floor of each room by GlobalId [m²], `circuit_lengths_m` the pipe of each
    circuit with tails and risers [m] by number, `ports` the circuits of each manifold by name, `panels` what the
    laying plan counts; without a plan panels are not ordered.
    """
    return (
        *_pipe(circuit_lengths_m, settings),
        *_panels(panels, settings),
        *_boards(build_ups, areas_m2),
        *_sheets(build_ups, areas_m2),
        *_strip(build_ups),
        *_screed(build_ups, settings),
        *_manifolds(ports),
    )


def _pipe(lengths: Mapping[str, float], settings: Settings) -> list[TakeOffLine]:
    total, spare = sum(lengths.values()), settings.pipe.spare
    if total <= 0:
        return []
    pipe = settings.pipe
    name = f"pipe {1000 * pipe.outside_diameter_m:g} x {1000 * pipe.wall_m:g} mm"
    note = f"{total:.1f} m laid, {100 * spare:g} % spare; one unbroken piece for each of {len(lengths)} circuits"
    return [TakeOffLine(item=name, quantity=math.ceil(total * (1 + spare)), unit="m", note=note)]


def _panels(count: PanelCount | None, settings: Settings) -> list[TakeOffLine]:
    if count is None or count.panels == 0:
        return []
    size = f"{1000 * settings.floor.panel_length_m:.0f} x {1000 * settings.floor.panel_width_m:.0f} mm"
    waste = 1 - count.covered_m2 / (count.panels * settings.floor.panel_length_m * settings.floor.panel_width_m)
    note = (
        f"counted on the laying plan: {count.covered_m2:.1f} m² covered, {count.whole} laid whole, {100 * waste:.0f} % "
        "in off-cuts; no spare for damage"
    )
    return [TakeOffLine(item=f"castellated panel {size}", quantity=count.panels, unit="pcs", note=note)]


def _boards(build_ups: Sequence[BuildUp], areas: Mapping[str, float]) -> list[TakeOffLine]:
    """One line for each thickness of insulation board."""
    by_thickness: dict[int, float] = defaultdict(float)
    for build_up in build_ups:
        for layer in build_up.layers:
            if layer.role == "insulation":
                by_thickness[round(1000 * layer.thickness_m)] += areas[build_up.room]
    return [
        _square_metres(f"insulation board {thickness} mm", area, CUTTING_SPARE, "cutting")
        for thickness, area in sorted(by_thickness.items())
    ]


def _sheets(build_ups: Sequence[BuildUp], areas: Mapping[str, float]) -> list[TakeOffLine]:
    names = {"membrane": "damp-proof membrane", "foil": "polyethylene foil"}
    found = [(name, _area(build_ups, areas, role)) for role, name in names.items()]
    return [_square_metres(name, area, LAP_SPARE, "laps") for name, area in found if area > 0]


def _square_metres(item: str, area: float, spare: float, why: str) -> TakeOffLine:
    note = f"{area:.1f} m², {100 * spare:g} % for {why}"
    return TakeOffLine(item=item, quantity=math.ceil(area * (1 + spare) - 1e-9), unit="m²", note=note)


def _strip(build_ups: Sequence[BuildUp]) -> list[TakeOffLine]:
    length = sum(build_up.edge_strip_m for build_up in build_ups)
    if length <= 0:
        return []
    note = f"{length:.1f} m round the rooms, {100 * CUTTING_SPARE:g} % for cutting"
    return [TakeOffLine(item="edge strip", quantity=math.ceil(length * (1 + CUTTING_SPARE)), unit="m", note=note)]


def _screed(build_ups: Sequence[BuildUp], settings: Settings) -> list[TakeOffLine]:
    volume = sum(build_up.screed_volume_m3 for build_up in build_ups)
    if volume <= 0:
        return []
    name, mass = f"{settings.floor.screed} screed", volume * settings.floor.screed_density
    return [
        TakeOffLine(item=name, quantity=round(volume, 2), unit="m³", note="net of studs and pipe, no spare"),
        TakeOffLine(item=f"{name}, mass as laid", quantity=round(mass), unit="kg", note="the same screed by weight"),
    ]


def _manifolds(ports: Mapping[str, int]) -> list[TakeOffLine]:
    """Manifolds with their cabinets, and what each circuit needs at them."""
    sizes = Counter(count for count in ports.values() if count > 0)
    lines = [
        TakeOffLine(item=f"manifold for {size} circuits with cabinet and mixing station", quantity=n, unit="pcs")
        for size, n in sorted(sizes.items())
    ]
    circuits = sum(ports.values())
    if circuits:
        lines.append(TakeOffLine(item="pipe connector", quantity=2 * circuits, unit="pcs", note="two for each circuit"))
        lines.append(TakeOffLine(item="valve actuator", quantity=circuits, unit="pcs", note="one for each circuit"))
    return lines


def _area(build_ups: Sequence[BuildUp], areas: Mapping[str, float], role: str) -> float:
    """Floor [m²] of the rooms that have a layer."""
    return sum(areas[b.room] for b in build_ups if any(layer.role == role for layer in b.layers))
