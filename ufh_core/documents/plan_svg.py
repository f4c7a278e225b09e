"""The plan as an SVG file: lines by the drawing library, texts as live text that can be searched and read aloud."""

from __future__ import annotations

import random
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from xml.etree import ElementTree

from ezdxf.addons.drawing import layout, svg
from ezdxf.addons.drawing.config import BackgroundPolicy, Configuration, LinePolicy, TextPolicy
from ezdxf.addons.drawing.frontend import Frontend
from ezdxf.addons.drawing.properties import BackendProperties, RenderContext

from ufh_core.basis.errors import OutputError
from ufh_core.design_result import Design, StoreyDesign
from ufh_core.documents.framed_page import Plan
from ufh_core.documents.lettering import EM_PER_CAP_HEIGHT, clean, text_width
from ufh_core.documents.pen import LAYERS, LINETYPES
from ufh_core.documents.sheet import Sheet

UNITS_PER_MM = 100  # the file's coordinates are whole numbers of 0.01 mm on paper
FACES = "DejaVu Sans, Verdana, Arial, sans-serif"
LONGEST_NAME = 80


def write_text(drawing: ElementTree.Element, path: Path) -> None:
    """Write SVG elements as a file. Raises: OutputError where it cannot be written."""
    try:
        Path(path).write_text(_as_text(drawing), encoding="utf-8")
    except OSError as error:
        raise OutputError(f"{path}: the plan cannot be written ({error.strerror}); choose another folder") from error


def plan_svg(plan: Plan) -> str:
    """The plan as SVG text, the size of its sheet."""
    return _as_text(plan_elements(plan))


def _as_text(root: ElementTree.Element) -> str:
    return ElementTree.tostring(root, encoding="unicode", xml_declaration=True)


def plan_elements(plan: Plan) -> ElementTree.Element:
    """The plan as SVG elements; coordinates are 0.01 mm on paper."""
    config = Configuration(
        background_policy=BackgroundPolicy.WHITE, text_policy=TextPolicy.IGNORE, line_policy=LinePolicy.SOLID
    )
    backend = _DashedBackend(_dashes_by_handle(plan))
    with _same_chance():
        Frontend(RenderContext(plan.document), backend, config=config).draw_layout(plan.document.modelspace())
    sheet = plan.sheet
    page = layout.Page(sheet.width, sheet.height, layout.Units.mm)
    settings = layout.Settings(output_coordinate_space=max(sheet.width, sheet.height) * UNITS_PER_MM)
    root = backend.get_xml_root_element(page, settings=settings)
    _add_texts(root, plan)
    title = ElementTree.Element("title")
    title.text = clean(plan.title)
    root.insert(0, title)
    return root


def plan_file_names(design: Design) -> dict[str, str]:
    """File names `plan-<storey>.svg` by storey GlobalId, each once, letters of any script kept.

    Names that would be the same, also where a file system ignores case, get -2, -3 and so on.
    """
    names = {storey.ifc_guid: storey.name for storey in design.building.storeys}
    taken: set[str] = set()
    result: dict[str, str] = {}
    for storey in design.storeys:
        stem, count = safe_stem(names.get(storey.storey, "")), 1
        name = stem
        while name.casefold() in taken:
            count += 1
            name = f"{stem}-{count}"
        taken.add(name.casefold())
        result[storey.storey] = f"plan-{name}.svg"
    return result


def panel_file_names(design: Design) -> dict[str, str]:
    """File names `panels-<storey>.svg` by storey GlobalId, of storeys whose panels are laid."""
    laid = (storey for storey in design.storeys if storey.panels is not None)
    return {guid: f"{stem}.svg" for guid, stem in _stems(design, "panels", laid).items()}


def joint_stems(design: Design) -> dict[str, str]:
    """File names `joints-<storey>` without an ending, by storey GlobalId, of storeys with fields of screed."""
    return _stems(design, "joints", (storey for storey in design.storeys if storey.joints.fields))


def surface_stems(design: Design) -> dict[str, str]:
    """File names `surface-<storey>` without an ending, by storey GlobalId, of storeys that have a surface field."""
    return _stems(design, "surface", (storey for storey in design.storeys if storey.surface is not None))


def floor_file_names(design: Design) -> dict[str, str]:
    """File names `floors-<storey>.svg` by storey GlobalId, of storeys with floors to draw in section."""
    with_floors = (s for s in design.storeys if any(r.build_up and r.build_up.layers for r in s.rooms))
    return {guid: f"{stem}.svg" for guid, stem in _stems(design, "floors", with_floors).items()}


