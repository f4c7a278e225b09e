"""Circuits that stay as they lie: marked in the list, kept by the next design, by undo, and by the settings file."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

bpy = pytest.importorskip("bpy", reason="the host is not installed")

from addon.kept.memory import forget_all, recall
from ufh_core.exchange.design_json import design_to_json
from ufh_core.settings import read_settings

UNDO = ("EXEC_DEFAULT", True)


def record() -> Any:
    return bpy.context.scene.warmloom


def paths() -> dict[str, Any]:
    """Every circuit of the design that the scene shows: its way, and what it stayed from."""
    results = design_to_json(recall(record().design_id).design)
    return {c["number"]: (c["path"], c["kept"]) for storey in results["storeys"] for c in storey["circuits"]}


def pitched_otherwise(room: str) -> None:
    """Another pitch for a room than the one that it was laid at."""
    row = next(row for row in record().rooms if row.label == room)
    row.pitch_m, row.pitch_m_given = (0.15, True) if row.laid_pitch_m > 0.16 else (0.2, True)


def test_a_circuit_stays_and_the_rest_is_laid_anew(designed: Any, host: Any) -> None:
    before = paths()
    first, *others = [row.label for row in designed.circuits]
    designed.circuits[0].fixed = True
    assert designed.outdated
    for room in (row.label for row in designed.rooms):
        pitched_otherwise(room)
    host.ops.ed.undo_push(message="chosen")
    assert host.ops.warmloom.design(background=False) == {"FINISHED"}
    after = paths()
    assert after[first] == (before[first][0], f"{first} of the design before")
    assert any(after.get(number, (None,))[0] != before[number][0] for number in others)
    assert [row.label for row in record().circuits if row.fixed] == [first]
    record().circuits[0].fixed = False
    assert host.ops.warmloom.design(background=False) == {"FINISHED"}
    assert paths()[first][0] != before[first][0], "free again, it is laid at the new pitch"
    assert not any(row.fixed for row in record().circuits)


def test_the_settings_file_holds_what_stays(designed: Any, host: Any, tmp_path: Path) -> None:
    designed.circuits[0].fixed = True
    file = tmp_path / "mine.toml"
    assert host.ops.warmloom.write_settings(filepath=str(file)) == {"FINISHED"}
    (keep,) = read_settings(file).circuits.keep
    assert keep.circuit == designed.circuits[0].label and Path(keep.file or "") == tmp_path / "mine-circuits.json"
    assert Path(keep.file or "").is_file()
    designed.circuits[0].fixed = False
    assert host.ops.warmloom.write_settings(filepath=str(file)) == {"FINISHED"}
    assert read_settings(file).circuits.keep == ()


def test_without_the_design_it_is_said(designed: Any, host: Any, tmp_path: Path) -> None:
    designed.circuits[0].fixed = True
    reading = recall(designed.reading_id)
    forget_all()
    from addon.kept.memory import remember

    designed.reading_id = remember(reading)
    words = "shall stay, but the design that laid them is not at hand"
    with pytest.raises(RuntimeError, match=words):
        host.ops.warmloom.design(background=False)
    with pytest.raises(RuntimeError, match=words):
        host.ops.warmloom.write_settings(filepath=str(tmp_path / "x.toml"))
    assert not list(tmp_path.iterdir())


def test_the_mark_can_be_undone(designed: Any, host: Any, small: SimpleNamespace) -> None:
    record().circuits[0].fixed = True
    host.ops.ed.undo_push(message="marked")
    record().circuits[0].fixed = False
    host.ops.ed.undo_push(message="unmarked")
    host.ops.ed.undo()
    assert record().circuits[0].fixed and recall(record().design_id).design is small.design
