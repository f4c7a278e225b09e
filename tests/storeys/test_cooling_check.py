"""The cooling check of a whole design: asked for by the settings, told in watts, warned of where it drips."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from building_sketch import two_rooms

from ufh_core.building.read import read_building
from ufh_core.design import design_building
from ufh_core.design_result import Design
from ufh_core.exchange.design_json import design_to_json
from ufh_core.settings.types import Settings


def designed(folder: Path, **cooling: object) -> Design:
    sketch, _ = two_rooms()
    settings = replace(Settings(), cooling=replace(Settings().cooling, **cooling))
    return design_building(read_building(sketch.save(folder), settings), settings)


def said(design: Design) -> dict[str, str]:
    return {f.code: f.message for f in design.findings if f.code.startswith("cooling.")}


def test_nothing_is_said_unless_asked(tmp_path: Path) -> None:
    design = designed(tmp_path)
    assert said(design) == {}
    assert all(room.cooling is None for room in design.storeys[0].rooms)


def test_dry_cooling_is_told_in_watts(tmp_path: Path) -> None:
    design = designed(tmp_path, water_c=19.0)
    found = said(design)
    assert set(found) == {"cooling.output"}
    floors = [room.cooling for room in design.storeys[0].rooms]
    assert all(floor is not None and 19.0 < floor.return_c < 26.0 for floor in floors)
    whole = sum(floor.taken_w for floor in floors if floor is not None)
    assert f"take up {whole:.0f} W from rooms at 26 °C (dew point 16.3 °C at 55 %)" in found["cooling.output"]
    rows = [room["cooling"] for room in design_to_json(design)["storeys"][0]["rooms"]]
    assert sum(row["heat_taken_w"] for row in rows) == pytest.approx(whole, abs=1e-3)


def test_the_flow_that_is_named_keeps_the_floor_dry(tmp_path: Path) -> None:
    wet = said(designed(tmp_path, water_c=12.0, humidity=0.75))
    assert {"cooling.condensation", "cooling.pipes-sweat", "cooling.output"} <= set(wet)
    named = re.search(r"water of ([\d.]+) °C or more", wet["cooling.condensation"])
    assert named is not None
    safe_c = float(named[1])
    again = said(designed(tmp_path, water_c=safe_c + 0.05, humidity=0.75))
    assert "cooling.condensation" not in again
    assert "cooling.condensation" in said(designed(tmp_path, water_c=safe_c - 0.15, humidity=0.75))


def test_a_floor_too_cold_for_feet_is_told(tmp_path: Path) -> None:
    found = said(designed(tmp_path, water_c=8.0, humidity=0.2))
    assert "cooling.surface-cold" in found
    assert "cooling.condensation" not in found


def test_wet_rooms_are_shut(tmp_path: Path) -> None:
    design = designed(tmp_path, water_c=19.0, not_cooled_kinds=("bedroom",))
    cooled = [room.cooling is not None for room in design.storeys[0].rooms]
    assert sorted(cooled) == [False, True]
