"""What is written beside a temperature plan: bands, rooms with their limits, places over a limit, what it holds for."""

from __future__ import annotations

from ufh_core.documents.storey_view import StoreyView
from ufh_core.documents.writing import Block, Row, TableColumn, legend, paragraphs, table
from ufh_core.surface_field.types import RoomSurface, SurfaceField
from ufh_core.words import mark, number, say

BANDS_MM = 13.0
SIGNS = (
    ("isotherm", mark("isotherm with its temperature in °C, levelled over the pitch of the pipes; every fifth heavy")),
    ("peak", mark("warmest place of a room, over a pipe, with the limit that holds there")),
    ("over", mark("floor over its limit, with its number in the table")),
    ("pipe", mark("pipe, for the place only: it is laid by the floor heating plan")),
)
NOTES = (
    mark("Rugs, furniture and sun make a floor warmer than this, and beds and cupboards shut the heat in."),
    mark(
        "Where a floor is over its limit, or the finish bears less, set cooler water, space the pipes wider or "
        "insulate tails that pass; have a competent person decide. The finish's maker may ask for less than the limit."
    ),
    mark(
        "Designed by calculation. A competent person checks it against local codes, the finish maker's instructions "
        "and the site."
    ),
)


def temperature_blocks(view: StoreyView, field: SurfaceField) -> tuple[Block, ...]:
    """All blocks above the title, in reading order."""
    signs = [sign for sign in SIGNS if sign[0] != "over" or field.hot_places]
    return (
        Block(title=say("Temperature of the floor's surface, °C"), rows=(Row(height=BANDS_MM, sign="bands"),)),
        _rooms(view, field),
        _limits(view, field),
        _places(view, field),
        legend(signs),
        paragraphs("What it holds for", (_water(view), _limits_meant(view), *NOTES)),
    )


def limit_at_peak(field: SurfaceField, room: RoomSurface) -> float:
    """The limit where a room is warmest [°C], which is higher in an edge zone."""
    column, row = (int((at - low) // field.cell_m) for at, low in zip(room.peak_at, field.corner, strict=True))
    return float(field.limit_c[row, column])


def hot_place_names(field: SurfaceField) -> tuple[str, ...]:
    """What places over their limit are called on the sheet, in the field's order."""
    return tuple(f"W{k}" for k in range(1, len(field.hot_places) + 1))


def over_limit(field: SurfaceField) -> frozenset[str]:
    """Rooms with floor over its limit, GlobalIds."""
    return frozenset(place.room for place in field.hot_places)


def _rooms(view: StoreyView, field: SurfaceField) -> Block:
    columns = (
        TableColumn("room", 29), TableColumn("air", 8, "right"), TableColumn("mean", 11.5, "right"),
        TableColumn("warmest", 15.5, "right"), TableColumn("limit there", 13, "right"),
        TableColumn("coldest", 14, "right"),
    )  # fmt: skip
    airs = {room.room.ifc_guid: room.result.demand for room in view.rooms}
    rows = []
    for room in field.rooms:
        air = airs.get(room.room)
        figures = (room.mean_c, room.peak_c, limit_at_peak(field, room), room.coldest_c)
        degrees = (f"{air.indoor_c:.0f}" if air else "", *(number(value, 1) for value in figures))
        rows.append((view.label_of(room.room), *degrees))
    return table("Surface of the rooms, °C", columns, rows)


def _limits(view: StoreyView, field: SurfaceField) -> Block:
    """In words, which rooms are over their limit, or that none is."""
    hot = over_limit(field)
    texts = [_over_text(view, field, room) for room in field.rooms if room.room in hot]
    return paragraphs("Rooms over their limit", texts or [say("No floor of the storey is over its limit.")])


def _over_text(view: StoreyView, field: SurfaceField, room: RoomSurface) -> str:
    places = [place for place in field.hot_places if place.room == room.room]
    return say(
        "{room}: OVER ITS LIMIT on {area} m², by up to {over:.1f} K",
        room=view.label_of(room.room),
        area=_area(sum(place.area_m2 for place in places)),
        over=max(place.surface_c - place.limit_c for place in places),
    )


def _area(area_m2: float) -> str:
    return number(area_m2, 2) if area_m2 >= 0.01 else f"< {number(0.01, 2)}"


def _places(view: StoreyView, field: SurfaceField) -> Block:
    columns = (
        TableColumn("", 10), TableColumn("in", 40), TableColumn("°C", 13, "right"), TableColumn("limit", 14, "right"),
        TableColumn("m²", 14, "right"),
    )  # fmt: skip
    rows = [
        (
            name,
            view.label_of(place.room),
            number(place.surface_c, 1),
            number(place.limit_c, 1),
            _area(place.area_m2),
        )
        for name, place in zip(hot_place_names(field), field.hot_places, strict=True)
    ]
    return table("Places over their limit", columns, rows)


def _water(view: StoreyView) -> str:
    flows = sorted({round(circuit.flow_c, 1) for circuit in view.result.circuits})
    return say(
        "Steady, at the heat demand of the design: water of {water} °C flow and its design flow in every circuit.",
        water=", ".join(number(flow, 1) for flow in flows),
    )


def _limits_meant(view: StoreyView) -> str:
    output = view.design.settings.output
    return say(
        "Limits over the room's air: {occupied:g} K, bathrooms {bath:g} K, edge zones along outer walls {edge:g} K "
        "(EN 1264-2: 9, 9 and 15 K; less where the settings say so).",
        occupied=output.occupied_limit_k,
        bath=output.bath_limit_k,
        edge=output.edge_limit_k,
    )
