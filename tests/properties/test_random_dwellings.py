"""Random dwellings laid and looked at by a second opinion; the second opinion is proved to see faults."""

from __future__ import annotations

from dataclasses import replace

import layout_checks
import plan_sketch as sketch
import pytest
from shapely.geometry import Polygon, box

from ufh_core.basis.pipe_axis import PipeAxis, rounded
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.level_layout import LevelLayout, lay_level
from ufh_core.circuits.types import HeatedField, LaidCircuit, Manifold, Port
from ufh_core.settings.types import Settings

PITCHES = (0.15, 0.20, 0.25, 0.30)
SEEDS = range(12)
LEAST_SHARE = 0.8  # of the free floor of a whole dwelling is heated; regression


def laid(seed: int) -> tuple[object, LevelLayout, list[str]]:
    storey = sketch.random_dwelling(seed)
    heated = [r.ifc_guid for r in storey.rooms]
    pitch = PITCHES[seed % len(PITCHES)]
    layout = lay_level(
        LevelBrief(level=sketch.level(storey), pitches=dict.fromkeys(heated, pitch), settings=Settings())
    )
    return storey, layout, heated


@pytest.mark.parametrize("seed", SEEDS)
def test_random_dwelling_keeps_every_rule(seed: int) -> None:
    storey, layout, heated = laid(seed)
    assert layout_checks.faults(storey, layout, heated) == []
    assert not layout.failed
    assert layout_checks.covered_share(storey, layout, heated) > LEAST_SHARE


# --- the second opinion bites -----------------------------------------------------------------------
# One room, one circuit drawn by hand: a plain loop along its walls, from two ports on the south wall.

ROOM = box(0, 0, 3, 1.75)
LOOP = [(1.5, 0.1), (1.5, 0.3), (2.8, 0.3), (2.8, 1.5), (0.2, 1.5), (0.2, 0.3), (1.4, 0.3), (1.4, 0.1)]
LOOP_FIELD = Polygon([(0.1, 0.2), (2.9, 0.2), (2.9, 1.6), (0.1, 1.6)]).difference(box(0.4, 0.5, 2.6, 1.3))


def field_on(outline: Polygon, number: str = "M1.01") -> HeatedField:
    return HeatedField(room="A", circuit=number, outline=outline)


def by_hand(corners: list[tuple[float, float]] = LOOP, radius: float = 0.075, number: str = "M1.01") -> LaidCircuit:
    axis = rounded(corners, radius)
    return LaidCircuit(
        number=number,
        manifold="M1",
        port=int(number[-1]),
        rooms=("A",),
        axis=axis,
        pitch_m=0.2,
        fields=(field_on(LOOP_FIELD, number),),
        tail_length_m=0.0,
        riser_length_m=1.0,
    )


def as_laid(*circuits: LaidCircuit, **manifold: object) -> LevelLayout:
    values: dict[str, object] = {
        "name": "M1",
        "storey": "S",
        "room": "A",
        "position": (1.5, 0.0),
        "normal": (0.0, 1.0),
        "width_m": 0.6,
        "depth_m": 0.12,
        "ports": tuple(Port(number=c.port, flow=c.axis.start, return_=c.axis.end) for c in circuits),
        "cabinet": box(1.2, 0, 1.8, 0.12),
        "service_space": box(1.2, 0.12, 1.8, 0.7),
        "station_side": "left",
    }
    made = Manifold(**(values | manifold))
    return LevelLayout(level=sketch.one_room(ROOM), manifolds=(made,), circuits=circuits, failed=())


def said(layout: LevelLayout, storey: object | None = None, heated: tuple[str, ...] = ("A",)) -> str:
    return "\n".join(layout_checks.faults(storey or sketch.storey([sketch.room("A", ROOM)]), layout, heated))


def test_nothing_is_said_of_a_good_loop() -> None:
    assert said(as_laid(by_hand())) == ""


