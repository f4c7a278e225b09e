"""The compiled inner loops against their twins in Python: the same results to the last digit."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

import field_rooms
import numpy as np
import pytest

from ufh_core.fields import core as field_core
from ufh_core.fields import meander
from ufh_core.fields.grid import stud_grid
from ufh_core.fields.joint import Lane, Root, Rules, walked
from ufh_core.fields.lattice import Lattice, axis_costs, fit_lines, gaps_for, parity_wishes
from ufh_core.fields.lay import lay_field
from ufh_core.fields.meander import grow_comb
from ufh_core.fields.rate import distances, kernel, unevenness
from ufh_core.fields.walk import COUNTERFLOW, Fill

compiled = field_core.compiled
built = pytest.mark.skipif(compiled is None, reason="the compiled loops are not built here (pip install -e .)")
RULES = Rules(leg=3, end_leg=1.5, apart=3)


def _hands(comb: meander.Comb) -> list[meander.Comb]:
    return [comb, meander.mirror(comb)]


def both(monkeypatch: pytest.MonkeyPatch, call: Callable[..., Any], *given: object) -> list[Any]:
    """What compiled code answers, and what its twin does."""
    answers = []
    for code in (compiled, None):
        monkeypatch.setattr(field_core, "compiled", code)
        answers.append(call(*given))
    return answers


def loop(rng: np.random.Generator, size: int) -> np.ndarray:
    """A random rectilinear path on a raster, now and then beyond its edge."""
    across = rng.integers(-2, size + 2, 12)
    corners = np.repeat(across, 2)[1:-1].reshape(-1, 2)
    return np.where(np.arange(len(corners))[:, None] % 2, corners[:, ::-1], corners).astype(np.int32)


def random_lattice(rng: np.random.Generator) -> Lattice:
    columns, rows = rng.integers(4, 14, 2)
    us, vs = (tuple(np.cumsum(rng.integers(3, 6, n)).tolist()) for n in (columns, rows))
    return Lattice(
        us=us,
        vs=vs,
        face=rng.random((columns - 1, rows - 1)) < 0.93,
        node=np.ones((columns, rows), bool),
        tight=rng.random((columns, rows, 2, 2)) < 0.02,
    )


COMBS = [Fill(grow=partial(grow_comb, comb=c), told=c.told) for comb in meander.COMBS.values() for c in _hands(comb)]


@built
@pytest.mark.parametrize("fill", [COUNTERFLOW, *COMBS])
@pytest.mark.parametrize("seed", range(20))
def test_a_walk_is_the_same(seed: int, fill: Fill, monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(seed)
    on, walks = random_lattice(rng), 0
    for row, column in ((r, c) for r in range(3) for c in range(1, len(on.us))):
        lane = Lane(left=on.us[column] - 4, right=on.us[column] - 3, end=on.vs[row] - 4.5, reach=on.vs[row])
        if on.us[0] > lane.left - RULES.leg or not on.face[max(0, column - 3) : column, row].all():
            continue
        fast, slow = both(monkeypatch, walked, on, lane, RULES, Root(row=row, column=column), fill)
        assert fast == slow
        walks += fast is not None
    assert walks > 0


@built
@pytest.mark.parametrize("seed", range(20))
def test_lines_are_the_same(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    request = field_rooms.random_request(seed, oblique=seed % 2 == 0)
    grid = stud_grid(request)
    gaps = gaps_for(request.pitch_m, 0.05, request.least_radius_m, request.separation_m)
    costs = axis_costs(grid.node, grid.ends_x, gaps, 0.05)
    noise = 1 + 0.9 * np.random.default_rng(seed).random(costs.step.shape)
    for wish in parity_wishes(grid.ends_x):
        fast, slow = both(monkeypatch, fit_lines, costs, wish, seed, noise)
        assert fast == slow


@built
@pytest.mark.parametrize("seed", range(20))
def test_measures_are_the_same(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(seed)
    size, pitch = int(rng.integers(5, 60)), float(rng.choice([2, 3, 4.5, 6]))
    floor, path = rng.random((size, size + 3)) < 0.8, loop(rng, size)
    fast, slow = both(monkeypatch, distances, path, floor, math.floor((0.75 * pitch) ** 2))
    assert np.array_equal(fast[0], slow[0])
    assert np.array_equal(fast[1][floor], slow[1][floor])
    assert fast[2:] == slow[2:]
    assert len(set(both(monkeypatch, unevenness, fast[0], fast[1], floor, pitch))) == 1


@built
@pytest.mark.parametrize("seed", range(6))
def test_a_whole_field_is_the_same(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = replace(field_rooms.random_request(seed, oblique=seed % 2 == 0), thorough=seed < 3)
    fast, slow = both(monkeypatch, lay_field, asked)
    assert fast == slow


@pytest.mark.parametrize("code", [pytest.param(compiled, marks=built, id="compiled"), pytest.param(None, id="twin")])
def test_distances_are_those_of_geometry(code: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Against every pair of studs, by hand."""
    monkeypatch.setattr(field_core, "compiled", code)
    rng = np.random.default_rng(5)
    floor, path = rng.random((23, 31)) < 0.7, np.array([[3, 2], [3, 20], [15, 20], [15, 8]], np.int32)
    run, away, missed, farthest = distances(path, floor, 20)
    assert [run[3, 2], run[3, 20], run[9, 20], run[15, 8], run[0, 0]] == [0, 18, 24, 42, -1]
    pipe, studs = np.argwhere(run >= 0), np.argwhere(floor)
    assert len(pipe) == 43
    squares = ((studs[:, None] - pipe[None]) ** 2).sum(axis=2).min(axis=1)
    assert away[floor].tolist() == squares.tolist()
    assert (missed, farthest) == ((squares > 20).sum(), squares.max())


