"""Set operations on outlines that rounding has spoilt."""

from __future__ import annotations

import pytest
import shapely
from shapely.geometry import Polygon, box

from ufh_core.fields.overlay import robust

CROSSED = Polygon([(0, 0), (2, 2), (2, 0), (0, 2)])  # its edges cross at (1, 1)


def test_an_outline_that_crosses_itself_is_repaired() -> None:
    with pytest.raises(shapely.errors.GEOSException):
        shapely.intersection(CROSSED, box(0.5, -1, 3, 3))
    assert robust(shapely.intersection, CROSSED, box(0.5, -1, 3, 3)).area == pytest.approx(1.0 + 0.25)


def test_sound_outlines_are_left_as_they_are() -> None:
    one, other = box(0, 0, 1, 1), box(0.123456789012, 0, 2, 1)
    assert robust(shapely.union, one, other).equals_exact(shapely.union(one, other), 0.0)
