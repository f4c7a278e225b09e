"""The building as the design sees it: frozen, in metres, in the local plan frame.

Plan shapes are shapely polygons in `Building.frame`; heights are world heights [m] (project zero).
Nothing of ifcopenshell is in here.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from shapely.geometry import Polygon

from ufh_core.basis.areas import Area
from ufh_core.basis.findings import Finding
from ufh_core.basis.frame import LocalFrame
from ufh_core.settings.steering import ManifoldPlace, RoomOverride

Matrix = tuple[tuple[float, ...], ...]


class RoomKind(StrEnum):
    """What a room is used for, as far as heating cares."""

    LIVING = "living"
    BEDROOM = "bedroom"
    KITCHEN = "kitchen"
    BATH = "bath"
    WC = "wc"
    HALL = "hall"
    UTILITY = "utility"
    OFFICE = "office"
    TREATMENT = "treatment"
    WAITING = "waiting"
    STORE = "store"
    STAIR = "stair"
    SHAFT = "shaft"
    ATTIC = "attic"
    ROOF = "roof"
    GARAGE = "garage"
    CELLAR = "cellar"
    TECHNICAL = "technical"
    OUTSIDE = "outside"
    AREA_SCHEME = "area_scheme"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialLayer:
    """One layer of a construction; `conductivity` [W/(m K)] is None where the model is silent.

    `air` marks a layer of air, `ventilated` one that outdoor air moves through freely.
    """

    name: str
    thickness_m: float
    conductivity: float | None = None
    air: bool = False
    ventilated: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Construction:
    """What the model says of an element's heat transmission.

    `u_value` [W/(m² K)] is the model's own figure after a range check, else None. `fire_rating` is what
    the model says of its resistance to fire, "" for nothing; `compartment` that it bounds a fire compartment.
    """

    u_value: float | None = None
    layers: tuple[MaterialLayer, ...] = ()
    external: bool | None = None
    load_bearing: bool | None = None
    fire_rating: str = ""
    compartment: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """A wall (or part of one) in plan, openings not subtracted."""

    ifc_guid: str
    name: str
    outline: Area
    bottom_m: float
    top_m: float
    construction: Construction = field(default_factory=Construction)
    ifc_class: str = "IfcWall"


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column in plan."""

    ifc_guid: str
    name: str
    outline: Area
    bottom_m: float
    top_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A door, a window or an unfilled opening: plan outline as wide as the opening, as deep as the wall."""

    ifc_guid: str
    name: str
    kind: str  # "door", "window", "void"
    outline: Polygon
    bottom_m: float
    top_m: float
    width_m: float
    wall_guid: str | None = None
    construction: Construction = field(default_factory=Construction)


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """A way for pipes between rooms (or out): a rectangle through the wall, or a touching open side.

    `outline` is as wide as the clear opening and reaches from room to room. `direction` is the unit
    vector along which one walks through. `rooms` are the guids of the one or two rooms it joins.
    """

    ifc_guid: str
    kind: str  # "door", "void", "open", "sleeve"
    outline: Polygon
    direction: tuple[float, float]
    width_m: float
    rooms: tuple[str, ...]
    bottom_m: float = 0.0
    top_m: float = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """Something that stands on the floor and keeps pipes out: furniture, sanitary ware, stair, shaft, floor void."""

    ifc_guid: str
    name: str
    kind: str  # "furniture", "sanitary", "stair", "void", "hearth", "other"
    outline: Area
    bottom_m: float
    top_m: float
    movable: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Slab:
    """A floor, roof or base slab."""

    ifc_guid: str
    name: str
    kind: str  # "floor", "base", "roof", "landing", "other"
    outline: Area
    bottom_m: float
    top_m: float
    construction: Construction = field(default_factory=Construction)


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """A room: an IfcSpace, or one found from the walls (`derived`).

    `outline` is the clear floor: the space less walls and columns that stand in it.
    `dwelling` names the flat that it belongs to, None for none.
    `floor_m` is the height of the finished floor (space base), `slab_top_m` the top of the slab
    below where one was found. `heat_load_w`, `indoor_c` are the model's own figures or None.
    """

    ifc_guid: str
    name: str
    long_name: str
    kind: RoomKind
    outline: Area
    floor_m: float
    height_m: float
    slab_top_m: float | None = None
    derived: bool = False
    external: bool = False
    heat_load_w: float | None = None
    indoor_c: float | None = None
    stated_area_m2: float | None = None
    dwelling: str | None = None

    @property
    def label(self) -> str:
        """Name for people: number and long name."""
        return " ".join(part for part in (self.name, self.long_name) if part) or self.ifc_guid


@dataclass(frozen=True, slots=True, kw_only=True)
class SweptFloor:
    """The floor over which the leaves of a door swing, where the model says which way it opens."""

    ifc_guid: str
    outline: Area
    bottom_m: float
    top_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Storey:
    """A storey with what stands on it. `placement` is its 4x4 world placement with lengths in metres."""

    ifc_guid: str
    name: str
    elevation_m: float
    placement: Matrix
    rooms: tuple[Room, ...] = ()
    walls: tuple[Wall, ...] = ()
    columns: tuple[Column, ...] = ()
    openings: tuple[Opening, ...] = ()
    passages: tuple[Passage, ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    slabs: tuple[Slab, ...] = ()
    swings: tuple[SweptFloor, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Building:
    """The architect's building. `north_rad` turns the local +y axis to true north (anticlockwise positive).

    `georeference` is the model's map conversion as the file has it: east, north, height, turn [rad], scale; empty for
    none. `choices` are the rooms' answers that the model carries, by GlobalId, `places` its places for manifolds.
    """

    project_name: str
    building_name: str
    schema: str
    length_unit_m: float
    frame: LocalFrame
    north_rad: float | None
    storeys: tuple[Storey, ...]
    findings: tuple[Finding, ...] = ()
    file_digest: str = ""
    outdoor_c: float | None = None
    georeference: tuple[float, ...] = ()
    project_guid: str = ""
    choices: tuple[RoomOverride, ...] = ()
    places: tuple[ManifoldPlace, ...] = ()

    def room(self, ifc_guid: str) -> Room:
        """The room of a GlobalId."""
        return next(r for s in self.storeys for r in s.rooms if r.ifc_guid == ifc_guid)
