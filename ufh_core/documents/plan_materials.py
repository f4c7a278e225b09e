"""What the floor is made of and what to order, as written beside a plan."""

from __future__ import annotations

from ufh_core.documents.storey_view import StoreyView
from ufh_core.documents.writing import Block, TableColumn, paragraphs, table
from ufh_core.floor.types import BuildUp, Coil, Layer
from ufh_core.joints.pours import PourDay
from ufh_core.words import number, said, say

MOST_FLOORS = 4
MOST_ROOMS_NAMED = 4


def build_up_block(view: StoreyView) -> Block:
    """The layers from above to below [mm], once for all rooms that have the same."""
    rooms: dict[tuple[str, ...], list[str]] = {}
    for room in view.rooms:
        if room.heated and room.result.build_up is not None:
            rooms.setdefault(_layers(view, room.result.build_up), []).append(room.room.label)
    texts = []
    for layers, labels in sorted(rooms.items(), key=lambda item: -len(item[1])):
        texts.append(f"{_whose(labels, alone=len(rooms) == 1)}: {', '.join(layers)}")
    more = len(texts) - MOST_FLOORS
    if more > 0:
        texts = [*texts[:MOST_FLOORS], say("{more} more floors, see design.json", more=more)]
    return paragraphs("Floor from above to below, in mm", texts)


def order_block(view: StoreyView) -> Block:
    """What to order for the whole building, on its first plan with circuits only, so that nothing is ordered twice."""
    first = next((s.storey for s in view.design.storeys if s.circuits), "")
    lines = view.design.take_off if view.result.storey == first else ()
    columns = (TableColumn("item", 71), TableColumn("", 20, "right"))
    rows = [(said(line.item), f"{_number(line.quantity)} {said(line.unit)}") for line in lines]
    return table("To order for all storeys, with spare, in whole packs", columns, rows)


def coil_block(view: StoreyView) -> Block:
    """What each coil with a circuit of this storey is cut into, longest first, and what is left of it [m]."""
    here = {circuit.laid.number for circuit in view.result.circuits}
    coils = view.design.coils.coils if view.design.coils else ()
    rows = [
        (f"{k}", f"{coil.length_m:.0f}", _cuts(coil), f"{coil.left_m:.0f}")
        for k, coil in enumerate(coils, 1)
        if here & set(coil.circuits)
    ]
    columns = (
        TableColumn("coil", 10), TableColumn("m", 9, "right"), TableColumn("cut to", 60),
        TableColumn("left", 12, "right"),
    )  # fmt: skip
    return table("Coils and what is cut from them in turn, m", columns, rows)


def pour_block(view: StoreyView) -> Block:
    """The fields of screed of a storey in the order of pouring: area with doorways, screed net of studs and pipe."""
    fields = view.result.joints.fields
    labels = {room.ifc_guid: room.label for room in view.storey.rooms}
    rows = [
        (p.name, ", ".join(labels[r] for r in fields[p.field].rooms), number(p.area_m2 + p.doorway_m2, 1),
         number(p.screed_m3, 2), f"{p.day}")
        for p in view.design.pours
        if p.storey == view.result.storey
    ]  # fmt: skip
    columns = (
        TableColumn("field", 12), TableColumn("in", 47), TableColumn("m²", 11, "right"), TableColumn("m³", 11, "right"),
        TableColumn("day", 10, "right"),
    )  # fmt: skip
    return table("Screed by field, net, in the order of pouring", columns, rows)


def pour_day_block(view: StoreyView) -> Block:
    """What is poured on each day on a storey, and how many lorries bring it."""
    texts = [_pour_day(day, view) for day in view.design.pour_days if day.storey == view.result.storey]
    return paragraphs("Days of pouring, with spare", texts)


def _pour_day(day: PourDay, view: StoreyView) -> str:
    order = view.design.settings.order
    fields = ", ".join(day.fields)
    what = say("day {day}: {fields}; {area:.0f} m²", day=day.day, fields=fields, area=day.area_m2)
    if day.lorries == 0:
        needed = day.screed_m3 * (1 + order.screed_spare)
        return say("{what}, {needed:.2f} m³ from bags", what=what, needed=needed)
    sizes = {"what": what, "ordered": day.ordered_m3, "lorry": order.lorry_m3}
    if day.lorries == 1:
        return say("{what}, {ordered:g} m³ on 1 lorry of {lorry:g} m³", **sizes)
    return say("{what}, {ordered:g} m³ on {lorries} lorries of {lorry:g} m³", **sizes, lorries=day.lorries)


def _cuts(coil: Coil) -> str:
    return ", ".join(f"{circuit} {number(cut, 1)}" for circuit, cut in zip(coil.circuits, coil.cuts_m, strict=True))


def _layers(view: StoreyView, build_up: BuildUp) -> tuple[str, ...]:
    layers = [_layer(view, build_up, layer) for layer in reversed(build_up.layers)]
    return (*layers, say("{height:.0f} in all", height=1000 * build_up.height_m))


def _layer(view: StoreyView, build_up: BuildUp, layer: Layer) -> str:
    """A layer with its thickness; sheets thinner than 2 mm by name only."""
    if layer.thickness_m < 0.002:
        return said(layer.material)
    text = f"{said(layer.material)} {1000 * layer.thickness_m:.0f}"
    if layer.role == "screed":
        cover = layer.top_m - build_up.pipe_axis_m - view.design.settings.pipe.outside_diameter_m / 2
        text += say(" ({cover:.0f} over the pipe)", cover=1000 * cover)
    return text


def _whose(labels: list[str], *, alone: bool) -> str:
    if alone and len(labels) > 1:
        return say("all heated rooms")
    named = ", ".join(labels[:MOST_ROOMS_NAMED])
    rest = len(labels) - MOST_ROOMS_NAMED
    return say("{named} and {rest} more", named=named, rest=rest) if rest > 0 else named


def _number(quantity: float) -> str:
    return f"{quantity:.0f}" if abs(quantity - round(quantity)) < 0.005 else number(quantity, 2)
