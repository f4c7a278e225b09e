"""The plan of the setting-out page: plain SVG in millimetres of the building, each circuit a link to its card."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from html import escape

import numpy as np
import shapely
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from ufh_core.basis.pipe_axis import Arc, Point, Straight
from ufh_core.design_result import CircuitDesign
from ufh_core.documents.pen import polygons, united
from ufh_core.documents.plan_pipes import parted
from ufh_core.documents.setting_out_text import short
from ufh_core.documents.setting_out_words import say
from ufh_core.documents.storey_view import StoreyView
from ufh_core.setting_out.studs import StudGrid
from ufh_core.setting_out.types import CircuitCard, Step, StepKind

LONGEST_LABEL = 24
_SMOOTH_M = 0.02


def _mm(value: float) -> int:
    return round(value * 1000)


def _at(point: Sequence[float]) -> str:
    """A point of the plan in the picture, whose y runs down."""
    return f"{_mm(point[0])} {-_mm(point[1])}"


def plan_svg(view: StoreyView, cards: Sequence[CircuitCard], ids: Mapping[str, str], names: Mapping[str, str]) -> str:
    """The plan of a storey; `ids` are those of the cards by circuit number, `names` those of the rooms."""
    west, south, east, north = view.bounds
    box = f"{_mm(west)} {-_mm(north)} {_mm(east - west)} {_mm(north - south)}"
    label = escape(say("plan", storey=short(view.storey.name)))
    circuits = {circuit.laid.number: circuit for circuit in view.result.circuits}
    parts = [
        f'<svg class="plan" viewBox="{box}" role="group" aria-label="{label}">',
        *_base(view),
        *(_circuit(circuits[card.number], card, ids[card.number], names) for card in cards),
        *_over(view),
        *(_marks(card, ids[card.number]) for card in cards),
        "</svg>",
    ]
    return "".join(parts)


def _base(view: StoreyView) -> Iterator[str]:
    yield _area("room", (room.room.outline for room in view.rooms if room.shown))
    yield _area("block", (o.outline for o in view.storey.obstacles if not o.movable), view)


def _over(view: StoreyView) -> Iterator[str]:
    """Walls with their gaps, doorways, cabinets, names of rooms: over the pipes, and not to be tapped."""
    gaps = united([passage.outline for passage in view.storey.passages])
    walls = united([w.outline for w in view.storey.walls] + [c.outline for c in view.storey.columns])
    yield _area("wall", [shapely.difference(walls, gaps, grid_size=1e-4)], view)
    for joint in view.result.joints.joints:
        yield f'<path class="joint" d="{_line(joint.line)}"/>'
    yield _area("cabinet", (manifold.manifold.cabinet for manifold in view.result.manifolds))
    for room in view.rooms:
        if room.shown:
            spot = room.room.outline.representative_point()
            west, _, east, _ = room.room.outline.bounds
            yield _text("name", (spot.x, spot.y), short(room.room.label)[:LONGEST_LABEL], east - west)
    for manifold in view.result.manifolds:
        yield _text("name", manifold.manifold.position, short(manifold.manifold.name))


def _area(name: str, areas: Iterable[BaseGeometry], view: StoreyView | None = None) -> str:
    shapes = [shapely.make_valid(area) for area in areas]
    if view is not None:
        shapes = [shapely.intersection(shape, view.window) for shape in shapes]
    paths = "".join(_rings(shape) for shape in shapes)
    return f'<path class="{name}" d="{paths}"/>' if paths else ""


def _rings(area: BaseGeometry) -> str:
    rings = [ring for part in polygons(area) for ring in (part.exterior, *part.interiors)]
    return "".join("M" + "L".join(_at(p) for p in ring.coords[:-1]) + "Z" for ring in rings)


def _line(line: LineString) -> str:
    return "M" + "L".join(_at(point) for point in line.coords)


def _text(name: str, at: Point, text: str, wide_m: float | None = None) -> str:
    """A text; one that tells how wide its place is [m] is hidden where it does not fit."""
    x, y = _at(at).split()
    wide = "" if wide_m is None else f' data-wide="{_mm(wide_m)}"'
    return f'<text class="{name}" x="{x}" y="{y}"{wide}>{escape(text)}</text>'


def _circuit(circuit: CircuitDesign, card: CircuitCard, name: str, rooms: Mapping[str, str]) -> str:
    """A circuit with the floor that it heats, as one link."""
    laid = circuit.laid
    turns = [step.at_m - card.rise_m for step in card.steps if step.kind is StepKind.TURN_ROUND]
    flow, back = parted(laid.axis, turns[0] if len(turns) == 1 else laid.axis.length_m / 2)
    floors = [shapely.simplify(field.outline, _SMOOTH_M) for field in laid.fields]
    label = say("circuit in", number=laid.number, rooms=", ".join(short(rooms.get(r, r)) for r in laid.rooms))
    whole = pipe_path((*flow, *back))
    return (
        f'<a href="#{name}" class="circuit" data-card="{name}" aria-label="{escape(label)}">'
        f'{_area("floor", floors)}<path class="hit" d="{whole}"/>'
        f'<path class="flow" d="{pipe_path(flow)}"/><path class="back" d="{pipe_path(back)}"/></a>'
    )


def pipe_path(pieces: Sequence[Straight | Arc]) -> str:
    """Straights and true arcs."""
    if not pieces:
        return ""
    return f"M{_at(pieces[0].start)}" + "".join(
        f"A{_mm(p.radius_m)} {_mm(p.radius_m)} 0 {int(abs(p.sweep) > np.pi)} {int(p.sweep < 0)} {_at(p.end)}"
        if isinstance(p, Arc)
        else f"L{_at(p.end)}"
        for p in pieces
    )


def _marks(card: CircuitCard, name: str) -> str:
    """The numbers of a card's steps where they happen; shown with the card."""
    spots = "".join(_spot(k, step) for k, step in enumerate(card.steps, 1))
    return f'<g class="marks" data-card="{name}" aria-hidden="true">{spots}</g>'


