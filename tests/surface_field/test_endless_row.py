"""Endless parallel pipes: EN 1264-2's output, the layered floor's swing, whatever the grid and the angle."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely.affinity import translate
from surface_field.floors import SECTION, floor, row, section, turned_row

from ufh_core.basis.pipe_axis import PipeAxis, Straight
from ufh_core.surface_field import surface_field
from ufh_core.surface_field.ripple import peak_to_trough, surface_harmonics
from ufh_core.surface_field.section import pipe_wall_resistance, plane_section
from ufh_core.thermal_output.characteristic import characteristic

FINISHES = (0.0, 0.05, 0.10, 0.15)
# Published: own finite-element study (gmsh, scikit-fem, P2 triangles), the one behind `tables.PEAK_OVER_MEAN`:
# surface peak-to-trough [K] at 50 W/m², 16 x 2 mm pipe on the insulation, 45 mm of screed, finish of 0.23 W/(m K).
SWINGS_K = {
    0.10: (0.12, 0.07, 0.03, 0.02),
    0.15: (0.57, 0.36, 0.23, 0.14),
    0.20: (1.35, 0.90, 0.62, 0.44),
    0.25: (2.37, 1.64, 1.19, 0.89),
    0.30: (3.54, 2.53, 1.90, 1.47),
}
PEAKS_K = {  # highest less mean [K], same study
    0.10: (0.06, 0.03, 0.02, 0.01),
    0.15: (0.30, 0.19, 0.12, 0.07),
    0.20: (0.74, 0.48, 0.33, 0.23),
    0.25: (1.34, 0.91, 0.65, 0.48),
    0.30: (2.07, 1.45, 1.07, 0.81),
}
CASES = [(pitch, finish) for pitch in SWINGS_K for finish in FINISHES]


@pytest.mark.parametrize(("pitch", "finish"), CASES)
def test_layers_swing_as_the_finite_elements_say(pitch: float, finish: float) -> None:
    harmonics = surface_harmonics(section(pitch, finish)) * 50.0 / 10.8
    column = FINISHES.index(finish)
    assert peak_to_trough(harmonics) == pytest.approx(SWINGS_K[pitch][column], abs=0.035)
    assert 2 * harmonics.sum() == pytest.approx(PEAKS_K[pitch][column], abs=0.025)


@pytest.mark.parametrize(("pitch", "finish"), [*CASES, (0.05, 0.10), (0.075, 0.0), (0.40, 0.10)])
def test_row_gives_the_characteristic(pitch: float, finish: float) -> None:
    of = section(pitch, finish)
    outline, pipes = row(pitch, 2.4, 0.4)
    field = surface_field([floor(outline, of)], pipes)
    assert field is not None
    assert field.heats[0].upward_w / outline.area / 20.0 == pytest.approx(characteristic(of), rel=0.003)


@pytest.mark.parametrize(
    ("cover", "conductivity", "diameter"), [(0.03, 1.0, 0.014), (0.065, 1.4, 0.020), (0.03, 2.0, 0.016)]
)
def test_other_floors_give_their_characteristic(cover: float, conductivity: float, diameter: float) -> None:
    of = section(0.20, 0.02, cover_m=cover, screed_conductivity=conductivity, pipe_diameter_m=diameter)
    outline, pipes = row(0.20, 2.4, 0.4)
    field = surface_field([floor(outline, of)], pipes)
    assert field is not None
    assert field.heats[0].upward_w / outline.area / 20.0 == pytest.approx(characteristic(of), rel=0.005)


@pytest.mark.parametrize(("pitch", "finish"), CASES)
def test_row_swings_as_the_finite_elements_say(pitch: float, finish: float) -> None:
    """At constant film, as the study has it. Without a finish and wide apart, up to 0.08 K off, else 0.05 K."""
    outline, pipes = row(pitch, 2.4, 0.4)
    field = surface_field([floor(outline, section(pitch, finish))], pipes)
    assert field is not None
    line = field.surface_c[field.surface_c.shape[0] // 2]
    line = line[~np.isnan(line)]
    middle = 8.92 * (line[len(line) // 4 : -len(line) // 4] - 20.0) ** 1.1
    mean = field.heats[0].upward_w / outline.area
    swing = float(np.ptp(middle)) * 50.0 / 10.8 / mean
    assert swing == pytest.approx(
        SWINGS_K[pitch][FINISHES.index(finish)], abs=0.08 if finish == 0 and pitch > 0.15 else 0.05
    )


@pytest.mark.parametrize("shift", [0.0, 0.003, 0.007, 0.0125, 0.02])
def test_where_pipes_lie_between_cells_does_not_matter(shift: float) -> None:

    outline, pipes = row(0.15, 2.4, 0.4)
    moved = [
        replace(p, axis=PipeAxis((Straight((p.axis.start[0] + shift, 0.0), (p.axis.end[0] + shift, 0.4)),)))
        for p in pipes
    ]
    field = surface_field([floor(translate(outline, shift))], moved)
    assert field is not None
    assert field.heats[0].upward_w / outline.area / 20.0 == pytest.approx(characteristic(SECTION), rel=0.005)


@pytest.mark.parametrize("angle", [17.0, 45.0])
def test_angle_does_not_matter(angle: float) -> None:
    outline, pipes = turned_row(0.15, 4.0, angle)
    field = surface_field([floor(outline)], pipes)
    assert field is not None
    assert field.heats[0].upward_w / outline.area / 20.0 == pytest.approx(characteristic(SECTION), rel=0.005)


@pytest.mark.parametrize("cell_m", [0.0125, 0.02, 0.05])
def test_cells_of_other_size_give_the_same(cell_m: float) -> None:
    outline, pipes = row(0.15, 2.4, 0.4)
    field = surface_field([floor(outline)], pipes, cell_m)
    assert field is not None
    assert field.heats[0].upward_w / outline.area / 20.0 == pytest.approx(characteristic(SECTION), rel=0.005)


@pytest.mark.parametrize(("cell_m", "off"), [(0.025, 0.012), (0.0125, 0.005)])
def test_one_pipe_gives_what_a_fin_gives(cell_m: float, off: float) -> None:
    """The textbook's fin, with the pipe's own resistance from the endless row: κ t'' = g t, q' at x = 0.

    A pipe is as wide as its cells, which counts a little more for one alone than in the row that sets U.
    """
    width = 2.0
    outline, (pipe,) = row(width, width, 0.4)
    pipe = replace(pipe, fields=((pipe.fields[0][0], SECTION.pitch_m),))
    field = surface_field([floor(outline)], [pipe], cell_m)
    assert field is not None
    up, down, plane = 1 / (1 / 10.8 + 0.10 + 0.045 / 1.2), 1 / 1.42, 1.2 * 0.061
    decay = math.sqrt((up + down) / plane)
    fin = lambda pitch: 1 / math.tanh(decay * pitch / 2) / (2 * plane * decay)  # noqa: E731
    own = up / ((up + down) * characteristic(SECTION) * SECTION.pitch_m) - fin(SECTION.pitch_m)
    assert field.pipes[0].heat_w / 0.4 == pytest.approx(20.0 / (own + fin(width)), rel=off)
    line = field.surface_c[field.surface_c.shape[0] // 2]
    flux = 8.92 * (line[~np.isnan(line)].astype(float) - 20.0) ** 1.1
    far, near = cell_m / 2, 20.5 * cell_m  # from the wall
    ratio = math.cosh(decay * far) / math.cosh(decay * near)
    assert flux[0] / flux[20] == pytest.approx(ratio, rel=0.02)


def test_pipe_keeps_a_resistance_of_its_own() -> None:
    """U is near to what wall and film of a pipe let through (0.13 + 0.02 m K/W), not a number from nowhere."""
    for pitch, finish in CASES:
        own = 1 / plane_section(section(pitch, finish), 0.025).pipe
        assert 0.13 < own < 0.40


def test_close_pitches_are_not_blurred_further() -> None:
    """Hardly anything swings between close pipes; their rim would be smeared by a spread that hides it wholly."""
    spread = {pitch: plane_section(section(pitch), 0.025).spread_m for pitch in (0.05, 0.075, 0.10, 0.15, 0.20)}
    assert spread[0.05] == spread[0.075] == spread[0.10] > spread[0.15] > spread[0.20] > 0.02
    assert spread[0.05] < 0.05


def test_the_pipe_s_wall_resists_as_a_cylinder() -> None:
    """By hand: ln(16/12) / (2 π 0.35 W/(m K)) = 0.1308 m K/W."""
    assert pipe_wall_resistance(SECTION) == pytest.approx(0.13082, abs=1e-5)
