"""Lengths are the file's own unit, also in files whose unit the geometry kernel overlooks."""

import os
from pathlib import Path

import pytest

from ufh_core.basis.errors import ModelReadError
from ufh_core.building.read import read_building
from ufh_core.design import design_building
from ufh_core.settings import Settings

MODELS = Path(os.environ.get("WARMLOOM_MODELS", Path(__file__).resolve().parents[3] / "shared" / "models"))
MODEL = MODELS / "split-level-ifc4-m.ifc"
METRE = "IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.)"


def in_unit(prefix: str, folder: Path) -> Path:
    """The same file with its numbers in another unit."""
    if not MODEL.exists():
        pytest.skip(f"{MODEL} is not there")
    text = MODEL.read_text(encoding="utf-8", errors="surrogateescape")
    assert METRE in text
    changed = folder / f"{prefix}.ifc"
    unit = METRE.replace("$", f".{prefix}.")
    changed.write_text(text.replace(METRE, unit), encoding="utf-8", errors="surrogateescape")
    return changed


def test_a_prefix_scales_the_rooms(tmp_path: Path) -> None:
    plain = [r.outline.area for s in read_building(in_unit("DECA", tmp_path), Settings()).storeys for r in s.rooms]
    known = [r.outline.area for s in read_building(MODEL, Settings()).storeys for r in s.rooms]
    assert sum(plain) == pytest.approx(100 * sum(known), rel=0.02)


def test_a_building_of_kilometres_is_refused_in_one_line(tmp_path: Path) -> None:
    building = read_building(in_unit("HECTO", tmp_path), Settings())
    with pytest.raises(ModelReadError, match=r"room .* is \d+ m wide: the file's length unit"):
        design_building(building, Settings())
