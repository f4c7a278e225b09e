"""Elements of two states that belong together: by GlobalId, by place, by name near by."""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry import Polygon, box

from ufh_core.revision.pairing import pairs_of


@dataclass(frozen=True)
class Thing:
    ifc_guid: str
    name: str
    outline: Polygon


def thing(guid: str, name: str, x: float, wide: float = 2.0) -> Thing:
    return Thing(guid, name, box(x, 0, x + wide, 1))


def paired(olds: list[Thing], news: list[Thing]) -> set[tuple[str, str]]:
    found = pairs_of(olds, news, lambda o, n: True)
    return {(o.ifc_guid if o else "", n.ifc_guid if n else "") for o, n in found}


def test_the_same_id_is_the_same_element_wherever_it_is() -> None:
    assert paired([thing("a", "A", 0), thing("b", "B", 5)], [thing("b", "B", 90), thing("a", "X", 5)]) == {
        ("a", "a"),
        ("b", "b"),
    }


def test_another_id_and_another_name_at_the_same_place_is_the_same_element() -> None:
    assert paired([thing("a", "A", 0)], [thing("n", "N", 0.3)]) == {("a", "n")}
    assert paired([thing("a", "A", 0)], [thing("n", "N", 1.2)]) == {("a", ""), ("", "n")}  # a quarter of both is shared


def test_the_same_name_near_by_is_the_same_element_moved() -> None:
    assert paired([thing("a", "A", 0)], [thing("n", "A", 1.9), thing("m", "A", 1.5)]) == {("a", "m"), ("", "n")}
    assert paired([thing("a", "A", 0)], [thing("n", "A", 2.1)]) == {("a", ""), ("", "n")}
    assert paired([thing("a", "", 0)], [thing("n", "", 1.5)]) == {("a", ""), ("", "n")}  # no name is no name
