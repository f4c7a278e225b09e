"""The DXF of a storey, read back by ezdxf: sound, on its layers, as long as the pipe, where the model is."""

import dataclasses
from itertools import pairwise
from pathlib import Path

import ezdxf
import pytest
from ezdxf import path as ezdxf_path
from made_up_design import design as made_up_design
from shapely import Point

from ufh_core.basis.frame import LocalFrame
from ufh_core.documents.plan_dxf import FIELDS, FLOW, MANIFOLDS, NUMBERS, RETURN, write_plan_dxf


@pytest.fixture(params=[LocalFrame(), LocalFrame(origin=(4500.0, -320.0, 0.0), rotation=0.7)])
def written(request: pytest.FixtureRequest, tmp_path: Path):
    design = made_up_design()
    design = dataclasses.replace(design, building=dataclasses.replace(design.building, frame=request.param))
    write_plan_dxf(design, design.storeys[0], tmp_path / "plan.dxf")
    return design, ezdxf.readfile(tmp_path / "plan.dxf")


def test_it_is_sound_in_metres_and_every_kind_has_its_layer(written) -> None:
    _, drawing = written
    assert not drawing.audit().has_errors
    assert drawing.units == ezdxf.units.M
    assert {entity.dxf.layer for entity in drawing.modelspace()} == {FLOW, RETURN, NUMBERS, FIELDS, MANIFOLDS}
    lines = [drawing.layers.get(layer).dxf.linetype for layer in (FLOW, RETURN)]
    assert lines == ["Continuous", "DASHED"] and "DASHED" in drawing.linetypes


def test_both_ways_meet_and_are_as_long_as_laid_and_start_where_the_model_has_them(written) -> None:
    design, drawing = written
    ways = [list(drawing.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')) for layer in (FLOW, RETURN)]
    circuits = design.storeys[0].circuits
    assert len(ways[0]) == len(ways[1]) == len(circuits) > 0
    for there, back, circuit in zip(*ways, circuits, strict=True):
        assert any(bulge for way in (there, back) for *_, bulge in way.get_points("xyb"))
        lengths = [length(way) for way in (there, back)]
        assert lengths == pytest.approx([circuit.laid.axis.length_m / 2] * 2, abs=1e-3)
        assert there.get_points("xy")[-1] == pytest.approx(back.get_points("xy")[0], abs=1e-6)
        start = design.building.frame.to_world([[*circuit.laid.axis.pieces[0].start, 0.0]])[0]
        assert there.get_points("xy")[0] == pytest.approx(tuple(start[:2]), abs=1e-6)


def length(way) -> float:
    points = list(ezdxf_path.make_path(way).flattening(1e-6))
    return sum(a.distance(b) for a, b in pairwise(points))


def test_every_field_bears_the_number_of_its_circuit(written) -> None:
    design, drawing = written
    to_plan = design.building.frame.to_local
    said = [(text.dxf.text, Point(*to_plan([tuple(text.dxf.insert)])[0][:2])) for text in drawing.query("TEXT")]
    fields = [(c.laid.number, f.outline) for c in design.storeys[0].circuits for f in c.laid.fields]
    assert len(said) == len(fields) > 0
    assert all(
        number == told and outline.contains(at) for (number, outline), (told, at) in zip(fields, said, strict=True)
    )


def test_a_second_file_has_the_same_bytes(tmp_path: Path) -> None:
    design = made_up_design()
    for name in ("a.dxf", "b.dxf"):
        write_plan_dxf(design, design.storeys[0], tmp_path / name)
    assert (tmp_path / "a.dxf").read_bytes() == (tmp_path / "b.dxf").read_bytes()
