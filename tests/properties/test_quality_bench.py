"""The quality bench counts right, writes what it promises and draws a case again."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from types import SimpleNamespace
from xml.etree import ElementTree

import pytest
from shapely.geometry import LineString, MultiLineString, Polygon, box

sys.path.append(str(Path(__file__).resolve().parents[1] / "benchmarks"))

import layout_quality
import quality_cases
import quality_table
from quality_cases import Outcome

from ufh_core.basis.pipe_axis import rounded

COUNTS = ("rooms", "dwellings", "hard_rule_breaks", "failed_rooms")


def outcome(name: str, *, breaks: int = 0, failed: int = 0, plain: bool = True, **figures: float) -> Outcome:
    return Outcome(
        name=name,
        tags=("L", "200 mm", "studs", "to 8 m²"),
        plain=plain,
        breaks=("crossing",) * breaks,
        failed=("R1: no loop fits",) * failed,
        figures={"area_m2": 5.0, **figures},
    )


def test_figures_of_many_cases() -> None:
    many = [outcome(f"s/{k}", covered=0.9 + 0.001 * k, length=0.95 + 0.002 * k) for k in range(101)]
    aims = {a.name: a for a in quality_table.AIMS}
    covered = quality_table.metric(many, aims["covered"])
    assert covered is not None
    assert covered["median"] == pytest.approx(0.95)
    assert (covered["p05"], covered["p95"]) == pytest.approx((0.905, 0.995))
    assert covered["worst"] == pytest.approx(0.9)
    assert covered["meets"] == pytest.approx(11 / 101)
    assert [w["case"] for w in covered["missed_by"]] == [f"s/{k}" for k in range(10)]
    length = quality_table.metric(many, aims["length"])
    assert length is not None
    assert length["worst"] == pytest.approx(1.15)
    assert quality_table.metric(many, aims["radius_mm"]) is None


def test_breaks_and_failures_are_counted() -> None:
    rooms = [outcome("s/0", breaks=2), outcome("s/1", failed=1), outcome("s/2", failed=1, plain=False)]
    dwellings = [outcome("s/0", breaks=1, failed=2, rooms=7.0, dwelling_seconds=1.0)]
    found = quality_table.report(rooms, dwellings)
    assert found["hard_rule_breaks"] == 3
    assert (found["failed_rooms"], found["failed_plain_rooms"]) == (2, 1)
    assert (found["failed_rooms_in_dwellings"], found["rooms_in_dwellings"]) == (2, 7)
    words = "\n".join(quality_table.lines(rooms, dwellings, found))
    assert "hard rules broken: 3" in words
    assert "rectangles, L, T or U: 1" in words
    assert "4 x no loop fits: room s/1 L 200 mm" in words


def test_growth_is_the_exponent() -> None:
    assert quality_table.growth([_timed(k) for k in range(9)], [])["the area of a room"] == pytest.approx(1.5, abs=1e-6)


def _timed(k: int) -> Outcome:
    made = outcome(f"s/{k}")
    made.figures.update(area_m2=1.0 + k, seconds=0.02 * (1 + k) ** 1.5)
    return made


def test_a_run_writes_what_it_promises(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "out.json"
    arguments = ["--rooms", "2", "--dwellings", "0", "--large", "1", "--seed", "y", "--from", "3", "--json", str(file)]
    layout_quality.main([*arguments, "--draw", str(tmp_path / "drawn")])
    found = json.loads(file.read_text(encoding="utf-8"))
    assert [found[name] for name in COUNTS[:2]] == [2, 0]
    assert set(COUNTS) <= set(found)
    for aim in ("covered", "greatest", "length", "radius_mm", "separation", "on_grid", "bends", "uneven", "seconds"):
        assert {"median", "p05", "p95", "worst"} <= set(found["metrics"][aim])
    assert found["metrics"]["hall_spread"]["count"] == 1
    assert "2 rooms, 0 dwellings and 1 large rooms, seed y" in capsys.readouterr().out
    for drawn in (tmp_path / "drawn").iterdir():
        ElementTree.parse(drawn)


def test_a_case_is_the_same_in_every_run() -> None:
    first, again = (quality_cases.room_outcome("y/3") for _ in range(2))
    first.figures.pop("seconds", None)
    again.figures.pop("seconds", None)
    assert first == again


def test_a_crash_is_a_break_and_the_bench_goes_on(monkeypatch: pytest.MonkeyPatch) -> None:
    def crashes(*_: object) -> None:
        raise ZeroDivisionError("by a pitch")

    monkeypatch.setattr(quality_cases, "lay_field", crashes)
    monkeypatch.setattr(quality_cases, "lay_as_wished", crashes)
    for made in (
        quality_cases.room_outcome("y/3"),
        quality_cases.dwelling_outcome("y/3"),
        quality_cases.hall_outcome("y/3"),
    ):
        assert made.breaks == ("crash: ZeroDivisionError: by a pitch",)
    assert "<svg" in quality_cases.drawing("dwelling", "y/3")


@pytest.mark.parametrize(("at", "cut"), [(2.0, True), (3.9, False), (0.05, False)], ids=["middle", "end", "wall"])
def test_a_room_is_cut_where_tails_of_others_part_its_circuits(at: float, cut: bool) -> None:
    """Two circuits left and right of x = 2, and a stranger's pair up to 80 mm from the far wall."""

    def circuit(*corners: tuple[float, float], floor: Polygon) -> SimpleNamespace:
        axis = rounded(list(corners), 0.075)
        return SimpleNamespace(axis=axis, rooms=("R",), length_m=axis.length_m, fields=[SimpleNamespace(outline=floor)])

    left = circuit((0.3, 0.3), (0.3, 3.5), (1.5, 3.5), floor=box(0.05, 0, 1.9, 4))
    right = circuit((2.3, 0.3), (2.3, 3.5), (3.5, 3.5), (3.5, 1), floor=box(2.1, 0, 3.8, 4))
    stranger = circuit((at, 0.0), (at, 3.92), floor=box(9, 9, 10, 10))
    stranger.rooms = ("S",)
    level = SimpleNamespace(room=lambda _: SimpleNamespace(outline=box(0, 0, 4, 4)), joints=MultiLineString())
    ((by, found),) = quality_cases.spreads(SimpleNamespace(circuits=[left, stranger, right], level=level))[:1]
    assert found is cut
    lengths = left.length_m, right.length_m
    assert by == pytest.approx(2 * (lengths[1] - lengths[0]) / sum(lengths))


PIPE = LineString(
    [
        (0, 0),
        (0, 1),
        (-3, 1),
        (-3, 2.15),
        (3, 2.15),
        (3, 2.35),
        (-2, 2.35),
        (-2, 4),
        (4, 4),
        (4, 1),
        (0.05, 1),
        (0.05, 0),
    ]
)
"""A pair of tails 50 mm apart, and a loop with two runs 200 mm apart."""


@pytest.mark.parametrize(
    ("rooms", "least"),
    [((box(-5, -1, 5, 5),), 0.2 / 0.3), ((box(-5, -1, 5, 2.25), box(-5, 2.25, 5, 5)), 1.2)],
    ids=["one room", "a wall between"],
)
def test_the_least_distance_of_runs_is_that_within_a_room(rooms: tuple[Polygon, ...], least: float) -> None:
    """By hand: 200 mm at a pitch of 300; 1.2 pitches is as far as the bench looks."""
    circuit = SimpleNamespace(pitches_m=(0.3,), branch_choices=())
    there = [SimpleNamespace(outline=room) for room in rooms]
    assert quality_cases._separation(PIPE, circuit, there) == pytest.approx(least, abs=0.01)
