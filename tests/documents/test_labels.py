"""Label places: apart from each other, between pipes, outside with a leader where there is no room."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, box

from ufh_core.documents.clear_lines import InkMap
from ufh_core.documents.labels import Line, Placer, Wish, Wording
from ufh_core.documents.lettering import text_width, wrapped

BOUNDS = (0.0, 0.0, 10.0, 10.0)
MM = 0.05  # 1:50


def _wish(key: str, area, text: str = "M1.01") -> Wish:
    return Wish(key=key, area=area, wordings=(Wording(lines=(Line(text=text, height=1.8),), step=3.0),))


def test_ink_share_is_the_inked_part_of_a_box():
    ink = InkMap(BOUNDS, 0.1, [LineString([(0.05, 5.05), (9.95, 5.05)])])
    share = ink.share(np.array([[1.0, 5.0, 2.0, 5.1], [1.0, 4.5, 2.0, 5.5], [1.0, 6.0, 2.0, 7.0]]))
    assert share == pytest.approx([1.0, 0.1, 0.0])


def test_a_label_lies_between_pipes_where_it_fits():
    pipes = [LineString([(0, y), (10, y)]) for y in np.arange(0.5, 10, 0.15)]
    placer = Placer(BOUNDS, MM, InkMap(BOUNDS, 0.3 * MM, pipes))
    label = placer.place(_wish("a", box(1, 1, 9, 9)))
    assert label is not None and not any(pipe.intersects(label.line_boxes[0]) for pipe in pipes)


def test_without_room_inside_the_label_goes_outside_with_a_leader():
    placer = Placer(BOUNDS, MM, InkMap(BOUNDS, 0.3 * MM, []))
    label = placer.place(_wish("a", box(5, 5, 5.2, 5.2), "a long name of a small room"))
    assert label is not None and label.target == pytest.approx((5.1, 5.1))


def test_a_label_that_belongs_inside_is_left_away_where_it_does_not_fit():
    placer = Placer(BOUNDS, MM, InkMap(BOUNDS, 0.3 * MM, []))
    wish = dataclasses.replace(_wish("a", box(5, 5, 5.2, 5.2), "a long name"), inside_only=True)
    assert placer.place(wish) is None
    assert placer.place(dataclasses.replace(wish, area=box(1, 1, 9, 9))) is not None


def test_where_nothing_is_free_there_is_no_label():
    placer = Placer(BOUNDS, MM, InkMap(BOUNDS, 0.3 * MM, []))
    placer.reserve((-1, -1, 11, 11))
    assert placer.place(_wish("a", box(1, 1, 9, 9))) is None


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0, 9), st.floats(0, 9), st.floats(0.1, 3), st.floats(0.1, 3), st.text(max_size=20)),
        min_size=2,
        max_size=12,
    )
)
def test_labels_never_overlap(rows):
    placer = Placer(BOUNDS, MM, InkMap(BOUNDS, 0.3 * MM, []))
    placed = [placer.place(_wish(str(k), box(x, y, x + w, y + h), t)) for k, (x, y, w, h, t) in enumerate(rows)]
    boxes = [label.box for label in placed if label]
    total = sum(b.area for b in boxes)
    assert shapely.union_all(boxes).area == pytest.approx(total, rel=1e-9)


@given(st.text(max_size=200), st.floats(5, 60))
def test_wrapped_lines_fit_and_lose_nothing(text, width):
    lines = wrapped(text, width, 1.8)
    assert all(text_width(line, 1.8) <= width or len(line) <= 2 for line in lines)
    assert "".join("".join(lines).split()) == "".join(wrapped(text, 1e9, 1.8)[0].split())
