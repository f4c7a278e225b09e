"""heating.glb read back by the JSON in it and by the library: names, lengths, places, areas. Figures by hand."""

from __future__ import annotations

import json
import struct
from pathlib import Path
from typing import Any

import ifcopenshell
import made_up_house as house
import made_up_pair as pair
import numpy as np
import pytest
import trimesh
from building_sketch import two_rooms

from tests.cli.command_line import warmloom
from ufh_core.basis.errors import UfhError
from ufh_core.console_options import check_glb
from ufh_core.design_result import Design
from ufh_core.exchange.heating_parts import design_parts
from ufh_core.exchange.viewer_model import write_viewer_model

PROJECT = "0" * 22


@pytest.fixture(scope="module", params=house.PLACES, ids=str)
def written(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Design]:
    folder = tmp_path_factory.mktemp("viewer")
    _, design = pair.make_pair(house.PLACES[request.param], folder)
    write_viewer_model(design, PROJECT, folder / "heating.glb")
    return folder / "heating.glb", design


def content(file: Path) -> dict[str, Any]:
    data = file.read_bytes()
    magic, version, size, length, kind = struct.unpack("<4sIII4s", data[:20])
    assert (magic, version, size, kind) == (b"glTF", 2, len(data), b"JSON")
    return dict(json.loads(data[20 : 20 + length]))


def in_model(file: Path, vertices: np.ndarray) -> np.ndarray:
    """Points of the file in the model's world, by what the root node says."""
    (root,) = [n for n in content(file)["nodes"] if n["name"] == "Floor heating"]
    x, y, z = vertices.T
    return np.array(root["extras"]["origin_m"]) + np.column_stack([x, -z, y])


def test_every_part_is_a_named_node_that_says_what_it_is(written: tuple[Path, Design]) -> None:
    file, design = written
    nodes = {n["name"]: n.get("extras", {}) for n in content(file)["nodes"]}
    parts = design_parts(design, PROJECT)
    for pipe in parts.pipes:
        ways = [nodes[f"Pipe {pipe.number} {way}"] for way in ("flow", "return")]
        assert {w["ifc_guid"] for w in ways} == {pipe.ifc_guid} and {w["circuit"] for w in ways} == {pipe.number}
        length = np.linalg.norm(np.diff(pipe.points, axis=0), axis=1).sum()
        assert sum(w["length_m"] for w in ways) == pytest.approx(length, abs=2e-3)
    assert nodes["Manifold M1"]["ifc_guid"] == parts.cabinets[0].ifc_guid


def distance(point: np.ndarray, line: np.ndarray) -> float:
    """Distance of a point to a polyline in space."""
    ways, off = np.diff(line, axis=0), point - line[:-1]
    share = np.clip((off * ways).sum(axis=1) / np.maximum((ways**2).sum(axis=1), 1e-18), 0, 1)
    return float(np.linalg.norm(off - share[:, None] * ways, axis=1).min())


def test_tubes_lie_on_their_pipes_in_the_model(written: tuple[Path, Design]) -> None:
    """Corners of a tube are a radius from the axis, nearer only inside a bend; the skins are the pipe's surface."""
    file, design = written
    scene = trimesh.load(file, process=False)
    for pipe in design_parts(design, PROJECT).pipes:
        axis = design.building.frame.to_world(pipe.points)
        skin = 0.0
        for way in ("flow", "return"):
            mesh = scene.geometry[f"Pipe {pipe.number} {way}"]
            skin += mesh.area
            points = in_model(file, np.asarray(mesh.vertices))
            gaps = np.array([distance(p, axis) for p in points])
            assert gaps.max() < pipe.radius_m + 0.002 and np.median(gaps) == pytest.approx(pipe.radius_m, rel=0.02)
        rings = [np.asarray(scene.geometry[f"Pipe {pipe.number} {w}"].vertices) for w in ("flow", "return")]
        middles = in_model(file, np.vstack([r.reshape(-1, 8, 3).mean(axis=1) for r in rings]))
        assert max(distance(p, middles) for p in axis) < 0.002
        length = np.linalg.norm(np.diff(axis, axis=0), axis=1).sum()
        octagon = 16 * pipe.radius_m * np.sin(np.pi / 8)
        assert skin == pytest.approx(octagon * length, rel=0.02)


def test_fields_have_their_area_and_cabinets_their_volume(written: tuple[Path, Design]) -> None:
    file, design = written
    scene = trimesh.load(file)
    for circuit in design.storeys[0].circuits:
        for k, field in enumerate(circuit.laid.fields, 1):
            assert scene.geometry[f"Field {k} of {circuit.laid.number}"].area == pytest.approx(field.area_m2, rel=1e-4)
    cabinet = design_parts(design, PROJECT).cabinets[0]
    size = np.ptp(np.asarray(scene.geometry["Manifold M1"].vertices), axis=0)
    assert size[1] == pytest.approx(cabinet.top_m - cabinet.bottom_m, abs=1e-4)


def test_the_same_design_gives_the_same_bytes(written: tuple[Path, Design], tmp_path: Path) -> None:
    file, design = written
    write_viewer_model(design, PROJECT, tmp_path / "again.glb")
    assert (tmp_path / "again.glb").read_bytes() == file.read_bytes()


def test_the_command_writes_it_where_it_is_asked_for(tmp_path: Path) -> None:
    model = two_rooms()[0].save(tmp_path)
    run = warmloom("design", model, "--out", tmp_path / "out", "--glb", "--quiet")
    assert run.returncode in (0, 1), run.stderr
    heating = ifcopenshell.open(str(tmp_path / "out" / "heating.ifc"))
    told = {n["extras"]["ifc_guid"] for n in content(tmp_path / "out" / "heating.glb")["nodes"] if "Pipe" in n["name"]}
    assert told == {p.GlobalId for p in heating.by_type("IfcPipeSegment")}


def test_without_its_library_one_line_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    check_glb(False)
    with pytest.raises(UfhError, match=r"needs the library trimesh: pip install '\.\[viewer\]'"):
        check_glb(True)
