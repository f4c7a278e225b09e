"""Set operations on areas where they only touch, nearly touch or are empty."""

import pytest
import shapely
from shapely.geometry import GeometryCollection, LineString, MultiPolygon, Point, Polygon, box

from ufh_core.basis.areas import along, areas_only, common, joined, polygons, without

TOUCHING = MultiPolygon([box(0.5, 0.5, 2, 1), box(1, 0, 2, 0.3)])
"""Overlaps the unit square in one part and touches it along a line in the other."""


def test_what_is_common_is_an_area_where_others_only_touch() -> None:
    plain = box(0, 0, 1, 1).intersection(TOUCHING)
    assert plain.geom_type == "GeometryCollection"
    with pytest.raises(shapely.errors.GEOSException):  # as long as this is so, areas are needed
        Polygon().intersection(plain)
    found = common(box(0, 0, 1, 1), TOUCHING)
    assert found.geom_type == "Polygon" and found.area == pytest.approx(0.25)
    assert common(Polygon(), found).is_empty and without(found, Polygon()) is found
    assert common(box(0, 0, 1, 1), box(1, 0, 2, 1)).is_empty


def test_what_lies_along_an_area_is_lines() -> None:
    line = LineString([(-1, 0.5), (2, 0.5), (2, 1), (1, 1)])
    plain = line.intersection(box(0, 0, 1, 1))
    assert plain.geom_type == "GeometryCollection"
    inside = along(line, box(0, 0, 1, 1))
    assert inside.length == pytest.approx(1.0) and inside.difference(Polygon()).length == pytest.approx(1.0)
    assert along(line, box(5, 5, 6, 6)).is_empty


def test_areas_of_any_geometry() -> None:
    mixed = GeometryCollection([Point(9, 9), box(0, 0, 1e-3, 1e-3), box(0, 0, 1, 1), box(2, 0, 5, 1)])
    assert [p.area for p in polygons(mixed)] == pytest.approx([3.0, 1.0, 1e-6])
    assert [p.area for p in areas_only(mixed).geoms] == pytest.approx([1.0, 3.0]), "in their own order, no slivers"
    assert areas_only(Point(0, 0)).is_empty and joined([]).is_empty
    assert joined([box(0, 0, 1, 1), Polygon(), box(1, 0, 2, 1)]).area == pytest.approx(2.0)