def _stems(design: Design, what: str, storeys: Iterable[StoreyDesign]) -> dict[str, str]:
    """Names for a file of each storey, told apart as the plans are."""
    names = plan_file_names(design)
    return {s.storey: f"{what}-" + names[s.storey].removeprefix("plan-").removesuffix(".svg") for s in storeys}


def safe_stem(name: str) -> str:
    """`name` as part of a file name on any file system: letters, digits, dot, dash; else a dash.

    >>> safe_stem('Level 1/2 <"ground">')
    'Level-1-2-ground'
    """
    composed = unicodedata.normalize("NFC", clean(name))
    kept = "".join(c if c.isalnum() or c in "._+" or unicodedata.category(c) == "Mn" else "-" for c in composed)
    stem = "-".join(part for part in kept.split("-") if part).strip("._")
    while len(stem.encode("utf-8")) > LONGEST_NAME:
        stem = stem[:-1]
    return stem or "storey"


class _DashedStrokes(svg.SVGRenderBackend):
    """Strokes with a dash array in place of hundreds of short lines each."""

    dashes: Mapping[str, str]

    def add_strokes(self, d: str, properties: BackendProperties) -> None:
        super().add_strokes(d, properties)
        if d and properties.handle in self.dashes:
            self.entities[-1].set("stroke-dasharray", self.dashes[properties.handle])
            self.entities[-1].set("stroke-linecap", "butt")


class _DashedBackend(svg.SVGBackend):
    def __init__(self, dashes: Mapping[str, str]) -> None:
        super().__init__()
        self._dashes = dashes

    def make_backend(self, page: layout.Page, settings: layout.Settings) -> _DashedStrokes:  # type: ignore[override]
        strokes = _DashedStrokes(page, settings)
        strokes.dashes = self._dashes
        return strokes


def _dashes_by_handle(plan: Plan) -> dict[str, str]:
    """Dash arrays of the entities whose line type, their own or their layer's, is not continuous."""
    arrays = {
        name: " ".join(str(round(abs(length) * UNITS_PER_MM)) for length in lengths)
        for name, lengths in LINETYPES.items()
    }
    found: dict[str, str] = {}
    for entity in plan.document.modelspace().query("LWPOLYLINE CIRCLE"):
        name = entity.dxf.linetype
        if name == "BYLAYER":
            name = LAYERS[entity.dxf.layer].linetype
        if name in arrays:
            found[entity.dxf.handle] = arrays[name]
    return found


@contextmanager
def _same_chance() -> Iterator[None]:
    """Chance that is the same in every run, since the drawing library moves hatch lines a little by chance."""
    before = random.getstate()
    random.seed(0)
    try:
        yield
    finally:
        random.setstate(before)


def _add_texts(root: ElementTree.Element, plan: Plan) -> None:
    group = ElementTree.SubElement(root, "g", {"font-family": FACES})
    anchors = {0: "start", 1: "middle", 2: "end"}
    for entity in plan.document.modelspace().query("TEXT"):
        content, height = entity.dxf.text, entity.dxf.height / plan.sheet.scale
        bold = entity.dxf.style == "PLAN-BOLD"
        point = entity.dxf.insert if entity.dxf.halign == 0 else entity.dxf.align_point
        x, y = _on_page(plan.sheet, point.x, point.y)
        attributes = {"x": str(x), "y": str(y), "font-size": str(round(height * EM_PER_CAP_HEIGHT * UNITS_PER_MM))}
        attributes["text-anchor"] = anchors[entity.dxf.halign]
        attributes["textLength"] = str(round(text_width(content, height, bold) * UNITS_PER_MM))
        attributes["lengthAdjust"] = "spacingAndGlyphs"
        if bold:
            attributes["font-weight"] = "bold"
        if entity.dxf.hasattr("true_color"):
            attributes["fill"] = f"#{entity.dxf.true_color:06x}"
        if entity.dxf.rotation:
            attributes["transform"] = f"rotate({-entity.dxf.rotation:g} {x} {y})"
        ElementTree.SubElement(group, "text", attributes).text = content


def _on_page(sheet: Sheet, x: float, y: float) -> tuple[int, int]:
    """Coordinates in the file of a point of the drawing [mm of the building]."""
    west, south = sheet.corner[0] * 1000, sheet.corner[1] * 1000
    right, up = (x - west) / sheet.scale, (y - south) / sheet.scale
    return round(right * UNITS_PER_MM), round((sheet.height - up) * UNITS_PER_MM)
