"""Regression: the twelve kinds of room are laid as in the drawings beside this test, to a millimetre.

A change that is meant is accepted with `python tests/pictures/draw.py` and a look at what it drew.
"""

from __future__ import annotations

import re
from pathlib import Path

import draw
import pytest
import shapely
from shapely.geometry import LineString

HERE = Path(__file__).parent
APART_MM = 1.5
"""Corners are whole millimetres; one that lies half way may fall either side."""
HOW = "if it is meant, look at it and run: python tests/pictures/draw.py"


def pipes(svg: str) -> list[LineString]:
    """Axes of the pipes of a drawing [mm], flow end first."""
    found = re.findall(r'<path class="pipe" d="M([^"]*)"', svg)
    return [LineString([[float(v) for v in p.split()] for p in d.split("L")]) for d in found]


def rooms(svg: str) -> list[list[float]]:
    """Numbers of all areas of a drawing."""
    areas = re.findall(r'<path d="([^"]*Z)" fill-rule="evenodd" fill="#[^"]*"', svg)
    return [[float(v) for v in re.findall(r"-?\d+", d)] for d in areas]


def difference(before: str, now: str) -> str:
    """What is drawn otherwise, in words; empty where nothing is."""
    if rooms(before) != rooms(now):
        return "the room is another one"
    old, new = pipes(before), pipes(now)
    if len(old) != len(new):
        return f"{len(new)} pipes instead of {len(old)}"
    for one, other in zip(old, new, strict=True):
        away = shapely.hausdorff_distance(one.segmentize(50), other.segmentize(50))
        ends = shapely.distance(shapely.get_point(one, [0, -1]), shapely.get_point(other, [0, -1])).max()
        if max(away, ends) > APART_MM or abs(one.length - other.length) > 0.001 * one.length:
            return f"a pipe of {other.length / 1000:.2f} m instead of {one.length / 1000:.2f} m, {away:.0f} mm away"
    return ""


@pytest.mark.parametrize("name", draw.PICTURES)
def test_rooms_are_laid_as_drawn(name: str) -> None:
    file = HERE / f"{name}.svg"
    assert file.exists(), HOW
    now = draw.PICTURES[name]()
    assert difference(file.read_text(encoding="utf-8"), now) == "", HOW


def test_there_is_no_drawing_of_a_room_that_is_gone() -> None:
    assert {f.stem for f in HERE.glob("*.svg")} == set(draw.PICTURES)


def test_a_pipe_that_moved_is_seen() -> None:
    svg = (HERE / "rectangle.svg").read_text(encoding="utf-8")
    assert len(pipes(svg)) == 1
    assert difference(svg, svg) == ""
    points = list(pipes(svg)[0].coords)

    def with_pipe(changed: list[tuple[float, ...]]) -> str:
        d = "L".join(f"{x:.0f} {y:.0f}" for x, y in changed)
        return re.sub(r'class="pipe" d="M[^"]*"', f'class="pipe" d="M{d}"', svg)

    assert difference(svg, with_pipe([(x + 1, y) for x, y in points])) == ""
    assert "away" in difference(svg, with_pipe([(x + 2, y) for x, y in points]))
    assert "away" in difference(svg, with_pipe(points[::-1]))
    middle = len(points) // 2
    assert "away" in difference(svg, with_pipe([*points[:middle], (points[middle][0] + 60, 0), *points[middle + 1 :]]))
    assert "pipes" in difference(svg, re.sub(r'<path class="pipe"[^>]*>', "", svg))
    assert "another one" in difference(svg, re.sub(r'd="M\d+ ([^"]*Z" fill-rule)', r'd="M999 \1', svg, count=1))
