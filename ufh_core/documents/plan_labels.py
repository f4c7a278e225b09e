"""What the labels on the plan say, and drawing them where the placer put them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from ufh_core.circuits.types import HeatedField, Manifold
from ufh_core.design_result import CircuitDesign, RoomStatus
from ufh_core.documents.clear_lines import ClearLines, InkMap
from ufh_core.documents.labels import Label, Line, Placer, Wish, Wording
from ufh_core.documents.lettering import clean, text_width, wrapped
from ufh_core.documents.obstacle_names import named_obstacles
from ufh_core.documents.pen import PAPER, Pen, polygons, united
from ufh_core.documents.plan_base import OBSTACLE_GREY
from ufh_core.documents.plan_joints import pour_wishes
from ufh_core.documents.plan_pipes import PORT_TEXT_MM, TURN_MM, arrows, draw_arrow, halves, port_numbers
from ufh_core.documents.sheet import Sheet
from ufh_core.documents.storey_view import RoomView, StoreyView
from ufh_core.words import number, say

NAME_MM, SMALL_MM, LEAST_MM = 2.3, 1.8, 1.4
STEP_MM = 3.0
INK_CELL_MM = 0.3
CLEAR_CELL_MM, CLEAR_MM = 0.2, 0.22
PALE_INK = (84, 84, 84)


def draw_labels(pen: Pen, sheet: Sheet, view: StoreyView) -> tuple[Label, ...]:
    """Place and draw all labels and arrows; the labels, for who wants to check them."""
    west, south = sheet.at(sheet.plan[0], sheet.plan[1])
    east, north = sheet.at(sheet.plan[2], sheet.plan[3])
    bounds = (west, south, east, north)
    lines = [circuit.laid.axis.line() for circuit in view.result.circuits if circuit.laid.axis.pieces]
    lines += [wall.outline.boundary for wall in view.storey.walls]
    lines += [m.manifold.cabinet.boundary for m in view.result.manifolds]
    lines += [obstacle.outline.boundary for obstacle in view.storey.obstacles]
    ink = InkMap(bounds, pen.mm(INK_CELL_MM), lines)
    clear = ClearLines(bounds, pen.mm(CLEAR_CELL_MM), _strokes(pen, view), pen.mm(CLEAR_MM))
    placer = Placer(bounds, pen.mm(1.0), ink, clear)
    for manifold in view.result.manifolds:
        _number_ports(pen, placer, manifold.manifold)
    labels = [label for label in map(placer.place, _wishes(pen, view)) if label is not None]
    for label in labels:
        draw_label(pen, label)
    _draw_arrows(pen, view, labels)
    return tuple(labels)


def _strokes(pen: Pen, view: StoreyView) -> list[BaseGeometry]:
    """Lines that no letter may touch: pipes, attempts at pipes, joints."""
    pipes = [circuit.laid.axis for circuit in view.result.circuits]
    pipes += [failed.best_attempt for failed in view.result.failed if failed.best_attempt is not None]
    lines: list[BaseGeometry] = [axis.line() for axis in pipes if axis.pieces]
    turns = [halves(circuit.laid.axis)[1] for circuit in view.result.circuits if circuit.laid.axis.pieces]
    lines += [shapely.Point(back[0].start).buffer(pen.mm(TURN_MM)).exterior for back in turns if back]
    return lines + [joint.line for joint in view.result.joints.joints]


def _wishes(pen: Pen, view: StoreyView) -> list[Wish]:
    """Labels in order of their right to a good place: small areas first."""
    wishes = [_room_wish(pen, view, room) for room in view.rooms if room.shown]
    wishes += [wish for circuit in view.result.circuits if (wish := _circuit_wish(pen, circuit))]
    wishes += [wish for circuit in view.result.circuits for wish in _branch_wishes(pen, circuit)]
    wishes.sort(key=lambda wish: wish.area.area)
    manifolds = [_manifold_wish(pen, m.manifold, m.flow_c) for m in view.result.manifolds]
    return manifolds + _obstacle_wishes(pen, view) + wishes + pour_wishes(view)


def _obstacle_wishes(pen: Pen, view: StoreyView) -> list[Wish]:
    """Names of what keeps pipes out, small and within it or not at all."""
    wishes = []
    for k, (name, area) in enumerate(named_obstacles(view.storey.obstacles)):
        inside = _largest(area.intersection(view.window))
        if inside is None:
            continue
        words = tuple(name.split(" "))
        lines = [(name,)] if len(words) == 1 else [(name,), words]
        wordings = tuple(
            Wording(lines=tuple(Line(text=text, height=SMALL_MM, pale=True) for text in each), step=2.6)
            for each in lines
        )
        wishes.append(Wish(key=f"obstacle {k}", area=inside, wordings=wordings, inside_only=True))
    return wishes


def _room_wish(pen: Pen, view: StoreyView, room: RoomView) -> Wish:
    floor = _label_floor(view, room)
    name = clean(room.room.label)
    broken = wrapped(name, max(14.0, _width_mm(pen, floor) - 4.0), SMALL_MM, bold=True)
    size = Line(text=_size_text(room), height=SMALL_MM)
    heat = [Line(text=text, height=SMALL_MM, bold=True) for text in _status_texts(room)]
    head = Line(text=name, height=NAME_MM, bold=True)
    small = [Line(text=text, height=SMALL_MM, bold=True) for text in broken]
    step = _step(pen, view, room)
    return Wish(
        key=room.room.ifc_guid,
        area=floor,
        wordings=(
            Wording(lines=(head, size, *heat), step=step),
            Wording(lines=(*small, size, *heat), step=STEP_MM, penalty=0.05),
            Wording(lines=(*small, *heat[:1]), step=STEP_MM, penalty=0.5),
            Wording(lines=(*small,), step=step, penalty=0.8),
            Wording(lines=tuple(replace(line, height=LEAST_MM) for line in small), step=step, penalty=1.4),
            Wording(lines=(replace(head, height=SMALL_MM),), step=STEP_MM, penalty=2.0),
        ),
    )


def _label_floor(view: StoreyView, room: RoomView) -> BaseGeometry:
    """Where a room's name may stand: its floor, without stairs and voids where enough is left."""
    floor = _largest(shapely.make_valid(room.room.outline).intersection(view.window))
    if floor is None:
        return view.window
    holes = united([o.outline for o in view.storey.obstacles if o.kind in ("stair", "void")])
    rest = _largest(floor.difference(holes))
    return rest if rest is not None and rest.area > 0.25 * floor.area else floor


