"""Findings that say the same are one line that names what it holds for."""

from __future__ import annotations

import pytest
from shapely.geometry import box

from ufh_core.basis.findings import Finding, Severity
from ufh_core.building.types import Obstacle
from ufh_core.documents.finding_groups import grouped
from ufh_core.documents.obstacle_names import named_obstacles, short_name


def finding(message: str, *guids: str) -> Finding:
    return Finding(code="x", severity=Severity.NOTE, message=message, ifc_guids=guids)


def test_one_finding_is_its_message():
    assert [g.text for g in grouped([finding("only one")])] == ["only one"]


def test_circuits_and_rooms_are_named_and_many_are_cut():
    (group,) = grouped([finding(f"circuit M1.{k:02d} is long") for k in range(1, 10)])
    assert group.text == "circuit M1.01 is long (likewise M1.02, M1.03, M1.04, M1.05, M1.06, M1.07 and 2 more)"
    (group,) = grouped([finding("Hall: cold", "a"), finding("Bath: cold", "b")], {"a": "Hall", "b": "Bath"})
    assert group.text == "Hall: cold (likewise Bath)"


def test_where_the_others_cannot_be_told_apart_they_are_counted():
    same_room = [finding("first", "a"), finding("second", "b"), finding("third", "b")]
    (group,) = grouped(same_room, {"a": "Hall", "b": "Bath"})
    assert group.text == "first (2 more such in design.json)"
    (group,) = grouped([finding("first"), finding("second"), finding("third", "b")], {"b": "Bath"})
    assert group.text == "first (2 more such in design.json)"


def obstacle(name: str, kind: str = "furniture", x: float = 0.0, movable: bool = False) -> Obstacle:
    return Obstacle(
        ifc_guid=f"{name}{x}", name=name, kind=kind, outline=box(x, 0, x + 1, 1), bottom_m=0, top_m=1, movable=movable
    )


@pytest.mark.parametrize(
    ("name", "kind", "word"),
    [
        ("Bath", "sanitary", "Bath"),
        ("X_Tall Cabinet-Single Door(2):800 mm:800", "furniture", "Tall Cabinet"),
        ("Floor:type 23 board:318282:2", "void", "void"),
        ("", "hearth", "hearth"),
        ("12345", "furniture", "unit"),
        ("キッチン", "furniture", "キッチン"),
    ],
)
def test_short_names(name, kind, word):
    assert short_name(obstacle(name, kind)) == word


def test_neighbours_of_one_name_are_named_once():
    row = [
        obstacle("Unit:1", x=0.0),
        obstacle("Unit:2", x=1.02),
        obstacle("Unit:3", x=4.0),
        obstacle("Sofa", movable=True),
    ]
    assert [name for name, _ in named_obstacles(row)] == ["Unit", "Unit"]
