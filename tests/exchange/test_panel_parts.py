"""Panels one by one in heating.ifc: where they lie, what they belong to, and how little they weigh."""

from __future__ import annotations

import logging
from dataclasses import replace
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.geom
import ifcopenshell.validate
import made_up_house as house
import made_up_pair as pair
import numpy as np
import pytest
import shapely
from ifcopenshell.util import element as ifc_element
from ifcopenshell.util import unit as ifc_unit

from ufh_core.design_result import Design
from ufh_core.exchange.heating_model import write_heating_model
from ufh_core.panels import panel_size
from ufh_core.panels.floors import panel_floors
from ufh_core.panels.plan import panel_plan


def with_panels(design: Design) -> Design:
    """The made-up design with panels, those of the second room at an angle."""
    rooms = {r.room: design.building.room(r.room).outline for r in design.storeys[0].rooms if r.build_up}
    angles = dict(zip(rooms, (0.0, 0.2), strict=True))
    floors = panel_floors(rooms, angles, design.building.storeys[0].passages, 0.008, 0.1)
    plan = panel_plan(floors, rooms, panel_size(design.settings), pin_below_m2=0.25)
    return replace(design, storeys=(replace(design.storeys[0], panels=plan),))


class Parts:
    """A made-up pair with panels, written and opened again."""

    def __init__(self, place: house.Place, folder: Path) -> None:
        architect, design = pair.make_pair(place, folder)
        self.design, self.path, self.plain = with_panels(design), folder / "heating.ifc", folder / "plain.ifc"
        write_heating_model(self.design, architect, self.path, panel_parts=True)
        write_heating_model(self.design, architect, self.plain)
        self.model: Any = ifcopenshell.open(str(self.path))
        self.parts = {part.Name: part for part in self.model.by_type("IfcBuildingElementPart")}
        self.pieces = {piece.number: piece for piece in self.design.storeys[0].panels.pieces}


@pytest.fixture(scope="module", params=house.PLACES, ids=str)
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Parts:
    return Parts(house.PLACES[request.param], tmp_path_factory.mktemp("parts"))


def test_every_piece_lies_where_the_plan_has_it(written: Parts) -> None:
    """Corner by corner in the world, to a tenth of a millimetre; as thick as the layer of the panels."""
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    assert set(written.parts) == set(written.pieces)
    layers = {r.room: r.build_up.layers for r in written.design.storeys[0].rooms if r.build_up}
    for number, piece in written.pieces.items():
        shape = ifcopenshell.geom.create_shape(settings, written.parts[number])
        found = np.array(shape.geometry.verts).reshape(-1, 3)
        level = next(layer for layer in layers[piece.room] if layer.role == "panel")
        assert (found[:, 2].min(), found[:, 2].max()) == pytest.approx((level.bottom_m, level.top_m), abs=1e-4)
        corners = shapely.get_coordinates(shapely.remove_repeated_points(piece.outline, 1e-5))
        wanted = written.design.building.frame.to_world(np.column_stack([corners, np.zeros(len(corners))]))[:, :2]
        apart = np.hypot(*(found[:, None, :2] - wanted[None]).transpose(2, 0, 1))
        assert apart.min(axis=1).max() < 1e-4, number
        assert apart.min(axis=0).max() < 1e-4, number


def test_whole_panels_are_copies_of_one_body(written: Parts) -> None:
    whole = [number for number, piece in written.pieces.items() if piece.whole]
    assert whole and len(whole) < len(written.pieces)
    (kind,) = written.model.by_type("IfcBuildingElementPartType")
    for number, part in written.parts.items():
        (item,) = part.Representation.Representations[0].Items
        assert item.is_a("IfcMappedItem") == (number in whole)
        assert (ifc_element.get_type(part) == kind) == (number in whole)
    assert len(written.model.by_type("IfcRepresentationMap")) == len(kind.RepresentationMaps) == 1


def test_parts_belong_to_the_panels_of_their_room(written: Parts) -> None:
    """The covering of the panels has no body of its own then, so that nothing lies there twice."""
    scale = ifc_unit.calculate_unit_scale(written.model)
    for number, part in written.parts.items():
        piece = written.pieces[number]
        covering = ifc_element.get_aggregate(part)
        assert covering.is_a("IfcCovering") and covering.ObjectType == "CASTELLATED PANEL"
        assert covering.CoversSpaces[0].RelatingSpace.GlobalId == piece.room
        assert covering.Representation is None
        told = ifc_element.get_pset(part, "UFH_PanelPiece")
        assert (told["FromPanel"], told["Whole"], told["Pin"]) == (piece.from_panel, piece.whole, piece.pin)
        assert told["CutLength"] * scale == pytest.approx(piece.length_m, abs=1e-6)
        assert told["CutWidth"] * scale == pytest.approx(piece.width_m, abs=1e-6)


def test_they_are_written_on_request_only_and_weigh_little(written: Parts) -> None:
    plain = ifcopenshell.open(str(written.plain))
    assert not plain.by_type("IfcBuildingElementPart")
    assert all(covering.Representation for covering in plain.by_type("IfcCovering"))
    more = written.path.stat().st_size - written.plain.stat().st_size
    assert 0 < more < 2500 * len(written.pieces)  # 2 MB for the 800 pieces of a very large house


def test_the_schema_check_finds_nothing(written: Parts) -> None:
    heard: list[str] = []
    logger = logging.getLogger(f"panel parts {written.path}")
    handler = logging.Handler()
    handler.emit = lambda record: heard.append(record.getMessage())  # type: ignore[method-assign]
    logger.addHandler(handler)
    ifcopenshell.validate.validate(str(written.path), logger, express_rules=True)
    assert heard == []
