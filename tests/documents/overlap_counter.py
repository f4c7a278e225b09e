"""Counts letters that lie on pipes or on each other in a written SVG, by code that knows nothing of how they got there.

Text boxes come from a real font's own glyphs (pillow, a free sans-serif font that the PDF library brings along), as
wide as the file says by `textLength`; strokes of pipes are the paths drawn in a pipe's colour, as wide as they are.
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from functools import cache
from itertools import pairwise
from pathlib import Path

import reportlab
import shapely
from PIL import ImageFont
from shapely import affinity
from shapely.geometry.base import BaseGeometry

FONTS = Path(reportlab.__file__).parent / "fonts"
TOKEN = re.compile(r"[A-Za-z]|-?\d+(?:\.\d+)?")
ANCHORS = {"start": 0.0, "middle": 0.5, "end": 1.0}
PX = 200
PIPE_COLOURS = {"#be4a08", "#de7818", "#005c80", "#26809e"}
"""As a picker of colours reads them off a plan; `test_sheets.py` holds them to the code's own."""
TOUCH_MM2 = 0.005


def overlaps(svg: str, pipe_colours: set[str]) -> tuple[list[tuple[str, str]], list[str]]:
    """(pairs of texts on each other, texts on pipes) of an SVG whose coordinates are 0.01 mm."""
    root = ElementTree.fromstring(svg)
    texts = [(e.text or "", text_box(e)) for e in root.iter() if e.tag.endswith("}text")]
    texts = [(words, box) for words, box in texts if words.strip() and not box.is_empty]
    strokes = pipe_strokes(root, pipe_colours)
    tree = shapely.STRtree([box for _, box in texts])
    pairs = []
    for (a, box), k in zip(texts, range(len(texts)), strict=True):
        for n in tree.query(box, predicate="intersects"):
            if n > k and box.intersection(texts[n][1]).area > TOUCH_MM2 * 1e4:
                pairs.append((a, texts[n][0]))
    pipes = shapely.STRtree(strokes)
    hit = [words for words, box in texts if len(pipes.query(box, predicate="intersects"))]
    return pairs, hit


def text_box(element: ElementTree.Element) -> BaseGeometry:
    """The box of a text's ink, turned as it is written."""
    words, size = element.text or "", float(element.get("font-size", "0"))
    x, y = float(element.get("x", "0")), float(element.get("y", "0"))
    wide = float(element.get("textLength", "0"))
    _, top, _, bottom = font(element.get("font-weight") == "bold").getbbox(words, anchor="ls")
    left = x - ANCHORS[element.get("text-anchor", "start")] * wide
    box = shapely.box(left, y + top * size / PX, left + wide, y + bottom * size / PX)
    turn = re.match(r"rotate\((-?[\d.e-]+)", element.get("transform", ""))
    return affinity.rotate(box, float(turn[1]), origin=(x, y)) if turn else box


@cache
def font(bold: bool) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(FONTS / ("VeraBd.ttf" if bold else "Vera.ttf")), PX)


def pipe_strokes(root: ElementTree.Element, colours: set[str]) -> list[BaseGeometry]:
    """Every straight piece of a stroke in one of the colours, as wide as it is drawn; arrow heads, closed, left out."""
    looks = {}
    for e in root.iter():
        if e.tag.endswith("}style"):
            for name, rule in re.findall(r"\.(\w+) \{(.*?)\}", e.text or "", re.S):
                looks[name] = {k.strip(): v.strip() for k, _, v in (r.partition(":") for r in rule.split(";")) if v}
    found: list[BaseGeometry] = []
    for e in root.iter():
        look = looks.get(e.get("class", ""), {})
        if e.tag.endswith("}path") and look.get("stroke", "").lower() in colours and "Z" not in e.get("d", "").upper():
            half = float(look["stroke-width"]) / 2
            found += [line.buffer(half, cap_style="flat") for line in lines(e.get("d", "")) if line.length > 0]
    return found


def lines(path: str) -> list[shapely.LineString]:
    """The pieces of a path; a curve's chords by 8."""
    takes = {"M": 1, "L": 1, "Q": 2, "C": 3}
    pieces, here, kind, numbers = [], (0.0, 0.0), "", []
    for token in TOKEN.findall(path):
        if token.isalpha():
            kind = token
            continue
        numbers.append(float(token))
        if len(numbers) < 2 * takes[kind.upper()]:
            continue
        base = here if kind.islower() else (0.0, 0.0)
        points = [here] + [(base[0] + a, base[1] + b) for a, b in zip(numbers[::2], numbers[1::2], strict=True)]
        if kind.upper() != "M":
            pieces += _chords(points)
        here, numbers = points[-1], []
        kind = {"M": "L", "m": "l"}.get(kind, kind)
    return pieces


def _chords(points: list[tuple[float, float]]) -> list[shapely.LineString]:
    """A curve of any degree by de Casteljau's construction, in chords."""
    spots = []
    for k in range(9 if len(points) > 2 else 2):
        t, row = k / (8 if len(points) > 2 else 1), points
        while len(row) > 1:
            row = [(a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])) for a, b in pairwise(row)]
        spots.append(row[0])
    return [shapely.LineString(pair) for pair in pairwise(spots)]
