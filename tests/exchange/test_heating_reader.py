"""What is read back from heating.ifc is what the design holds: the check of a folder and of a design agree."""

from __future__ import annotations

from pathlib import Path

import ifcopenshell
import made_up_house as house
import made_up_pair as pair
import numpy as np
import pytest
import shapely

from ufh_core.basis.errors import ModelReadError
from ufh_core.coordination.types import HeatingParts
from ufh_core.exchange.heating_model import write_heating_model
from ufh_core.exchange.heating_parts import design_parts, piece_points
from ufh_core.exchange.heating_reader import read_heating

CHORD_M = 2e-4  # chords of 6 degrees lie 0.11 mm inside bends of 80 mm


@pytest.fixture(scope="module", params=house.PLACES, ids=str)
def both(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[HeatingParts, HeatingParts]:
    folder = tmp_path_factory.mktemp(request.param)
    place = house.PLACES[request.param]
    if request.param == "IFC4-mm":
        place = house.Place(place.schema, place.unit_m, doors=("A",))  # the other room in sleeves
    architect, design = pair.make_pair(place, folder)
    write_heating_model(design, architect, folder / "heating.ifc")
    project = ifcopenshell.open(str(architect)).by_type("IfcProject")[0].GlobalId
    return design_parts(design, project), read_heating(folder / "heating.ifc", design.building.frame)


def test_pipes_agree(both: tuple[HeatingParts, HeatingParts]) -> None:
    made, read = both
    assert len(made.pipes) == 2 and not read.unread
    for ours, theirs in zip(made.pipes, read.pipes, strict=True):
        assert (ours.ifc_guid, ours.number, ours.manifold, ours.storey) == (
            theirs.ifc_guid,
            theirs.number,
            theirs.manifold,
            theirs.storey,
        )
        assert ours.radius_m == pytest.approx(theirs.radius_m)
        assert shapely.hausdorff_distance(*(shapely.LineString(p.points[:, :2]) for p in (ours, theirs))) < CHORD_M
        assert np.sort(ours.points[:, 2])[[0, -1]] == pytest.approx(np.sort(theirs.points[:, 2])[[0, -1]], abs=1e-5)


def test_cabinets_screeds_and_sleeves_agree(both: tuple[HeatingParts, HeatingParts]) -> None:
    made, read = both
    for ours, theirs in zip(made.cabinets, read.cabinets, strict=True):
        assert (ours.ifc_guid, ours.manifold, ours.storey) == (theirs.ifc_guid, theirs.manifold, theirs.storey)
        assert ours.outline.symmetric_difference(theirs.outline).area < 1e-4
        assert (ours.bottom_m, ours.top_m) == pytest.approx((theirs.bottom_m, theirs.top_m), abs=1e-5)
        assert ours.normal == pytest.approx(theirs.normal, abs=1e-5)
    screeds = {s.ifc_guid: s for s in read.screeds}
    assert made.screeds and screeds.keys() == {s.ifc_guid for s in made.screeds}
    for screed in made.screeds:
        other = screeds[screed.ifc_guid]
        assert screed.label == other.label
        assert screed.outline.symmetric_difference(other.outline).area < 1e-3
        assert (screed.bottom_m, screed.top_m) == pytest.approx((other.bottom_m, other.top_m), abs=1e-5)
    assert [s.ifc_guid for s in made.sleeves] == [s.ifc_guid for s in read.sleeves]
    for ours_sleeve, their_sleeve in zip(made.sleeves, read.sleeves, strict=True):
        assert ours_sleeve.outline.symmetric_difference(their_sleeve.outline).area < 2e-4


def test_arcs_in_space_keep_their_radius() -> None:
    """A quarter circle of radius 80 mm in an upright plane, after a straight."""
    root = 0.08 * 0.5**0.5
    arc = ((0.0, 0.0, 0.08), (0.08 - root, 0.0, 0.08 - root), (0.08, 0.0, 0.0))
    points = piece_points([((0.0, 0.0, 0.5), (0.0, 0.0, 0.08)), arc])
    bent = points[1:]
    assert np.hypot(bent[:, 0] - 0.08, bent[:, 2] - 0.08) == pytest.approx(0.08)
    assert points[[0, -1]] == pytest.approx(np.array([[0, 0, 0.5], [0.08, 0, 0]]), abs=1e-12)


def test_other_files_are_refused_in_one_line(tmp_path: Path) -> None:
    frame = pair.made_up_building(house.PLACES["IFC4-mm"]).frame
    broken = tmp_path / "heating.ifc"
    broken.write_text("no model")
    with pytest.raises(ModelReadError, match="heating model"):
        read_heating(broken, frame)
    for place in ("IFC4-mm", "IFC2X3-feet"):
        architect, _ = pair.make_pair(house.PLACES[place], tmp_path)
        with pytest.raises(ModelReadError, match="no heating pipe"):
            read_heating(architect, frame)
