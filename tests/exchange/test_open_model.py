"""Regression: the heating goes into a model that is open elsewhere, and out of it again, without a trace."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import ifcopenshell
import made_up_house as house
import made_up_pair as pair
import pytest

from ufh_core.building.earlier_additions import take_out_additions, without_additions
from ufh_core.exchange.coordinated_model import coordinated_file
from ufh_core.exchange.open_model import earlier_in, write_into


@pytest.fixture(params=sorted(house.PLACES))
def opened(request: pytest.FixtureRequest, tmp_path: Path) -> tuple[Any, Any]:
    """(open model, design) of each schema."""
    path, design = pair.make_pair(house.PLACES[request.param], tmp_path)
    return ifcopenshell.open(str(path)), design


def lines(model: Any) -> list[str]:
    """What a model says, its header aside."""
    return sorted(line for line in model.to_string().splitlines() if line.startswith("#"))


def test_what_was_added_is_taken_out_to_the_last_line(opened: tuple[Any, Any]) -> None:
    model, design = opened
    before = lines(model)
    added = write_into(design, model)
    assert set(added) <= {e.GlobalId for e in model.by_type("IfcRoot")} and len(added) == len(set(added)) > 50
    assert set(before) < set(lines(model))
    take_out_additions(model)
    assert lines(model) == before


def test_in_place_is_as_by_a_new_file(opened: tuple[Any, Any]) -> None:
    """The way of coordinated.ifc, which makes a new file, gives the same."""
    model, design = opened
    write_into(design, model)
    other = ifcopenshell.file.from_string(model.to_string())
    take_out_additions(model)
    assert lines(model) == lines(without_additions(other)[0])


def test_a_second_time_replaces_the_first(opened: tuple[Any, Any]) -> None:
    model, design = opened
    smaller = replace(design, storeys=(replace(design.storeys[0], circuits=design.storeys[0].circuits[:1]),))
    write_into(design, model)
    many = len(earlier_in(model))
    write_into(smaller, model)
    assert 0 < len(earlier_in(model)) < many
    assert len(model.by_type("IfcPropertySet")) == len({p.GlobalId for p in model.by_type("IfcPropertySet")})


def test_undo_of_whoever_has_it_open_takes_it_back(opened: tuple[Any, Any]) -> None:
    model, design = opened
    before = lines(model)
    for _ in range(2):
        model.begin_transaction()
        write_into(design, model)
        model.end_transaction()
    after = lines(model)
    model.undo()
    model.undo()
    assert lines(model) == before
    model.redo()
    model.redo()
    assert lines(model) == after


def test_the_header_is_left_alone(opened: tuple[Any, Any]) -> None:
    model, design = opened
    name = model.header.file_name.name
    write_into(design, model)
    assert model.header.file_name.name == name != "coordinated.ifc"
    take_out_additions(model)
    coordinated_file(design, model)
    assert model.header.file_name.name == "coordinated.ifc"