def _size_text(room: RoomView) -> str:
    area = f"{number(room.room.outline.area, 1)} m²"
    demand = room.result.demand
    indoor = demand.indoor_c if demand else room.room.indoor_c
    return area if indoor is None else f"{area} · {indoor:.0f} °C"


def _status_texts(room: RoomView) -> list[str]:
    """What is not as it should be; heat and water of every room stand in the tables."""
    result = room.result
    if result.status is RoomStatus.NOT_HEATED:
        return [say("not heated")]
    if result.status is RoomStatus.FAILED:
        return [say("NOT LAID")]
    if result.status is RoomStatus.SHORT and result.output is not None:
        return [say("SHORT BY {missing:.0f} W", missing=result.output.shortfall_w)]
    return []


def _circuit_wish(pen: Pen, circuit: CircuitDesign) -> Wish | None:
    field = max(circuit.laid.fields, key=lambda f: f.area_m2, default=None)
    if field is None:
        return None
    named, length = circuit.laid.number, f"{number(circuit.laid.length_m, 1)} m"
    alone = Line(text=named, height=SMALL_MM, bold=True)
    full = Line(text=f"{named} · {length} · {_pitch(circuit)} mm", height=SMALL_MM, bold=True)
    short = Line(text=f"{named} · {length}", height=SMALL_MM, bold=True)
    rest = (
        Line(text=length, height=SMALL_MM),
        Line(text=f"{_pitch(circuit)} mm", height=SMALL_MM),
    )
    step = _paper_pitch(pen, circuit.laid.pitch_m)
    wordings = (
        Wording(lines=(full,), step=STEP_MM),
        Wording(lines=(short,), step=STEP_MM, penalty=0.3),
        Wording(lines=(alone, *rest), step=step, penalty=0.5),
        Wording(lines=(alone,), step=STEP_MM, penalty=3.0),
        Wording(lines=(replace(alone, height=LEAST_MM),), step=STEP_MM, penalty=4.0),
        Wording(lines=(short,), step=STEP_MM, penalty=5.0),
    )
    return Wish(key=circuit.laid.number, area=_inner(pen, field), wordings=wordings)


def _branch_wishes(pen: Pen, circuit: CircuitDesign) -> list[Wish]:
    """The number of a circuit once more in every other room that it warms."""
    alone = Line(text=circuit.laid.number, height=SMALL_MM, bold=True)
    fields = [
        max((f for f in circuit.laid.fields if f.room == room), key=lambda f: f.area_m2)
        for room in circuit.laid.rooms[1:]
    ]
    labelled = max(circuit.laid.fields, key=lambda f: f.area_m2)
    return [
        Wish(
            key=f"{circuit.laid.number} in {field.room}",
            area=_inner(pen, field),
            wordings=(
                Wording(lines=(alone,), step=STEP_MM),
                Wording(lines=(replace(alone, height=LEAST_MM),), step=STEP_MM, penalty=1.0),
            ),
        )
        for field in fields
        if field is not labelled
    ]


