"""Both states of a storey on one plan: what was, what is, which floor changed, which circuits are touched.

Told apart by line and hatch alone, so that a print in black and white can be read.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from ufh_core import __version__
from ufh_core.basis.errors import OutputError
from ufh_core.building.types import Building, Storey
from ufh_core.design_result import Design, StoreyDesign
from ufh_core.documents.clear_lines import InkMap
from ufh_core.documents.framed_page import Plan
from ufh_core.documents.labels import Label, Line, Placer, Wish, Wording
from ufh_core.documents.lettering import clean
from ufh_core.documents.pen import INK, PAPER, Pen, polygons, united
from ufh_core.documents.plan_base import draw_shell
from ufh_core.documents.plan_drawing import drawn_page
from ufh_core.documents.plan_labels import draw_label
from ufh_core.documents.plan_pipes import CABINET
from ufh_core.documents.plan_signs import SIGN_MM
from ufh_core.documents.plan_svg import plan_svg, safe_stem
from ufh_core.documents.sheet import Sheet
from ufh_core.documents.storey_view import ROUND_ROOMS_M, StoreyView
from ufh_core.documents.writing import Block, legend, paragraphs
from ufh_core.revision.types import Change, EarlierPipe, Effect, Revision
from ufh_core.revision.words import change_line, revision_sums
from ufh_core.settings.types import Settings

OLD_LINE, GREY = (60, 60, 60), (165, 165, 165)
HATCH_GAP_MM = 1.5
COINCIDE_M = 0.003  # outlines of both states so near to each other are one line
SHORTEST_M = 0.05
HAIR_M = 0.001  # walls so near to each other meet
TEXT_MM, NUMBER_MM, ROOM_MM = 1.8, 2.4, 1.6
INK_CELL_MM = 0.5
SIGNS = (
    ("new", "walls, doors and units of the new model"),
    ("old", "where they were in the old model"),
    ("changed", "floor and elements that changed"),
    ("manifold", "manifold of the earlier design; crossed: it has to move"),
    ("touched", "circuit of the earlier design that is laid anew"),
    ("follows", "circuit whose way stays, whose heights or figures follow"),
    ("stays", "circuit that stays as it lies"),
)
CAUTION = (
    "Compared by calculation within 5 mm. Settle with the architect what was meant; where pipes lie already, look at"
    " the site before anything is cut or drilled.",
)


def write_revision_plans(revision: Revision, folder: Path, settings_digest: str = "") -> list[str]:
    """Write `revision-<storey>.svg` for every storey that changed; the names. Raises: OutputError."""
    names: list[str] = []
    for storey in revision.new.storeys:
        if not any(change.storey == storey.ifc_guid for change in revision.changes):
            continue
        name = _free_name(f"revision-{safe_stem(storey.name)}", names)
        text = plan_svg(drawn_revision(revision, storey, settings_digest))
        try:
            (folder / name).write_text(text, encoding="utf-8")
        except OSError as error:
            raise OutputError(
                f"{folder / name}: cannot be written ({error.strerror}); choose another folder"
            ) from error
        names.append(name)
    return names


def _free_name(stem: str, taken: Sequence[str]) -> str:
    name, count = f"{stem}.svg", 1
    while name.casefold() in {t.casefold() for t in taken}:
        count += 1
        name = f"{stem}-{count}.svg"
    return name


def drawn_revision(revision: Revision, storey: Storey, settings_digest: str = "") -> Plan:
    """The plan of a storey of the new state with the old one in it, and its changes in words beside."""
    before = _before(revision, storey)
    changes = [c for c in revision.changes if c.storey == storey.ifc_guid]
    pipes = [p for p in revision.circuits if before is not None and p.storey == before.ifc_guid]
    cabinets = [c for c in revision.cabinets if before is not None and c.storey == before.ifc_guid]
    view = _view(revision, storey, before, pipes, settings_digest)

    def draw(pen: Pen, sheet: Sheet) -> tuple[Label, ...]:
        _draw_floor(pen, view)
        _draw_circuits(pen, revision, pipes)
        for cabinet in cabinets:
            draw_cabinet(pen, cabinet.outline, lost=cabinet.name in revision.manifolds)
        draw_shell(pen, view)
        for area in _areas(changes, view):
            pen.hatch(area, "LEFT-OUT", angles_deg=(45.0,), gap_mm=HATCH_GAP_MM)
        _draw_old(pen, view, before)
        return _draw_labels(
            pen,
            sheet,
            view,
            changes,
            [p for p in pipes if p.number in revision.laid_anew],
            [c.outline for c in cabinets],
        )

    return drawn_page(view, "Revision plan", _written(revision, changes, pipes), draw, draw_revision_sign)


def _before(revision: Revision, storey: Storey) -> Storey | None:
    """The storey in the old state."""
    return next((s for s in revision.old.storeys if revision.same_ids.get(s.ifc_guid) == storey.ifc_guid), None)


def _view(
    revision: Revision, storey: Storey, before: Storey | None, pipes: Sequence[EarlierPipe], settings_digest: str
) -> StoreyView:
    """The new storey as the plans see one, wide enough for both states."""
    rooms = [r.outline for s in (storey, before) if s is not None for r in s.rooms if not r.external]
    shown = rooms or [w.outline for w in storey.walls] or [shapely.box(0, 0, 4, 3)]
    bounds = shapely.union_all([shapely.envelope(g) for g in [*shown, *(p.line for p in pipes)]]).buffer(
        ROUND_ROOMS_M, join_style="mitre"
    )
    result = StoreyDesign(storey=storey.ifc_guid, rooms=(), manifolds=(), circuits=())
    design = _undesigned(revision.new, settings_digest)
    return StoreyView(
        design=design,
        storey=storey,
        result=result,
        rooms=(),
        bounds=bounds.bounds,
        window=shapely.box(*bounds.bounds),
        findings=(),
    )


def _undesigned(building: Building, settings_digest: str) -> Design:
    """The new state before anything is designed in it."""
    storeys = tuple(StoreyDesign(storey=s.ifc_guid, rooms=(), manifolds=(), circuits=()) for s in building.storeys)
    return Design(
        building=building,
        settings=Settings(),
        storeys=storeys,
        findings=(),
        take_off=(),
        software_version=__version__,
        settings_digest=settings_digest,
    )


def _written(revision: Revision, changes: Sequence[Change], pipes: Sequence[EarlierPipe]) -> tuple[Block, ...]:
    lines = [f"{k}: {change_line(c, revision, with_storey=False)}" for k, c in enumerate(changes, 1)]
    whole = [change_line(c, revision) for c in revision.changes if not c.storey]
    effects = {t.effect for t in revision.touched}
    shown = {"new", "old", "changed"} | ({"stays", "manifold"} if pipes else set())
    shown |= ({"touched"} if Effect.LAY_ANEW in effects else set()) | (
        {"follows"} if Effect.FIGURES in effects else set()
    )
    return (
        paragraphs("What changed on this storey", lines),
        paragraphs("In the whole model", whole),
        paragraphs("In sum", revision_sums(revision) if revision.designed else []),
        legend([(sign, words) for sign, words in SIGNS if sign in shown]),
        paragraphs("Cautions", CAUTION),
    )


def _areas(changes: Sequence[Change], view: StoreyView) -> list[BaseGeometry]:
    """Floor and elements that changed, but for rooms of which only level, use or name did."""
    whole = ("revision.level-", "revision.build-up-", "revision.room-use", "revision.room-figures", "revision.room-ren")
    found = [c.area for c in changes if not c.code.startswith(whole)]
    return [shapely.make_valid(area).intersection(view.window) for area in found]


def _draw_floor(pen: Pen, view: StoreyView) -> None:
    """The rooms of the new state."""
    for room in view.storey.rooms:
        if not room.external:
            pen.outline(shapely.make_valid(room.outline), "ROOM")


def _draw_circuits(pen: Pen, revision: Revision, pipes: Sequence[EarlierPipe]) -> None:
    """Circuits that stay thin and grey below, those that follow dashed, those laid anew thick on top."""
    effects = {t.number: t.effect for t in revision.touched}
    for pipe in sorted(pipes, key=lambda p: effects.get(p.number, Effect.NONE)):
        draw_circuit_line(pen, list(pipe.line.coords), effects.get(pipe.number, Effect.NONE))


def draw_circuit_line(pen: Pen, points: Sequence[Sequence[float]], effect: Effect) -> None:
    """A circuit by what becomes of it."""
    if effect is Effect.LAY_ANEW:
        pen.line(points, "PIPE-FLOW", colour=INK, weight_mm=0.5)
    elif effect is Effect.FIGURES:
        pen.line(points, "PIPE-FLOW", colour=(90, 90, 90), weight_mm=0.25, linetype="RETURN_DASH")
    else:
        pen.line(points, "PIPE-FLOW", colour=GREY, weight_mm=0.13)


def draw_cabinet(pen: Pen, outline: Polygon, *, lost: bool) -> None:
    """A manifold of the earlier design, crossed where it cannot stay."""
    pen.fill(outline, "MANIFOLD", CABINET)
    pen.outline(outline, "MANIFOLD", weight_mm=0.35)
    if lost:
        corners = list(outline.exterior.coords)
        pen.line([corners[0], corners[2]], "MANIFOLD")
        pen.line([corners[1], corners[3]], "MANIFOLD")


def _draw_old(pen: Pen, view: StoreyView, before: Storey | None) -> None:
    """Outlines of the old state where the new one has none, dashed."""
    if before is None:
        return
    old, new = _outlines(before), _outlines(view.storey)
    lines = old.difference(new.buffer(COINCIDE_M)).intersection(view.window)
    for part in shapely.get_parts(shapely.line_merge(lines)):
        if part.geom_type == "LineString" and part.length > SHORTEST_M:
            pen.line(list(part.coords), "WALL", colour=OLD_LINE, linetype="SHORT_DASH", weight_mm=0.35)


def _outlines(storey: Storey) -> BaseGeometry:
    """All lines of what stands on a storey."""
    solid = united([*(w.outline for w in storey.walls), *(c.outline for c in storey.columns)])
    solid = solid.buffer(HAIR_M, join_style="mitre").buffer(-HAIR_M, join_style="mitre").boundary
    openings = [o.outline.boundary for o in storey.openings]
    return shapely.union_all([solid, *openings, *(shapely.make_valid(o.outline).boundary for o in storey.obstacles)])


def _draw_labels(
    pen: Pen,
    sheet: Sheet,
    view: StoreyView,
    changes: Sequence[Change],
    anew: Sequence[EarlierPipe],
    cabinets: Sequence[Polygon],
) -> tuple[Label, ...]:
    """Numbers of changes first, then circuits that are laid anew, then the names of rooms."""
    bounds = (*sheet.at(*sheet.plan[:2]), *sheet.at(*sheet.plan[2:]))
    lines = [p.line for p in anew] + [w.outline.boundary for w in view.storey.walls]
    placer = Placer(bounds, pen.mm(1.0), InkMap(bounds, pen.mm(INK_CELL_MM), lines))
    for cabinet in cabinets:
        placer.reserve(cabinet.bounds)
    wishes = [w for k, c in enumerate(changes, 1) if (w := _number_wish(pen, k, c, view)) is not None]
    wishes += [_wish(p.number, p.line.convex_hull, p.number, TEXT_MM, framed=True) for p in anew]
    for room in view.storey.rooms:
        parts = polygons(shapely.make_valid(room.outline).intersection(view.window))
        if parts and not room.external:
            name = clean(room.label)
            wishes.append(_wish(room.ifc_guid, max(parts, key=lambda p: p.area), name, ROOM_MM, inside=True))
    labels = tuple(label for label in map(placer.place, wishes) if label is not None)
    for label in labels:
        draw_label(pen, label)
    return labels


def _number_wish(pen: Pen, number: int, change: Change, view: StoreyView) -> Wish | None:
    area = shapely.make_valid(change.area).intersection(view.window)
    if area.is_empty:
        return None
    around = area.envelope.buffer(pen.mm(6.0))
    line = Line(text=str(number), height=NUMBER_MM, bold=True)
    wordings = (Wording(lines=(line,), step=3.0),)
    return Wish(key=f"change {number}", area=around, wordings=wordings, framed=True, about=area)


def _wish(
    key: str, area: BaseGeometry, text: str, height: float, *, framed: bool = False, inside: bool = False
) -> Wish:
    line = Line(text=text, height=height, bold=framed)
    wordings = (Wording(lines=(line,), step=3.0),)
    return Wish(key=key, area=area, wordings=wordings, framed=framed, inside_only=inside)


def draw_revision_sign(pen: Pen, sheet: Sheet, sign: str, x: float, middle: float) -> None:
    """Draw the legend's `sign` from `x`, about the height `middle` [mm on the sheet]."""
    ends = [sheet.at(x + 1, middle), sheet.at(x + 1 + SIGN_MM, middle)]
    box = shapely.box(*sheet.at(x + 1, middle - 1.5), *sheet.at(x + 1 + SIGN_MM, middle + 1.5))
    effects = {"touched": Effect.LAY_ANEW, "follows": Effect.FIGURES, "stays": Effect.NONE}
    if sign in effects:
        draw_circuit_line(pen, ends, effects[sign])
    elif sign == "old":
        pen.line(ends, "WALL", colour=OLD_LINE, linetype="SHORT_DASH", weight_mm=0.35)
    elif sign == "manifold":
        draw_cabinet(pen, box, lost=False)
    elif sign == "changed":
        pen.hatch(box, "LEFT-OUT", angles_deg=(45.0,), gap_mm=HATCH_GAP_MM)
    else:
        pen.fill(box, "WALL", PAPER)
        pen.outline(box, "WALL", weight_mm=0.35)