@pytest.mark.parametrize(
    ("circuit", "words"),
    [
        (by_hand(radius=0.06), "bent to 0.060"),
        (by_hand([*LOOP[:4], (0.9, 1.5), (0.9, 0.2), (2.2, 0.2), (2.2, 1.2), (1.4, 1.2), LOOP[-1]]), "meets itself"),
        (by_hand([*LOOP[:4], (1.6, 1.5), (1.6, 0.8), (1.55, 0.8), (1.55, 1.5), *LOOP[4:]]), "bent to"),
        (by_hand([(x, y * 1.14 if y > 1 else y) for x, y in LOOP]), "nearer than"),
        (by_hand([(x, y * 1.19 if y > 1 else y) for x, y in LOOP]), "leaves the floor"),
        (replace(by_hand(), riser_length_m=95.0), "m long"),
        (by_hand([(x + 0.17, y) for x, y in LOOP]), "nearer than"),
        (replace(by_hand(), pitch_m=0.1), "are near a pipe"),
        (replace(by_hand(), manifold="M2"), "but circuits at"),
        (replace(by_hand(), fields=()), "neither laid nor reported"),
        (replace(by_hand(), fields=(field_on(box(0.1, 0.2, 3.1, 1.6)),)), "free floor"),
    ],
)  # fmt: skip
def test_faults_of_one_circuit_are_seen(circuit: LaidCircuit, words: str) -> None:
    assert words in said(as_laid(circuit))


def test_a_gap_and_a_kink_are_seen() -> None:
    good = by_hand()
    pieces = good.axis.pieces
    assert "a gap" in said(as_laid(replace(good, axis=PipeAxis(pieces[:4] + pieces[5:]))))
    kinked = list(pieces)
    kinked[2] = replace(kinked[2], end=(kinked[2].end[0], kinked[2].end[1] + 0.05))
    kinked[3] = replace(kinked[3], start=kinked[2].end)
    assert "a kink" in said(as_laid(replace(good, axis=PipeAxis(tuple(kinked)))))


def test_own_runs_side_by_side_are_seen() -> None:
    folded = [*LOOP[:4], (1.3, 1.5), (1.3, 1.29), (2.4, 1.29), (2.4, 1.23), (0.2, 1.23), *LOOP[5:]]
    circuit = replace(by_hand(), axis=rounded(folded, 0.02), fields=(field_on(ROOM),))
    assert "own runs 60 mm apart" in said(as_laid(circuit))


def test_two_circuits_too_near_are_seen() -> None:
    inner = [(1.7, 0.1), (1.7, 0.25), (2.76, 0.25), (2.76, 1.4), (2.0, 1.4), (2.0, 0.6), (1.8, 0.6), (1.8, 0.1)]
    other = replace(by_hand(inner, number="M1.02"), fields=())
    assert "M1.01 and M1.02" in said(as_laid(by_hand(), other))
    assert "share" in said(as_laid(by_hand(), replace(by_hand(number="M1.02"))))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"position": (1.5, 0.3)}, "no wall behind"),
        ({"cabinet": box(1.2, 0.3, 1.8, 0.42)}, "elsewhere"),
        ({"cabinet": box(1.45, 0, 1.8, 0.12)}, "beside the cabinet"),
        ({"service_space": box(1.2, 0.12, 1.8, 1.9)}, "not free"),
        ({"normal": (0.0, -1.0)}, "faces away"),
        ({"ports": ()}, "but circuits at"),
    ],
)
def test_faults_of_a_manifold_are_seen(change: dict[str, object], words: str) -> None:
    assert words in said(as_laid(by_hand(), **change))


def test_what_stands_in_the_way_is_seen() -> None:
    room = sketch.room("A", ROOM)
    units = sketch.storey([room], obstacles=[sketch.unit_in(box(2.5, 0.5, 2.77, 0.9))])
    assert "nearer than" in said(as_laid(by_hand()), units)
    door = sketch.door(box(1.3, -0.12, 2.1, 0), sketch.THROUGH_Y, "A")
    assert "opening" in said(as_laid(by_hand()), sketch.storey([room], [door]))
    window = sketch.window(box(1.3, -0.3, 2.1, 0))
    assert "opening" in said(as_laid(by_hand()), sketch.storey([room], openings=[window]))


def test_a_room_that_is_not_to_be_heated_is_seen() -> None:
    assert "not to be heated" in said(as_laid(by_hand()), heated=())


def test_ports_of_too_many_circuits_are_seen() -> None:
    assert "1 ports" in "\n".join(
        layout_checks.manifold_faults(
            as_laid(by_hand()).manifolds[0],
            as_laid(by_hand()),
            layout_checks.Plan(sketch.storey([sketch.room("A", ROOM)])),
            0,
        )
    )
