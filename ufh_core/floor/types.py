"""The layers over the load-bearing base."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from shapely.geometry import Polygon


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer from below to above. `role`: membrane, insulation, foil, panel, screed, finish.

    `bottom_m`, `top_m` are world heights; `r_value` [m² K/W].
    """

    role: str
    material: str
    bottom_m: float
    top_m: float
    r_value: float = 0.0

    @property
    def thickness_m(self) -> float:
        """Thickness [m]."""
        return self.top_m - self.bottom_m


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildUp:
    """The floor of one room. `pipe_axis_m` is the world height of the pipe's axis.

    The top of the finish is the room's finished floor where the model leaves the height, and
    `missing_height_m` > 0 says by how much the build-up is too high for what the model leaves. `fixing` is what holds
    the pipe, as `floor.fixing` names it.
    """

    room: str
    layers: tuple[Layer, ...]
    pipe_axis_m: float
    below: str
    r_below: float
    available_m: float | None
    missing_height_m: float
    screed_volume_m3: float  # over the room's floor, net of studs and pipe
    edge_strip_m: float
    mass_kg_m2: float
    fixing: str = "castellated panels"

    @property
    def height_m(self) -> float:
        """Height over the base [m]."""
        return self.layers[-1].top_m - self.layers[0].bottom_m


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightChange:
    """One change that makes a floor lower: in `words`, and the floor settings by name that say it."""

    words: str
    floor: tuple[tuple[str, Any], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightRemedy:
    """Changes that make floors lower by `saves_m` [m] at least; `left_m` is what is still missing then."""

    changes: tuple[HeightChange, ...]
    saves_m: float
    left_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Coil:
    """A coil of pipe [m] with the circuits cut from it, longest first, so long each, and what is left [m]."""

    length_m: float
    circuits: tuple[str, ...]
    cuts_m: tuple[float, ...]
    left_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CoilPlan:
    """All coils. `bought_m` is their pipe, `cut_m` what the circuits take, `bound_m` the least that could be bought."""

    coils: tuple[Coil, ...]
    bought_m: float
    cut_m: float
    bound_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeOffLine:
    """One line of the order: `quantity` in `unit`, spare and whole packs included; both are stated in `note`.

    `net` is what the design needs, `spare` the share added to it, `pack` what a pack holds, each None or 0 where that
    means nothing; `packs` is how many packs make `quantity`.
    """

    item: str
    quantity: float
    unit: str
    note: str = ""
    net: float | None = None
    spare: float = 0.0
    pack: float | None = None
    packs: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """What one storey needs of an item, net; `pack` in `unit` is what a pack (`pack_name`) holds.

    `apart` is an item that comes to each storey by itself, so that its packs are rounded up storey by storey.
    """

    item: str
    net: float
    unit: str
    pack: float
    pack_name: str = ""
    spare: float = 0.0
    spare_for: str = ""
    note: str = ""
    apart: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DoorwayFloor:
    """The screed in a doorway: its `passage` and the heated `rooms` beside it by GlobalId, outline [m].

    `screed_m3` is net of studs and pipe; `fields` are the places of the storey's pour fields that share it equally.
    """

    passage: str
    rooms: tuple[str, ...]
    outline: Polygon
    screed_m3: float
    fields: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorPart:
    """What is ordered for on one storey, by GlobalId: floors, their rooms' areas [m²], doorways, pipe and more.

    `pipe_m` is the pipe of all its circuits, `heated_m2` the floor under which pipe lies, `ports` the circuits of each
    manifold by name; without `panels` none are ordered.
    """

    storey: str
    build_ups: tuple[BuildUp, ...] = ()
    areas_m2: Mapping[str, float] = field(default_factory=dict)
    doorways: tuple[DoorwayFloor, ...] = ()
    pipe_m: float = 0.0
    heated_m2: float = 0.0
    ports: Mapping[str, int] = field(default_factory=dict)
    panels: PanelCount | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """What is to be brought to one storey, by GlobalId."""

    storey: str
    lines: tuple[TakeOffLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelCount:
    """Panels of all laying plans: `panels` to order, `whole` of them laid uncut, the floor that they cover [m²]."""

    panels: int
    whole: int
    covered_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FloorSection:
    """The section that EN 1264-2 needs: T [m], s_u [m], λ_E [W/(m K)], R_λB [m² K/W], D [m] and the pipe wall.

    `r_below` is R_u's part below the pipe plane [m² K/W] with the film there (0.17).
    """

    pitch_m: float
    cover_m: float
    screed_conductivity: float
    finish_r: float
    pipe_diameter_m: float
    pipe_wall_m: float
    pipe_conductivity: float
    r_below: float
