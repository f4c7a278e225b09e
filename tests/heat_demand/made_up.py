"""Small buildings for the tests, with walls as rectangles."""

from collections.abc import Sequence

from shapely.geometry import Polygon, box

from ufh_core.basis.frame import LocalFrame
from ufh_core.building.types import (
    Building,
    Construction,
    MaterialLayer,
    Opening,
    Passage,
    Room,
    RoomKind,
    Slab,
    Storey,
    Wall,
)

HERE = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
Rectangle = tuple[float, float, float, float]


def room(
    guid: str,
    at: Rectangle | Polygon,
    kind: RoomKind = RoomKind.LIVING,
    *,
    floor: float = 0.0,
    height: float = 2.5,
    load: float | None = None,
) -> Room:
    outline = at if isinstance(at, Polygon) else box(*at)
    return Room(
        ifc_guid=guid,
        name=guid,
        long_name="",
        kind=kind,
        outline=outline,
        floor_m=floor,
        height_m=height,
        heat_load_w=load,
    )


def wall(
    guid: str,
    at: Rectangle,
    u: float | None = None,
    *,
    bottom: float = 0.0,
    top: float = 2.7,
    layers: tuple[MaterialLayer, ...] = (),
) -> Wall:
    construction = Construction(u_value=u, layers=layers)
    return Wall(ifc_guid=guid, name=guid, outline=box(*at), bottom_m=bottom, top_m=top, construction=construction)


def window(
    guid: str, at: Rectangle, bottom: float, top: float, u: float | None = None, kind: str = "window"
) -> Opening:
    return Opening(
        ifc_guid=guid,
        name=guid,
        kind=kind,
        outline=box(*at),
        bottom_m=bottom,
        top_m=top,
        width_m=at[2] - at[0],
        construction=Construction(u_value=u),
    )


def storey(
    guid: str,
    rooms: Sequence[Room],
    walls: Sequence[Wall] = (),
    openings: Sequence[Opening] = (),
    slabs: Sequence[Slab] = (),
    passages: Sequence[Passage] = (),
) -> Storey:
    return Storey(
        ifc_guid=guid,
        name=guid,
        elevation_m=min((r.floor_m for r in rooms), default=0.0),
        placement=HERE,
        rooms=tuple(rooms),
        walls=tuple(walls),
        openings=tuple(openings),
        slabs=tuple(slabs),
        passages=tuple(passages),
    )


def building(*storeys: Storey, outdoor: float | None = None) -> Building:
    return Building(
        project_name="",
        building_name="",
        schema="IFC4",
        length_unit_m=1.0,
        frame=LocalFrame(),
        north_rad=None,
        storeys=storeys,
        outdoor_c=outdoor,
    )


def shell(
    x: float,
    y: float,
    u: float | None = 0.2,
    thick: float = 0.3,
    *,
    bottom: float = 0.0,
    top: float = 2.7,
    tag: str = "",
) -> list[Wall]:
    """Four outer walls round a clear rectangle from (0, 0) to (x, y)."""
    t = thick
    places = {"s": (-t, -t, x + t, 0.0), "n": (-t, y, x + t, y + t), "w": (-t, 0.0, 0.0, y), "e": (x, 0.0, x + t, y)}
    return [wall(name + tag, at, u, bottom=bottom, top=top) for name, at in places.items()]


def roof(bottom: float, top: float, u: float = 0.25, at: Rectangle = (-1.0, -1.0, 5.0, 5.0)) -> Slab:
    """A roof over a small house, from its lowest to its highest point."""
    construction = Construction(u_value=u)
    return Slab(
        ifc_guid="roof", name="roof", kind="roof", outline=box(*at), bottom_m=bottom, top_m=top,
        construction=construction,
    )  # fmt: skip
