"""The laying plan of castellated panels: whole panels, pieces, what each is cut from, the cutting list."""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry import Polygon

from ufh_core.basis.pipe_axis import Point

Box = tuple[float, float, float, float]
"""West, south, east, north."""
LARGE_M2, MOST_WASTE = 12.0, 0.06
"""A room above this size [m²] is to lose no more than this share of its panels; own rule."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelSize:
    """A panel counted in studs: `long` by `wide` that cover, and the `lap` of its lock edges beyond them.

    Lock edges are at the west and at the south of the panel as it is drawn, so that the whole panel is the
    box from -lap to `long` and from -lap to `wide`. No piece may be narrower than `least` where the floor
    is wider.
    """

    long: int
    wide: int
    lap: float
    least: float
    stud_m: float

    @property
    def box(self) -> Box:
        """The whole panel with its lock edges [studs]."""
        return (-self.lap, -self.lap, float(self.long), float(self.wide))

    @property
    def covers_m2(self) -> float:
        """Floor that a whole panel covers [m²]."""
        return self.long * self.wide * self.stud_m**2


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A whole panel or a piece of one, as it lies.

    `outline` is the floor that it covers in the plan frame [m]. `cut_m` is its place in the panel (west,
    south, east, north from the corner of the panel that covers; lock edges are negative), laps included, and
    `lap_m` how far it laps over its neighbours at each of these sides; `length_m` and `width_m` what to measure and
    cut along and across the panel: gap and lap. `from_panel` is the
    panel's number on the storey. A `whole` panel needs no cut; `trimmed` is a piece that is cut once more to a
    shape that is no rectangle; `pin` marks what the pipe's tension would lift.
    """

    number: str
    room: str
    outline: Polygon
    from_panel: int
    cut_m: Box
    lap_m: Box
    length_m: float
    width_m: float
    whole: bool
    trimmed: bool
    pin: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelArea:
    """Floor that is laid in one go from one corner: a room, rooms that are open to each other, or a threshold.

    `outline` is the floor covered [m]; rows run along `heading`, from `corner`, where the lock edges of the
    first panel lie at the walls; `angle_rad` is the stud grid's angle against the level's frame.
    """

    letter: str
    rooms: tuple[str, ...]
    threshold: bool
    outline: Polygon
    angle_rad: float
    corner: Point
    heading: Point
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """One straight cut from edge to edge of what is left of a panel: `part` is cut at `at_m`.

    `across` cuts stand across the panel's length, others along it. In the panel's own measures [m].
    """

    part_m: Box
    across: bool
    at_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPanel:
    """A panel that is cut: its pieces, the cuts in their order, and the off-cuts that remain [m]."""

    number: int
    pieces: tuple[str, ...]
    cuts: tuple[Cut, ...]
    left_m: tuple[Box, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingLine:
    """Pieces of one width and length [m], to be cut in a stack."""

    width_m: float
    length_m: float
    pieces: tuple[str, ...]
    panels: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomPanels:
    """The share of a room: whole panels and pieces in it, floor covered, and panel material [m²] that it takes.

    What is lost in a panel is shared by its pieces as their floor.
    """

    room: str
    whole: int
    pieces: int
    covered_m2: float
    used_m2: float

    @property
    def waste(self) -> float:
        """Share of the material that does not end up as floor; off-cuts that can be used again are not lost."""
        return max(0.0, 1 - self.covered_m2 / self.used_m2) if self.used_m2 > 0 else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelPlan:
    """The laying plan of a storey.

    `panels` are to be ordered, `left_m2` of them remain in off-cuts large enough to be used again; `off_grid_m` is
    pipe that does not run between the studs, by room. `slivers` are pieces narrower than the least, by number.
    """

    size: PanelSize
    areas: tuple[PanelArea, ...]
    rooms: tuple[RoomPanels, ...]
    panels: int
    cut_panels: tuple[CutPanel, ...]
    cutting_list: tuple[CuttingLine, ...]
    left_m2: float
    off_grid_m: tuple[tuple[str, float], ...] = ()
    slivers: tuple[str, ...] = ()

    @property
    def covered_m2(self) -> float:
        """Floor under panels [m²]."""
        return float(sum(area.outline.area for area in self.areas))

    @property
    def waste(self) -> float:
        """Share of all panels that does not end up as floor, off-cuts that remain included."""
        whole = self.panels * self.size.covers_m2
        return 1 - self.covered_m2 / whole if whole > 0 else 0.0

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """All pieces in the order of laying."""
        return tuple(piece for area in self.areas for piece in area.pieces)


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelFloor:
    """Floor to be laid in one go, before it has panels; see `PanelArea`.

    A threshold's pieces lap over the rooms on both sides, along `lap_along` (a unit vector).
    """

    rooms: tuple[str, ...]
    outline: Polygon
    angle_rad: float
    lap_along: Point | None = None
