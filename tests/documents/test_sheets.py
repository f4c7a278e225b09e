"""The sheets of the samples as files: to scale, told apart without colour, the same picture as when last looked at.

Golden pictures stand in `golden/`; figures are regressions but for scale, which is arithmetic (ISO 5455).
`WARMLOOM_RENEW_PICTURES=1 pytest -n0 tests/documents/test_sheets.py` draws them again: look at each before commit.
"""

from __future__ import annotations

import io
import math
import os
import re
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from designed_models import SAMPLES, Job, designed_job
from PIL import Image
from pypdf import PdfReader

from tests.documents import overlap_counter
from tests.documents.test_plan_pdf import alike, paths, rgb
from ufh_core.documents.pen import INK
from ufh_core.documents.plan_pipes import FLOW_SHADES, RETURN_SHADES

GOLDEN = Path(__file__).with_name("golden")
SHEETS = (
    "plan-*", "panels-*", "joints-*", "surface-*", "floors-*", "manifold-*", "schematic", "pump-*", "first-heating",
)  # fmt: skip
WIDE_PX, SHADES = 300, 16
MOST_MEAN, MOST_BLOCK, BLOCK_PX = 4.0, 12.0, 10
RENEW = "WARMLOOM_RENEW_PICTURES"


@pytest.fixture(scope="module", params=[path.stem for path in SAMPLES])
def job(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Job:
    return designed_job(request.param, tmp_path_factory)


@pytest.fixture(scope="module")
def bungalow(tmp_path_factory: pytest.TempPathFactory) -> Job:
    return designed_job("bungalow", tmp_path_factory)


def bar_mm(pdf: Path) -> list[float]:
    """Widths on paper of the dark parts of the scale bar, which are 1.6 mm high."""
    sizes = [
        np.ptp(part, axis=0) for kind, colour, parts in paths(pdf) for part in parts
        if kind == "f*" and alike(colour, rgb(INK))
    ]  # fmt: skip
    return [round(float(size[0]), 2) for size in sizes if abs(size[1] - 1.6) < 0.05 and size[0] > 5]


@pytest.mark.parametrize("name", ["plan", "panels", "joints", "surface"])
def test_a_metre_of_the_bar_measures_20_mm_at_1_to_50(bungalow: Job, name: str) -> None:
    words = (bungalow.out / f"{name}-Ground-floor.svg").read_text(encoding="utf-8")
    assert "scale 1:50" in words
    assert bar_mm(bungalow.out / f"{name}-Ground-floor.pdf") == [20.0, 20.0]


def test_every_drawing_has_a_page_of_its_own_size(bungalow: Job) -> None:
    """SVG and PDF say the same millimetres, charts without a scale too; a point is 25.4 / 72 mm."""
    files = [file for kind in SHEETS for file in sorted(bungalow.out.glob(f"{kind}.svg"))]
    assert len(files) >= len(SHEETS)
    for file in files:
        size = re.search(r'width="([\d.]+)mm" height="([\d.]+)mm"', file.read_text(encoding="utf-8"))
        assert size, file.name
        (page,) = PdfReader(file.with_suffix(".pdf")).pages
        sides = (float(page.mediabox.width), float(page.mediabox.height))
        assert sides == pytest.approx([float(side) * 72 / 25.4 for side in size.groups()], abs=0.02), file.name


def test_layers_of_a_floor_are_as_thick_on_paper_as_in_the_design_at_1_to_5(bungalow: Job) -> None:
    """Filled rectangles read from the PDF's own geometry: a layer of 50 mm is 10.0 mm high."""
    filled = [
        part for kind, _, parts in paths(bungalow.out / "floors-Ground-floor.pdf") for part in parts if kind == "f*"
    ]
    heights = {round(float(np.ptp(part, axis=0)[1]), 2) for part in filled if np.ptp(part, axis=0)[0] > 50}
    thick = {
        layer.thickness_m
        for room in bungalow.design().storeys[0].rooms
        if room.build_up
        for layer in room.build_up.layers
        if layer.thickness_m > 0.003
    }
    assert len(thick) > 2
    for thickness in thick:
        assert any(abs(height - thickness * 200) < 0.03 for height in heights), (thickness, sorted(heights))


def test_ports_stand_as_far_apart_on_paper_as_in_the_model_at_1_to_5(bungalow: Job) -> None:
    """Upright pipes of the front, read from the PDF's own geometry, against the ports of the design."""
    drawn = set()
    for kind, _, parts in paths(bungalow.out / "manifold-M1.pdf"):
        for part in parts:
            across, high = np.ptp(part, axis=0)
            if kind == "S" and across < 0.01 and high > 60:
                drawn.add(round(float(part[0][0]), 1))
    manifold = next(m.manifold for m in bungalow.design().storeys[0].manifolds if m.manifold.name == "M1")
    spots = sorted({point for port in manifold.ports for point in (port.flow, port.return_)})
    apart = [math.dist(spots[0], spot) for spot in spots]
    found = sorted(drawn)
    pipes = [x for x in found if any(abs(x - first - 200 * d) < 0.2 for first in found for d in apart)]
    for first in found:
        if all(any(abs(x - first - 200 * d) < 0.15 for x in pipes) for d in sorted(apart)):
            return
    pytest.fail(f"no {len(spots)} pipes stand {apart} m apart at 1:5: {found}")


def test_a_front_says_what_is_set_at_every_port(bungalow: Job) -> None:
    for storey in bungalow.design().storeys:
        for name in (m.manifold.name for m in storey.manifolds):
            words = (bungalow.out / f"manifold-{name}.svg").read_text(encoding="utf-8")
            for circuit in (c for c in storey.circuits if c.laid.manifold == name):
                litres = circuit.flow.volume_flow * 60_000
                assert f">{circuit.laid.number}<" in words
                assert f">{circuit.laid.length_m:.1f}<" in words and f">{litres:.2f}<" in words
            assert "±0 finished floor" in words and "+600" in words and "+400" in words


def test_the_schematic_names_every_circuit_once(bungalow: Job) -> None:
    words = (bungalow.out / "schematic.svg").read_text(encoding="utf-8")
    for circuit in bungalow.each("circuits"):
        assert words.count(f">{circuit['number']}<") == 1
    assert "not to scale" in words and "Source of heat, by others" in words


def test_what_is_told_by_hue_is_told_without_it_too(bungalow: Job) -> None:
    """Flow and return by line, every circuit by a number that stands within its own field or leads to it."""
    svg = (bungalow.out / "plan-Ground-floor.svg").read_text(encoding="utf-8")
    assert {f"#{r:02x}{g:02x}{b:02x}" for r, g, b in (*FLOW_SHADES, *RETURN_SHADES)} == overlap_counter.PIPE_COLOURS
    looks = dict(re.findall(r"\.(\w+) \{stroke: (#\w+);", svg))
    dashes: dict[str, set[bool]] = {}
    for path in re.findall(r"<(?:\w+:)?path [^>]*>", svg):
        kind, d = re.search(r'class="(\w+)"', path), re.search(r' d="([^"]*)"', path)
        colour = looks.get(kind[1] if kind else "", "")
        if colour in overlap_counter.PIPE_COLOURS and d and len(d[1]) > 400:  # pipes of circuits, no signs
            dashes.setdefault(colour, set()).add("stroke-dasharray" in path)
    assert {c: dashes[c] for c in ("#be4a08", "#de7818")} == {"#be4a08": {False}, "#de7818": {False}}
    assert {c: dashes[c] for c in ("#005c80", "#26809e")} == {"#005c80": {True}, "#26809e": {True}}
    for circuit in bungalow.each("circuits"):
        assert (
            len(re.findall(rf">{re.escape(circuit['number'])}(?: ·[^<]*)?<", svg)) >= 2
        )  # on the plan and in the table


def test_panels_in_the_dxf_are_as_large_as_in_the_design(bungalow: Job) -> None:
    """Outlines of pieces read back from the neutral drawing [mm] against the plan's own areas."""
    drawing = ezdxf.readfile(bungalow.out / "panels-Ground-floor.dxf")
    areas = []
    for entity in drawing.modelspace().query('LWPOLYLINE[layer=="PANEL"]'):
        if entity.closed:
            x, y = np.array(entity.get_points("xy")).T
            areas.append(abs(float(x @ np.roll(y, 1) - y @ np.roll(x, 1))) / 2e6)
    for piece in bungalow.design().storeys[0].panels.pieces:
        assert min(abs(area - piece.outline.area) for area in areas) < 1e-4, piece.number


def test_every_sheet_looks_as_it_did_when_somebody_looked(job: Job) -> None:
    try:
        import cairosvg
    except (ImportError, OSError) as error:  # the latter where the system has no cairo
        pytest.skip(f"no renderer of SVG: {error}")
    files = [file for kind in SHEETS for file in sorted(job.out.glob(f"{kind}.svg"))]
    assert files
    for file in files:
        drawn = small(cairosvg.svg2png(url=str(file), output_width=3 * WIDE_PX, background_color="white"))
        kept = GOLDEN / f"{job.model.stem}-{file.stem}.png"
        if os.environ.get(RENEW):
            GOLDEN.mkdir(exist_ok=True)
            few_shades(drawn).save(kept, optimize=True)
        assert kept.is_file(), f"{kept.name} is not there: draw it by {RENEW}=1 and look at it"
        faults = differences(drawn, Image.open(kept).convert("L"))
        assert not faults, f"{file.name}: {faults}"


def test_the_comparison_sees_a_missing_label_and_lets_shades_pass(bungalow: Job) -> None:
    kept = Image.open(GOLDEN / "bungalow-schematic.png").convert("L")
    assert not differences(kept, kept.point(lambda shade: min(255, shade + 1)))
    without = kept.copy()
    without.paste(255, (60, 90, 130, 140))
    assert differences(without, kept)


def small(png: bytes) -> Image.Image:
    """A picture of a sheet in grey, small enough to keep."""
    picture = Image.open(io.BytesIO(png)).convert("L")
    return picture.resize((WIDE_PX, round(picture.height * WIDE_PX / picture.width)), Image.Resampling.BOX)


def few_shades(picture: Image.Image) -> Image.Image:
    """Evenly spaced shades of grey, which take less room in a file."""
    step = 255 / (SHADES - 1)
    return picture.point(lambda shade: round(round(shade / step) * step))


def differences(drawn: Image.Image, kept: Image.Image) -> str:
    """What differs by more than shading: size, the mean, or the mean of a block."""
    if drawn.size != kept.size:
        return f"size {drawn.size}, was {kept.size}"
    off = np.abs(np.asarray(drawn, dtype=float) - np.asarray(kept, dtype=float))
    rows, columns = (side // BLOCK_PX * BLOCK_PX for side in off.shape)
    blocks = off[:rows, :columns].reshape(rows // BLOCK_PX, BLOCK_PX, -1, BLOCK_PX).mean(axis=(1, 3))
    told = f"mean {off.mean():.2f} (at most {MOST_MEAN}), block {blocks.max():.1f} (at most {MOST_BLOCK})"
    return told if off.mean() > MOST_MEAN or blocks.max() > MOST_BLOCK else ""
