"""The compiled loop that cuts pieces and its twin in Python give the same cuts, ties and refusals included."""

from __future__ import annotations

import random

import numpy as np
import pytest

from ufh_core.panels import cut_up
from ufh_core.panels.types import PanelSize

compiled = pytest.importorskip("ufh_core.panels._cutting", reason="built without a compiler")
SIZE = PanelSize(long=28, wide=16, lap=0.2, least=2.0, stud_m=0.05)


def pieces(seed: int) -> np.ndarray:
    """Pieces of few different sizes, so that many off-cuts fit alike; some are whole panels."""
    draw = random.Random(seed)
    x, y = draw.choice([0.0, 0.3]), draw.choice([0.0, 0.45])
    found = []
    for _ in range(draw.randint(1, 60)):
        west, south = x - 0.2 * draw.randrange(2), y - 0.2 * draw.randrange(2)
        long, wide = draw.choice([3, 7, 14, 20, 27]), draw.choice([2.5, 4, 8, 12, 15])
        found.append((west, south, x + long, y + wide) if draw.random() < 0.8 else (-0.2, 0.0, 28.0, 16.0))
    return np.array(found)


@pytest.mark.parametrize("seed", range(40))
def test_both_cut_the_same(seed: int) -> None:
    boxes, draw = pieces(seed), random.Random(seed)
    order = np.array(draw.sample(range(len(boxes)), len(boxes)), dtype=np.int32)
    for split in (cut_up.LARGER, cut_up.ACROSS, cut_up.ALONG):
        panels, *arrays = compiled.cut_up(boxes, order, SIZE.long, SIZE.wide, SIZE.lap, split)
        twin = cut_up.plain(boxes, order, SIZE, split)
        assert panels == twin.panels
        assert arrays == [twin.places.tobytes(), twin.left.tobytes(), twin.cuts.tobytes()]


def test_what_is_cut_lies_apart_in_its_panel() -> None:
    """A count that knows nothing of the loop: cells of a tenth of a stud, each taken once at most."""
    boxes = pieces(7)
    done = cut_up.cut_up(boxes, np.arange(len(boxes), dtype=np.int32), SIZE, cut_up.LARGER)
    taken = np.zeros((done.panels, 283, 163), dtype=int)
    for (panel, kx, ky), (west, south, east, north) in zip(done.places, boxes, strict=True):
        a, b, c, d = (round(10 * v) for v in (west + kx + 0.2, south + ky + 0.2, east + kx + 0.2, north + ky + 0.2))
        assert min(a, b) >= 0 and c <= 282 and d <= 162
        taken[panel, a:c, b:d] += 1
    assert taken.max() == 1


def test_an_order_of_other_pieces_is_refused() -> None:
    boxes = pieces(1)
    with pytest.raises(ValueError, match="order"):
        compiled.cut_up(boxes, np.full(len(boxes), len(boxes), dtype=np.int32), 28, 16, 0.2, 0)
