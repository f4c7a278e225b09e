"""How near the fewest panels the search comes, on cases small enough to be solved exactly (see `exact_cutting`)."""

import math
import random

import pytest
from exact_cutting import fewest, layings_of_a_rectangle
from shapely.geometry import Polygon, box

from ufh_core.panels.choice import options, settled, turned
from ufh_core.panels.packing import packed
from ufh_core.panels.types import PanelSize

SMALL = PanelSize(long=6, wide=4, lap=0.2, least=1.0, stud_m=0.1)


def a_room(seed: int, most: float = 9.0) -> Polygon:
    """A rectangle of one to four small panels [studs]."""
    rng = random.Random(seed)
    x, y = rng.uniform(0, 1), rng.uniform(0, 1)
    return box(x, y, x + rng.uniform(4, most), y + rng.uniform(3, most - 1))


def test_the_exact_solver_agrees_with_what_can_be_seen():
    """By hand, panels of 6 by 4 with laps of 0.2: halves pair, pieces of different studs do not, strips stack."""
    panel = SMALL.box
    half_end, half_start = (2.8, 0.0, 6.0, 4.0), (3.0, 0.0, 6.0, 4.0)
    assert fewest([half_end, half_start], panel) == 1
    assert fewest([half_end, half_end], panel) == 2  # one from -0.2 to 3, the other from 2.8 on: they would overlap
    assert fewest([(0.0, 0.0, 6.0, 4.0)] * 2, panel) == 2
    assert fewest([(0.0, 0.0, 6.0, 1.0)] * 4, panel) == 1
    assert fewest([(0.0, 0.0, 6.0, 1.3)] * 4, panel) == 2


@pytest.mark.parametrize("seed", range(12))
def test_pieces_of_two_rooms_are_cut_from_the_fewest_panels(seed):
    tried = [options(a_room(2 * seed + k, 8.0), SMALL) for k in (0, 1)]
    chosen, cut = settled(tried, ["a", "b"], SMALL)
    pieces = [piece for option in chosen for piece in option.laid.boxes]
    assert cut.panels == fewest(pieces, SMALL.box)


@pytest.mark.parametrize("seed", range(100, 112))
def test_odd_pieces_are_cut_from_few_panels(seed):
    """Seven random pieces, cut from at most one panel more than the fewest."""
    rng = random.Random(seed)
    pieces = []
    for _ in range(7):
        x, y = rng.uniform(0, 1), rng.uniform(0, 1)
        pieces.append((x, y, x + rng.uniform(1, 4.5), y + rng.uniform(1, 2.7)))
    assert packed(pieces, SMALL).panels - fewest(pieces, SMALL.box) in {0, 1}


def test_a_room_takes_the_fewest_panels_of_all_layings_or_one_more_to_save_cuts():
    """Every first row and every joint of every row is tried: the fewest in nine rooms of ten, never two more."""
    over = []
    for seed in range(20):
        room = a_room(seed)
        _, cut = settled([options(room, SMALL)], ["a"], SMALL)
        over.append(cut.panels - _fewest_of_all(room, cut.panels))
    assert max(over) <= 1
    assert over.count(0) >= 18, over


def _fewest_of_all(room: Polygon, found: int) -> int:
    """The fewest panels over all layings of a rectangle; no laying with the material of `found` is worth solving."""
    best, least = found, math.ceil(room.area / (SMALL.long * SMALL.wide) - 1e-9)
    whole = (SMALL.long + SMALL.lap) * (SMALL.wide + SMALL.lap)
    for quarter in (0, 1):
        seen = turned(room, quarter).bounds
        for pieces in layings_of_a_rectangle(seen, SMALL.long, SMALL.wide, SMALL.lap, SMALL.least):
            if best == least:
                return best
            if sum((p[2] - p[0]) * (p[3] - p[1]) for p in pieces) / whole <= best - 1 + 1e-9:
                best = min(best, fewest(pieces, SMALL.box))
    return best