@pytest.mark.parametrize("code", [pytest.param(compiled, marks=built, id="compiled"), pytest.param(None, id="twin")])
def test_unevenness_is_the_deviation_of_the_mean_water(code: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Against a sum over all pairs of places, in doubles; whole numbers cost less than 0.002."""
    monkeypatch.setattr(field_core, "compiled", code)
    floor, path = np.ones((24, 30), bool), np.array([[3, 2], [3, 26], [15, 26], [15, 8]], np.int32)
    run, away, *_ = distances(path, floor, 9)
    pitch, pipe = 4.0, np.argwhere(run >= 0)
    means = []
    for stud in np.argwhere(floor & (away < (2 * pitch) ** 2)):
        if stud[0] % 2 or stud[1] % 2:
            continue
        d = np.abs(pipe - stud)
        weight = np.exp(-0.5 * (d**2).sum(axis=1) / (0.7 * pitch) ** 2) * (d <= 8).all(axis=1)
        means.append((weight * run[run >= 0]).sum() / weight.sum() / run.max())
    assert unevenness(run, away, floor, pitch) == pytest.approx(np.std(means), abs=0.002)


def test_no_sum_of_weights_is_too_great_for_32_bits() -> None:
    for pitch in (1, 2.5, 4, 8, 16, 60):
        assert int(kernel(pitch).sum()) ** 2 * 1023 < 2**31


@built
def test_compiled_code_refuses_arrays_that_do_not_fit() -> None:
    assert compiled is not None
    few, many = np.zeros((3, 4), np.int32), np.zeros((5, 4), np.int32)
    with pytest.raises(ValueError, match="sizes"):
        compiled.distances(few[:, :2].copy(), np.ones((3, 4), bool), few, many, 4, 9)
    with pytest.raises(ValueError, match="root"):
        compiled.walk(b"\1" * 9, b"\0" * 64, few[0].tobytes(), few[0].tobytes(), 3, 1, 0, 0, 1, 3, 3, 0, b"")
    for told in (b"\1", b"\1\2\0\0\1\1\2", b"\1\2\0\0\1\1\2\7", b"\1\7\0\0\1\1\2\0", b"\1\2\0\0\1\1\2\0\0"):
        with pytest.raises(ValueError, match="comb"):
            compiled.walk(b"\1" * 9, b"\0" * 64, few[0].tobytes(), few[0].tobytes(), 1, 1, 0, 0, 1, 3, 3, 0, told)