def _manifold_wish(pen: Pen, manifold: Manifold, flow_c: float) -> Wish:
    head = Line(text=say("Manifold {name}", name=manifold.name), height=NAME_MM, bold=True)
    flow = Line(text=say("flow {flow:.0f} °C", flow=flow_c), height=SMALL_MM)
    wordings = (
        Wording(lines=(head, flow), step=STEP_MM),
        Wording(lines=(Line(text=manifold.name, height=NAME_MM, bold=True),), step=STEP_MM, penalty=0.6),
    )
    round_about = manifold.service_space.union(manifold.cabinet).buffer(pen.mm(28.0))
    return Wish(key=manifold.name, area=round_about, wordings=wordings, framed=True, about=manifold.cabinet)


def _inner(pen: Pen, field: HeatedField) -> BaseGeometry:
    """The field without its rim, so that a label stays clear of the walls."""
    return _largest(field.outline.buffer(-pen.mm(0.5))) or field.outline


def _step(pen: Pen, view: StoreyView, room: RoomView) -> float:
    """Distance of a label's lines [mm]: the pipes' where it suits, so that lines lie between pipes."""
    pitches = [c.laid.pitch_m for c in view.result.circuits if room.room.ifc_guid in c.laid.rooms]
    return _paper_pitch(pen, pitches[0]) if pitches else STEP_MM


def _paper_pitch(pen: Pen, pitch_m: float) -> float:
    pitch = pitch_m / pen.mm(1.0)
    while pitch > 5.0:
        pitch /= 2
    return pitch if pitch >= STEP_MM - 0.01 else STEP_MM


def _pitch(circuit: CircuitDesign) -> str:
    return "/".join(f"{pitch * 1000:.0f}" for pitch in circuit.laid.pitches_m)


def _width_mm(pen: Pen, area: BaseGeometry) -> float:
    return float(area.bounds[2] - area.bounds[0]) / pen.mm(1.0)


def _largest(area: BaseGeometry) -> BaseGeometry | None:
    return max(polygons(area), key=lambda part: part.area, default=None)


def _number_ports(pen: Pen, placer: Placer, manifold: Manifold) -> None:
    """Port numbers on paper-white ground; their boxes, the cabinet and the ports are kept free."""
    for text, middle, angle in port_numbers(pen, manifold):
        wide, high = pen.mm(text_width(text, PORT_TEXT_MM) / 2 + 0.2), pen.mm(PORT_TEXT_MM / 2 + 0.15)
        box = shapely.box(middle[0] - wide, middle[1] - high, middle[0] + wide, middle[1] + high)
        box = shapely.affinity.rotate(box, angle, origin=middle, use_radians=True)
        pen.fill(box, "LABEL", PAPER)
        _centred(pen, Line(text=text, height=PORT_TEXT_MM), middle, math.degrees(angle))
        placer.reserve(box.bounds)
    placer.reserve(manifold.cabinet.bounds)


def draw_label(pen: Pen, label: Label) -> None:
    """Draw a placed label with its leader, if it has one."""
    if label.target is not None:
        edge = shapely.shortest_line(label.box, shapely.Point(label.target))
        pen.line(list(edge.coords), "LABEL")
        pen.circle(label.target, 0.4, "LABEL")
    if label.framed:
        pen.fill(label.box, "LABEL", PAPER)
        pen.outline(label.box, "LABEL")
    for line, box in zip(label.wording.lines, label.line_boxes, strict=True):
        if not label.framed:
            pen.fill(box, "LABEL", OBSTACLE_GREY if line.pale else PAPER)
        middle = box.centroid
        _centred(pen, line, (middle.x, middle.y), 90.0 if label.turned else 0.0)


def _centred(pen: Pen, line: Line, middle: tuple[float, float], turn_deg: float) -> None:
    turn, down = math.radians(turn_deg), pen.mm(line.height) / 2
    at = (middle[0] + down * math.sin(turn), middle[1] - down * math.cos(turn))
    colour = PALE_INK if line.pale else None
    pen.text(at, line.text, line.height, "LABEL", align="middle", turn_deg=turn_deg, bold=line.bold, colour=colour)


def _draw_arrows(pen: Pen, view: StoreyView, labels: Sequence[Label]) -> None:
    hidden = shapely.union_all([label.box for label in labels]).buffer(pen.mm(0.8))
    shapely.prepare(hidden)
    for circuit in view.result.circuits:
        for at, angle, is_flow in arrows(pen, circuit.laid.axis):
            if not shapely.contains_xy(hidden, *at):
                draw_arrow(pen, at, angle, is_flow=is_flow)
