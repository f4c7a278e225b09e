"""The panels of a storey: its floors at the angle of their pipes, laid with the panel of the settings."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from collections.abc import Set as AbstractSet

import shapely

from ufh_core.basis.areas import Area
from ufh_core.basis.pipe_axis import PipeAxis
from ufh_core.building.types import Passage
from ufh_core.panels.floors import panel_floors
from ufh_core.panels.plan import panel_plan
from ufh_core.panels.stud_angle import Straights, between_studs, straights, stud_angle
from ufh_core.panels.types import PanelFloor, PanelPlan, PanelSize
from ufh_core.settings.types import Settings
from ufh_core.zones.level_plan import Level

LEAST_OFF_M = 0.5


def storey_panels(
    levels: Sequence[Level], built: Collection[str], axes: Sequence[PipeAxis], settings: Settings
) -> PanelPlan | None:
    """Lay the panels of a storey under the pipes that were laid.

    `built` are the GlobalIds of the rooms that get a floor. None where the system has no studs, or nothing is built.
    """
    if not settings.layout.stud_grid:
        return None
    size, pipes, strip_m = panel_size(settings), straights(axes), settings.floor.edge_strip_thickness_m
    lines = shapely.union_all([axis.line() for axis in axes])
    rooms: dict[str, Area] = {}
    floors: list[PanelFloor] = []
    off: list[tuple[str, float]] = []
    for level in levels:
        own = {g: floor for g, floor in level.floors.items() if g in built and not floor.is_empty}
        angles = {}
        for guid, floor in own.items():
            here = pipes.within(floor)
            angles[guid] = stud_angle(here, size.stud_m)
            off += _off_grid(guid, here, angles[guid], size.stud_m)
        ways = _ways_under_panels(level.passages, own.keys(), lines)
        floors += panel_floors(own, angles, ways, strip_m, settings.floor.panel_least_piece_m)
        rooms |= own
    if not floors:
        return None
    floors.sort(key=lambda floor: floor.lap_along is not None)
    return panel_plan(floors, rooms, size, pin_below_m2=settings.floor.panel_pin_below_m2, off_grid_m=tuple(off))


def _ways_under_panels(passages: Sequence[Passage], rooms: AbstractSet[str], lines: shapely.Geometry) -> list[Passage]:
    """Doorways with panels: between two rooms that have a floor, or with a pipe that runs through."""
    return [p for p in passages if len(rooms & set(p.rooms)) > 1 or shapely.intersects(lines, p.outline)]


def panel_size(settings: Settings) -> PanelSize:
    """The panel of the settings, counted in studs."""
    floor, stud = settings.floor, settings.layout.stud_pitch_m
    return PanelSize(
        long=round(floor.panel_length_m / stud),
        wide=round(floor.panel_width_m / stud),
        lap=floor.panel_lap_m / stud,
        least=floor.panel_least_piece_m / stud,
        stud_m=stud,
    )


def _off_grid(guid: str, pipes: Straights, angle: float, stud_m: float) -> list[tuple[str, float]]:
    """Pipe of a room that does not run between its studs [m], where it is worth a word."""
    length = float(pipes.length[~between_studs(pipes, angle, stud_m)].sum())
    return [(guid, length)] if length > LEAST_OFF_M else []
