"""The plan as a PDF to scale: the same lines and texts as the SVG, as vectors, one page the size of its sheet.

The drawing is rendered once, as SVG elements; their few commands are set down again on the page. So both files show
the same, and there is no second renderer to keep in step. The same design gives the same bytes.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

from PIL import ImageFont
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFError, TTFont
from reportlab.pdfgen.canvas import FILL_EVEN_ODD, Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from ufh_core.basis.errors import OutputError
from ufh_core.documents.framed_page import Plan
from ufh_core.documents.plan_svg import UNITS_PER_MM

POINTS_PER_MM = 72 / 25.4
OWN = {False: "Vera", True: "VeraBd"}  # they come with the library
OTHERS = {  # looked for on the machine where a name has letters that the library's faces lack
    False: ("DejaVuSans.ttf", "NotoSans-Regular.ttf", "Arial Unicode.ttf", "arial.ttf"),
    True: ("DejaVuSans-Bold.ttf", "NotoSans-Bold.ttf", "Arial Unicode.ttf", "arialbd.ttf"),
}
ANCHORS = {"start": 0.0, "middle": 0.5, "end": 1.0}
NO_LETTER = "?"
_TOKEN = re.compile(r"[A-Za-z]|-?\d+(?:\.\d+)?")
_RULE = re.compile(r"\.(\w+) \{(.*)\}", re.S)

Point = tuple[float, float]
Looks = dict[str, dict[str, str]]


def write_plan_pdf(plan: Plan, drawing: ElementTree.Element, path: Path) -> None:
    """Write a plan whose SVG elements are `drawing`. Raises: OutputError where it cannot be written."""
    width, height = (side * POINTS_PER_MM for side in (plan.sheet.width, plan.sheet.height))
    canvas = Canvas(str(path), pagesize=(width, height), invariant=1, pageCompression=1)
    canvas.setTitle(plan.title)
    canvas.setLineJoin(1)
    canvas.transform(POINTS_PER_MM / UNITS_PER_MM, 0, 0, -POINTS_PER_MM / UNITS_PER_MM, 0, height)
    _draw(canvas, drawing)
    try:
        canvas.save()
    except OSError as error:
        raise OutputError(f"{path}: the plan cannot be written ({error.strerror}); choose another folder") from error


def _draw(canvas: Canvas, drawing: ElementTree.Element) -> None:
    """Every path and text, in order."""
    looks = _looks(drawing)
    for element in drawing.iter():
        kind = element.tag.rpartition("}")[2]
        if kind == "path":
            _draw_path(canvas, element, looks[element.get("class", "")])
        elif kind == "text":
            _draw_text(canvas, element)


def _looks(drawing: ElementTree.Element) -> Looks:
    """What the classes of the drawing look like."""
    rules = (_RULE.match(e.text or "") for e in drawing.iter() if e.tag.rpartition("}")[2] == "style")
    return {rule[1]: _pairs(rule[2]) for rule in rules if rule}


def _pairs(rule: str) -> dict[str, str]:
    """Names and values of a rule."""
    pairs = (pair.partition(":") for pair in rule.split(";") if ":" in pair)
    return {name.strip(): value.strip() for name, _, value in pairs}


def _draw_path(canvas: Canvas, element: ElementTree.Element, look: dict[str, str]) -> None:
    path = canvas.beginPath()
    _trace(path, _commands(element.get("d", "")))
    if look["fill"] != "none":
        canvas.setFillColor(look["fill"])
        canvas.setFillAlpha(float(look["fill-opacity"]))
        canvas.drawPath(path, stroke=0, fill=1, fillMode=FILL_EVEN_ODD)
        return
    dashes = [float(part) for part in element.get("stroke-dasharray", "").split()]
    canvas.setDash(dashes)
    canvas.setLineCap(0 if dashes else 1)
    canvas.setLineWidth(float(look["stroke-width"]))
    canvas.setStrokeColor(look["stroke"])
    canvas.setStrokeAlpha(float(look["stroke-opacity"]))
    canvas.drawPath(path, stroke=1, fill=0)


def _commands(text: str) -> Iterator[tuple[str, list[float]]]:
    """(letter, numbers) of each command of a path, as many numbers as it takes."""
    takes = {"M": 2, "L": 2, "Q": 4, "C": 6, "Z": 0}
    letter, numbers = "", list[float]()
    for token in _TOKEN.findall(text):
        if token.isalpha():
            letter = token
            if not takes[letter.upper()]:
                yield letter, []
            continue
        numbers.append(float(token))
        if len(numbers) == takes[letter.upper()]:
            yield letter, numbers
            numbers = []


def _trace(path: PDFPathObject, commands: Iterator[tuple[str, list[float]]]) -> None:
    """Set the commands of a path down; a curve of the second degree becomes one of the third."""
    here = start = (0.0, 0.0)
    for letter, numbers in commands:
        base = here if letter.islower() else (0.0, 0.0)
        points = [(base[0] + x, base[1] + y) for x, y in zip(numbers[::2], numbers[1::2], strict=True)]
        kind = letter.upper()
        if kind == "M":
            start = points[0]
            path.moveTo(*start)
        elif kind == "L":
            path.lineTo(*points[0])
        elif kind == "Z":
            path.close()
        else:
            ends = _cubic(here, points) if kind == "Q" else points
            path.curveTo(*ends[0], *ends[1], *ends[2])
        here = points[-1] if points else start


def _cubic(here: Point, points: Sequence[Point]) -> list[Point]:
    """The curve of the third degree that is one of the second, by its ends and its one control point."""
    (px, py), end = points[0], points[1]
    near = (here[0] + 2 / 3 * (px - here[0]), here[1] + 2 / 3 * (py - here[1]))
    far = (end[0] + 2 / 3 * (px - end[0]), end[1] + 2 / 3 * (py - end[1]))
    return [near, far, end]


def _draw_text(canvas: Canvas, element: ElementTree.Element) -> None:
    """One line of text, as wide as the drawing says."""
    text, size, wide = element.text or "", float(element.get("font-size", 0)), float(element.get("textLength", 0))
    font, text = _font_for(text, element.get("font-weight") == "bold")
    natural = pdfmetrics.stringWidth(text, font, size)
    canvas.saveState()
    canvas.translate(float(element.get("x", 0)), float(element.get("y", 0)))
    canvas.rotate(_angle(element))
    canvas.scale(wide / natural if natural else 1.0, -1.0)
    canvas.setFillColor(element.get("fill", "#000000"))
    canvas.setFillAlpha(1.0)
    canvas.setFont(font, size)
    canvas.drawString(-ANCHORS[element.get("text-anchor", "start")] * natural, 0, text)
    canvas.restoreState()


def _angle(element: ElementTree.Element) -> float:
    """The turn of a text [degrees, clockwise on the sheet]."""
    turn = re.match(r"rotate\((-?[\d.e-]+)", element.get("transform", ""))
    return float(turn[1]) if turn else 0.0


def _font_for(text: str, bold: bool) -> tuple[str, str]:
    """(font, text): the first face that has all letters; where none has, those that it lacks become "?"."""
    for font in (OWN[bold], *(name for file in OTHERS[bold] if (name := _found(file)))):
        if not _lacking(text, font):
            return font, text
    own = _registered(OWN[bold], f"{OWN[bold]}.ttf")
    lacking = _lacking(text, own)
    return own, "".join(NO_LETTER if letter in lacking else letter for letter in text)


def _lacking(text: str, font: str) -> set[str]:
    """Letters of a text that a font has no sign for."""
    _registered(font, f"{font}.ttf")
    signs = pdfmetrics.getFont(font).face.charToGlyph
    return {letter for letter in text if ord(letter) not in signs}


@cache
def _registered(name: str, file: str) -> str:
    """Make a face known to the library, by the file's name or path."""
    if name not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(TTFont(name, file))
    return name


@cache
def _found(file: str) -> str | None:
    """A face of the machine by its file's name, None where it is not there."""
    try:
        return _registered(file.removesuffix(".ttf"), str(ImageFont.truetype(file).path))
    except (OSError, TTFError):
        return None
