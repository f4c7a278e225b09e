"""The plan as PDF, read back by another library: to scale, in vectors, with its texts."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from made_up_design import design, with_names
from pypdf import PdfReader

from ufh_core.design_result import Design
from ufh_core.documents.drawing_files import write_sheet
from ufh_core.documents.pen import INK
from ufh_core.documents.plan_drawing import drawn_plan
from ufh_core.documents.plan_pdf import write_plan_pdf
from ufh_core.documents.plan_pipes import FLOW_SHADES, RETURN_SHADES
from ufh_core.documents.plan_svg import plan_elements

MM = 72 / 25.4
NUMBER = re.compile(r"^-?\d*\.?\d+$")


def written(folder: Path, made: Design | None = None) -> Path:
    made = made or design()
    write_sheet(drawn_plan(made, made.storeys[0]), folder / "plan", (".svg", ".pdf"))
    return folder / "plan.pdf"


def paths(pdf: Path) -> Iterator[tuple[str, tuple[float, ...], list[np.ndarray]]]:
    """(operator, colour, subpaths in mm on paper) of each path on the page; curves in chords."""
    content = PdfReader(pdf).pages[0].get_contents().get_data().decode("latin-1")
    matrix, stack, numbers = np.eye(3), [], []
    colours, parts = {"s": (), "f": ()}, []
    for token in content.split():
        if NUMBER.match(token):
            numbers.append(float(token))
            continue
        if token == "q":
            stack.append(matrix)
        elif token == "Q":
            matrix = stack.pop()
        elif token == "cm":
            a, b, c, d, e, f = numbers
            matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix
        elif token in ("RG", "rg"):
            colours["s" if token == "RG" else "f"] = tuple(numbers[-3:])
        elif token == "m":
            parts.append([tuple(numbers[-2:])])
        elif token == "l":
            parts[-1].append(tuple(numbers[-2:]))
        elif token == "c":
            ends = np.array([parts[-1][-1], *np.reshape(numbers[-6:], (3, 2))])
            for t in np.linspace(0, 1, 25)[1:]:
                weights = np.array([(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3])
                parts[-1].append(tuple(weights @ ends))
        elif token == "h":
            parts[-1].append(parts[-1][0])
        elif token in ("S", "f*", "n"):
            placed = [(np.column_stack([np.array(p), np.ones(len(p))]) @ matrix)[:, :2] / MM for p in parts]
            if token != "n":
                yield token, colours["s" if token == "S" else "f"], placed
            parts = []
        numbers = []


def rgb(colour: tuple[int, int, int]) -> tuple[float, ...]:
    return tuple(part / 255 for part in colour)


def alike(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return len(one) == 3 and all(abs(a - b) < 0.003 for a, b in zip(one, other, strict=True))


def test_the_page_has_the_size_of_its_sheet(tmp_path: Path) -> None:
    sheet = drawn_plan(design(), design().storeys[0]).sheet
    page = PdfReader(written(tmp_path)).pages[0]
    assert float(page.mediabox.width) == pytest.approx(sheet.width * MM, abs=0.01)
    assert float(page.mediabox.height) == pytest.approx(sheet.height * MM, abs=0.01)
    assert len(PdfReader(tmp_path / "plan.pdf").pages) == 1


def test_a_metre_of_the_scale_bar_measures_20_mm_at_1_to_50(tmp_path: Path) -> None:
    """Dark parts of the bar, 1.6 mm high: 1000 mm / 50 = 20.0 mm, by arithmetic."""
    assert drawn_plan(design(), design().storeys[0]).sheet.scale == 50
    boxes = [
        np.ptp(part, axis=0) for kind, colour, parts in paths(written(tmp_path)) for part in parts
        if kind == "f*" and alike(colour, rgb(INK))
    ]  # fmt: skip
    bar = [size for size in boxes if abs(size[1] - 1.6) < 0.05 and size[0] > 5]
    assert len(bar) == 2
    assert [round(float(size[0]), 2) for size in bar] == [20.0, 20.0]


def test_pipes_are_as_long_on_paper_as_in_the_design(tmp_path: Path) -> None:
    """Strokes in the pipes' colours, 1:50, against the circuits' plan length; the legend's signs are short."""
    shades = [rgb(colour) for colour in (*FLOW_SHADES, *RETURN_SHADES)]
    drawn = 0.0
    for kind, colour, parts in paths(written(tmp_path)):
        if kind == "S" and any(alike(colour, shade) for shade in shades):
            lengths = [sum(math.dist(a, b) for a, b in pairwise(part.tolist())) for part in parts]
            drawn += sum(length for length in lengths if length > 50) * 50 / 1000
    laid = sum(circuit.laid.axis.length_m for circuit in design().storeys[0].circuits)
    assert drawn == pytest.approx(laid, rel=0.002)


def test_all_is_vectors_and_texts_can_be_read(tmp_path: Path) -> None:
    page = PdfReader(written(tmp_path)).pages[0]
    assert not page.images
    text = page.extract_text()
    assert "M1.03" in text and "scale 1:50" in text and "Designed by calculation" in text


def test_the_same_design_gives_the_same_bytes(tmp_path: Path) -> None:
    first, second = written(tmp_path).read_bytes(), written(tmp_path).read_bytes()
    assert first == second and first.startswith(b"%PDF-")


@pytest.mark.parametrize(
    "name", ["(<b>) \\) Tj ET Q", "K\u00fcche \u0434\u043e\u043c", "\U0001f525 \u4e2d", "y" * 3000]
)
def test_hostile_names_spoil_nothing(name: str, tmp_path: Path) -> None:
    made = with_names(name, name)
    pdf = written(tmp_path, made)
    assert len(PdfReader(pdf).pages) == 1
    assert sum(1 for _ in paths(pdf)) > 100


def test_a_small_house_fits_a_small_sheet_and_where_it_cannot_be_written_one_line_says_so(tmp_path: Path) -> None:
    from ufh_core.basis.errors import OutputError

    plan = drawn_plan(design(), design().storeys[0])
    assert plan.sheet.paper in ("A4", "A3", "A2", "A1")
    with pytest.raises(OutputError, match="cannot be written"):
        write_plan_pdf(plan, plan_elements(plan), tmp_path / "absent" / "plan.pdf")
