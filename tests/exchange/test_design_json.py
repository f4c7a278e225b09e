"""design.json: keys, frames, and that it is plain JSON."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import made_up_house as house
import made_up_pair as pair
import numpy as np
import pytest

from ufh_core.circuits.types import FailedRoom
from ufh_core.exchange.design_json import design_to_json, write_json
from ufh_core.exchange.pipe_run import circuit_run
from ufh_core.hydraulics.types import ExpansionVessel
from ufh_core.network.types import NetworkCase, NetworkTable, SystemPoint

PLACE = house.PLACES["IFC4X3-m-far"]


def test_top_level_and_storey_keys() -> None:
    found = design_to_json(pair.made_up_design(PLACE))
    assert {"schema", "model", "settings", "storeys", "findings", "take_off"} <= set(found)
    assert found["schema"] == 1
    (storey,) = found["storeys"]
    assert {"name", "rooms", "manifolds", "circuits", "build_up", "panels"} <= set(storey)


def test_rooms_tell_their_status_and_the_reason() -> None:
    (storey,) = design_to_json(pair.made_up_design(PLACE))["storeys"]
    assert [(r["name"], r["status"], "reason" in r) for r in storey["rooms"]] == [
        ("A Living", "short", True),
        ("hall Hall", "not_heated", True),
        ("B Office", "short", True),
    ]
    assert storey["rooms"][0]["heat_demand_w"] == 640.0 and storey["rooms"][0]["heated_area_m2"] == 12.0


def test_water_is_told_with_its_network_and_vessel() -> None:
    """Shares by circuit for each set of shut ones; volume flows of the curve in m³/h, as the key says."""
    design = pair.made_up_design(PLACE)
    assert design_to_json(design)["water"] is None
    case = NetworkCase(
        name="all open",
        shut=("M1.02",),
        balancing={"M1.01": 1.1},
        self_limiting={"M1.01": 1.0},
        pump_pa=9000.0,
        gap_pa=0.0,
    )
    table = NetworkTable(
        pump="curve",
        flow_share=1.0,
        volume_flow=1e-4,
        pressure_pa=9000.0,
        duty_pa=9500.0,
        self_limiting_duty_pa=20000.0,
        cases=(case,),
        system_curve=(SystemPoint(volume_flow=2e-4, pressure_pa=8000.0),),
    )
    storey = design.storeys[0]
    manifold = replace(storey.manifolds[0], network=table)
    vessel = ExpansionVessel(
        content_m3=0.1,
        expansion_m3=0.001,
        reserve_m3=0.003,
        vessel_m3=0.01,
        pre_pressure_pa=70000.0,
        final_pressure_pa=250000.0,
    )
    told = design_to_json(replace(design, storeys=(replace(storey, manifolds=(manifold,)),), vessel=vessel))
    assert told["water"]["least_vessel_m3"] == 0.01 and told["water"]["content_m3"] == 0.1
    network = told["storeys"][0]["manifolds"][0]["network"]
    assert network["volume_flow_m3_h"] == pytest.approx(0.36)
    assert network["system_curve"] == [{"volume_flow_m3_h": 0.72, "pressure_pa": 8000.0}]
    (row,) = network["cases"]
    assert row["shut"] == ["M1.02"] and row["share_of_design_flow"] == {"M1.01": 1.1}
    assert row["share_with_self_limiting_valves"] == {"M1.01": 1.0}
    first = told["storeys"][0]["circuits"][0]
    assert first["valve_turns"] is None and first["valve_turns_flow_error"] == 0.0
    assert first["least_pressure_drop_pa"] == first["greatest_pressure_drop_pa"] == 7100.0


def test_the_path_is_in_the_storeys_frame_with_arcs_by_three_points() -> None:
    design = pair.made_up_design(PLACE)
    circuit = design_to_json(design)["storeys"][0]["circuits"][0]
    axis = design.storeys[0].circuits[0].laid.axis
    assert circuit["path"][0] == pytest.approx([axis.start[0] - 1.0, axis.start[1] - 1.0], abs=1e-6)
    arcs = [step["arc"] for step in circuit["path"] if isinstance(step, dict)]
    assert arcs and all(len(arc) == 3 for arc in arcs)
    length, here = 0.0, np.array(circuit["path"][0])
    for step in circuit["path"][1:]:
        if isinstance(step, dict):
            assert step["arc"][0] == pytest.approx(here.tolist(), abs=2e-6)
            length += math.pi / 2 * pair.RADIUS
            here = np.array(step["arc"][2])
        else:
            length += float(np.linalg.norm(np.array(step) - here))
            here = np.array(step)
    assert length == pytest.approx(axis.length_m, rel=1e-4)


def test_what_was_not_laid_is_told_with_the_path_that_breaks_a_rule() -> None:
    design = pair.made_up_design(PLACE)
    storey = design.storeys[0]
    axis = storey.circuits[0].laid.axis
    failed = (
        FailedRoom(room="A", reason="too near to a wall", best_attempt=axis),
        FailedRoom(room="B", reason="no way is left"),
    )
    (found,) = design_to_json(replace(design, storeys=(replace(storey, failed=failed),)))["storeys"]
    first, second = found["not_laid"]
    assert (first["room"], first["reason"]) == ("A", "too near to a wall")
    assert first["best_attempt_path"] == found["circuits"][0]["path"]
    assert second["best_attempt_path"] is None


def test_the_length_is_that_of_the_drawn_pipe() -> None:
    design = pair.made_up_design(PLACE)
    storey = design.storeys[0]
    for circuit, row in zip(storey.circuits, design_to_json(design)["storeys"][0]["circuits"], strict=True):
        assert row["length_m"] == pytest.approx(circuit_run(design, storey, circuit).length_m, abs=1e-6)


def test_findings_and_take_off() -> None:
    found = design_to_json(pair.made_up_design(PLACE))
    (finding,) = found["findings"]
    assert (finding["severity"], finding["code"]) == ("warning", "made-up.short")
    assert finding["ifc_guids"] == [pair.room_guid("A")]
    assert found["take_off"]["lines"][0]["item"] == "pipe 16 x 2"


def test_the_file_is_strict_json_and_the_same_every_time(tmp_path: Path) -> None:
    design = pair.made_up_design(PLACE)
    circuit = replace(design.storeys[0].circuits[0], output_w=math.nan)
    storey = replace(design.storeys[0], circuits=(circuit, *design.storeys[0].circuits[1:]))
    design = replace(design, storeys=(storey,))
    for name in ("one.json", "other.json"):
        write_json(design, tmp_path / name)
    text = (tmp_path / "one.json").read_text()
    assert text == (tmp_path / "other.json").read_text()
    assert json.loads(text, parse_constant=pytest.fail)["storeys"][0]["circuits"][0]["heat_output_w"] is None
