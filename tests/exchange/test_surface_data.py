"""Surface temperatures in files: arrays with their places, and the figures of rooms and circuits, by one sample."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
from designed_models import designed_job

from ufh_core.basis.errors import OutputError
from ufh_core.building.storey_frame import plan_to_storey
from ufh_core.design_result import Design, StoreyDesign
from ufh_core.exchange.design_json import design_to_json
from ufh_core.exchange.surface_data import write_surface_data


@pytest.fixture(scope="module")
def design(tmp_path_factory: pytest.TempPathFactory) -> Design:
    return designed_job("bungalow", tmp_path_factory).design()


def test_arrays_say_which_room_a_place_of_the_storey_belongs_to(design: Design, tmp_path: Path) -> None:
    (storey,) = design.storeys
    write_surface_data(design, storey, tmp_path / "a.npz")
    write_surface_data(design, storey, tmp_path / "b.npz")
    assert (tmp_path / "a.npz").read_bytes() == (tmp_path / "b.npz").read_bytes()
    with np.load(tmp_path / "a.npz", allow_pickle=False) as data:
        assert str(data["storey"]) == storey.storey
        surface, index = data["surface_c"], data["room_index"]
        assert (np.isfinite(surface) == (index >= 0)).all()
        back = np.linalg.inv(plan_to_storey(design.building, design.building.storeys[0]))
        for k, guid in enumerate(data["rooms"]):
            rows, columns = np.nonzero(index == k)
            x, y = (data["corner_m"][i] + (n + 0.5) * data["cell_m"] for i, n in ((0, columns), (1, rows)))
            at = data["plan_to_storey"] @ np.vstack([x, y, np.ones(len(x))])
            inside = shapely.contains_xy(design.building.room(str(guid)).outline, *(back @ at)[:2])
            assert inside.mean() > 0.9  # the rest is its thresholds


def test_design_json_tells_rooms_and_circuits(design: Design) -> None:
    (storey,) = design_to_json(design)["storeys"]
    heated = [room for room in storey["rooms"] if room["status"] != "not_heated"]
    for room in heated:
        surface = room["surface"]
        order = ("coldest", "mean", "peak")
        coldest, mean, peak = (surface[f"{key}_temperature_c"] for key in order)
        assert room["design_indoor_temperature_c"] - 3 < coldest < mean < peak < surface["limit_temperature_c"] + 1
        told = [f for f in design.findings if f.code == "surface.limit" and room["ifc_guid"] in f.ifc_guids]
        assert bool(told) == (surface["area_over_limit_m2"] > 0)
    assert all("surface" not in room for room in storey["rooms"] if room["status"] == "not_heated")


def test_energy_closes_from_the_water_to_the_surface(design: Design) -> None:
    """What a circuit's water loses is what it is booked with, up and down; what rooms get is what circuits give."""
    (storey,) = design_to_json(design)["storeys"]
    circuits = storey["circuits"]
    for circuit in circuits:
        drop = circuit["flow_temperature_c"] - circuit["return_temperature_c"]
        booked = circuit["heat_output_w"] + circuit["downward_loss_w"]
        assert circuit["mass_flow_kg_s"] * 4190 * drop == pytest.approx(booked, rel=1e-3)
        assert circuit["surface"]["heat_w"] == pytest.approx(booked, rel=1e-3)
        assert circuit["surface"]["without_floor_m"] == 0.0
    heated = [room for room in storey["rooms"] if room["status"] != "not_heated"]
    integral = sum(room["surface"]["heat_upward_w"] for room in heated)
    bare = sum(room["bare_floor_loss_w"] for room in heated)
    assert integral + bare == pytest.approx(sum(c["heat_output_w"] for c in circuits), rel=1e-3)
    gets = sum(room["heat_output_w"] + room["tail_output_w"] for room in heated)
    assert gets - bare == pytest.approx(integral, rel=1e-3)


def test_storey_without_a_field_writes_nothing(design: Design, tmp_path: Path) -> None:
    bare = StoreyDesign(storey=design.storeys[0].storey, rooms=(), manifolds=(), circuits=())
    with pytest.raises(OutputError, match="no surface temperatures"):
        write_surface_data(design, bare, tmp_path / "a.npz")
    assert not (tmp_path / "a.npz").exists()