def _spot(number: int, step: Step) -> str:
    x, y = _at(step.point).split()
    return f'<circle cx="{x}" cy="{y}" r="85"/><text class="spot" x="{x}" y="{y}" dy="35">{number}</text>'


def stud_figure(radius_m: float, stud_m: float, pipe_m: float) -> str:
    """A bend of 90 degrees and a turn of 180 degrees at a radius, among the studs."""
    grid, reach = StudGrid(angle_rad=0.0, stud_m=stud_m), 2 * radius_m + 1.5 * stud_m
    parts = []
    ends = ((reach, 0.0), (2 * radius_m, reach))
    for k, arcs in enumerate((quarter(radius_m), half(radius_m))):
        shift = k * (reach + 1.5 * stud_m)
        pieces: list[Straight | Arc] = [Straight((0.0, reach), arcs[0].start), *arcs, Straight(arcs[-1].end, ends[k])]
        studs = "".join(
            f'<circle class="{kind}" cx="{_mm(x)}" cy="{-_mm(y)}" r="{_mm(stud_m * 0.3)}"/>'
            for kind, x, y in _studs(grid, arcs, reach, pipe_m)
        )
        pipe = f'<path class="pipe" stroke-width="{_mm(pipe_m)}" d="{pipe_path(pieces)}"/>'
        parts.append(f'<g transform="translate({_mm(shift)} 0)">{studs}{pipe}</g>')
    edge = _mm(stud_m)
    wide, high = _mm(2 * reach + 1.5 * stud_m) + 2 * edge, _mm(reach) + 2 * edge
    label = escape(say("count figure"))
    return (
        f'<svg class="studs" viewBox="{-edge} {-_mm(reach) - edge} {wide} {high}" role="img" aria-label="{label}">'
        f"{''.join(parts)}</svg>"
    )


def _studs(grid: StudGrid, arcs: tuple[Arc, ...], reach: float, pipe_m: float) -> Iterator[tuple[str, float, float]]:
    """Studs of the figure with what they are to the bend."""
    counted = grid.studs_at_bend(arcs, pipe_m)
    along = [(k + 0.5) * grid.stud_m for k in range(-1, int(reach / grid.stud_m))]
    for x in along:
        for y in along:
            key = (round(x, 4), round(y, 4))
            kind = "against" if key in counted[0] else "under" if key in counted[1] else "stud"
            yield kind, x, y


def quarter(radius_m: float) -> tuple[Arc, ...]:
    """A bend of 90 degrees between the channels x = 0 and y = 0, coming down the former."""
    side = radius_m * (1 - 0.5**0.5)
    return (Arc((0.0, radius_m), (side, side), (radius_m, 0.0), (radius_m, radius_m), np.pi / 2),)


def half(radius_m: float) -> tuple[Arc, ...]:
    """A turn of 180 degrees, coming down the channel x = 0."""
    return (Arc((0.0, radius_m), (radius_m, 0.0), (2 * radius_m, radius_m), (radius_m, radius_m), np.pi),)
