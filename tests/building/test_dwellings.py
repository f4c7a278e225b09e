"""Rooms are told apart by flat where the model's zones say so plainly."""

from __future__ import annotations

from pathlib import Path

import building_sketch
import pytest

from ufh_core.building.read import read_building
from ufh_core.settings import Settings

NAMES = ("Kitchen", "Bathroom", "Hall", "Kitchen", "Bathroom", "Hall", "Stairwell")


def model(tmp_path: Path, schema: str, *zones: tuple[str, str, tuple[int, ...]]) -> list[str | None]:
    """Rooms in a row with zones of (class, name, rooms); the dwelling of each room as read."""
    s = building_sketch.Sketch(schema=schema)
    ground = s.storey(0.0)
    s.wall((-0.1, -0.1), (21.1, -0.1), storey=ground)
    spaces = [
        s.space([(3 * k, 0), (3 * k + 2.9, 0), (3 * k + 2.9, 3), (3 * k, 3)], ground, name=str(k), long_name=name)
        for k, name in enumerate(NAMES)
    ]
    for ifc_class, name, members in zones:
        mine = [spaces[k] for k in members]
        if ifc_class == "IfcZone":
            group = s.make("IfcZone", Name=name)
            s.make("IfcRelAssignsToGroup", RelatedObjects=mine, RelatingGroup=group)
        elif ifc_class == "IfcSpatialZone":
            group = s.make("IfcSpatialZone", Name=name)
            s.make("IfcRelReferencedInSpatialStructure", RelatedElements=mine, RelatingStructure=group)
        else:
            group = s.make("IfcSpace", Name=name, CompositionType="COMPLEX")
            s.make("IfcRelAggregates", RelatingObject=group, RelatedObjects=mine)
    building = read_building(s.save(tmp_path), Settings())
    by_name = {r.name: r.dwelling for storey in building.storeys for r in storey.rooms}
    return [by_name[str(k)] for k in range(len(NAMES))]


FLATS = ["L", "L", "L", "R", "R", "R", None]


@pytest.mark.parametrize(
    ("schema", "ifc_class"),
    [("IFC2X3", "IfcZone"), ("IFC4", "IfcZone"), ("IFC4X3", "IfcSpatialZone"), ("IFC4", "complex IfcSpace")],
)
@pytest.mark.parametrize("names", [("Flat 1", "Flat 2"), ("Wohnung EG links", "Wohnung EG rechts"), ("T1", "T2")])
def test_zones_that_are_flats_by_name_or_by_their_rooms_are_dwellings(
    tmp_path: Path, schema: str, ifc_class: str, names: tuple[str, str]
) -> None:
    found = model(tmp_path, schema, (ifc_class, names[0], (0, 1, 2)), (ifc_class, names[1], (3, 4, 5)))
    assert found == [{"L": names[0], "R": names[1], None: None}[f] for f in FLATS]


def test_zones_over_several_flats_give_way_to_the_flats(tmp_path: Path) -> None:
    zones = (
        ("IfcZone", "All apartments", (0, 1, 2, 3, 4, 5)),
        ("IfcZone", "A", (0, 1, 2)),
        ("IfcZone", "B", (3, 4, 5)),
    )
    assert model(tmp_path, "IFC4", *zones) == ["A", "A", "A", "B", "B", "B", None]


@pytest.mark.parametrize(
    "zones",
    [
        (("IfcZone", "Apartment", (0, 1, 2)),),
        (("IfcZone", "Heated", (0, 2)), ("IfcZone", "Wet rooms", (1, 4))),
        (("IfcZone", "Fire compartment 1", (0, 1, 3)), ("IfcZone", "Fire compartment 2", (2, 4, 5))),
    ],
)
def test_one_flat_alone_and_zones_of_other_trades_part_nothing(tmp_path: Path, zones: tuple) -> None:
    assert model(tmp_path, "IFC4", *zones) == [None] * 7


def test_two_flats_of_one_name_stay_two(tmp_path: Path) -> None:
    found = model(tmp_path, "IFC4", ("IfcZone", "Flat", (0, 1, 2)), ("IfcZone", "Flat", (3, 4, 5)))
    assert len(set(found[:3])) == len(set(found[3:6])) == 1
    assert found[0] != found[3] and found[0] is not None and found[0].startswith("Flat (")
