"""What changed in the order between two designs: worked by hand, and by the command on written results."""

import copy
import json
from pathlib import Path

import pytest

from tests.cli.command_line import warmloom
from tests.cli.test_bad_input import says_one_line
from ufh_core.basis.errors import UfhError
from ufh_core.order_differences import order_differences, read_results


def results() -> dict:
    """Two rooms, one circuit."""
    keys = ("ifc_guid", "pipe_m", "panel_m2", "insulation_m2", "edge_strip_m", "screed_m3")
    values = [("a", 60.0, 12.0, 12.0, 14.0, 0.7), ("b", 30.0, 6.0, 6.0, 10.0, 0.35)]
    rooms = [dict(zip(keys, each, strict=True)) for each in values]
    storey = {
        "rooms": [{"ifc_guid": "a", "name": "1 Living"}, {"ifc_guid": "b", "name": "2 Bath"}],
        "circuits": [{"number": "M1.01", "length_m": 95.0}],
        "panels": {"count": 17},
    }
    lines = [
        {"item": "pipe 16 x 2 mm, coil of 120 m", "quantity": 1, "unit": "pcs"},
        {"item": "edge strip", "quantity": 25.0, "unit": "m"},
    ]
    return {
        "schema": 1,
        "model": {"file_digest": "0"},
        "settings": {"digest": "x", "floor": {"screed_cover_m": 0.045, "finish_r": 0.1}},
        "storeys": [storey],
        "take_off": {"lines": lines, "coils": [{"length_m": 120.0}], "rooms": rooms},
    }


def test_the_same_design_needs_the_same() -> None:
    found = order_differences(results(), results())
    assert found.text() == ["nothing changes in the order"]
    assert found.to_json() == {"same_model": True, "sums": [], "lines": [], "coils": [], "rooms": [], "settings": []}


def test_what_changed_is_said_by_sum_line_coil_room_and_setting() -> None:
    """By hand: a longer circuit on a longer coil, a room gone, one with more screed, a thicker cover."""
    new = copy.deepcopy(results())
    new["settings"] |= {"digest": "y", "floor": {"screed_cover_m": 0.05, "finish_r": 0.1}}
    new["storeys"][0]["circuits"][0]["length_m"] = 105.5
    new["storeys"][0]["panels"]["count"] = 12
    new["take_off"]["rooms"] = [new["take_off"]["rooms"][0] | {"screed_m3": 0.76, "pipe_m": 70.5}]
    new["take_off"]["lines"][0]["item"] = "pipe 16 x 2 mm, coil of 240 m"
    new["take_off"]["coils"] = [{"length_m": 240.0}]
    found = order_differences(results(), new)
    assert found.text() == [
        "setting floor.screed_cover_m: 0.045 -> 0.05",
        "in sum, net:",
        "  pipe 95 -> 105.5 m (+10.5)",
        "  panels 17 -> 12 pcs (-5)",
        "  panels 18 -> 12 m² (-6)",
        "  insulation 18 -> 12 m² (-6)",
        "  edge strip 24 -> 14 m (-10)",
        "  screed 1.05 -> 0.76 m³ (-0.29)",
        "to order:",
        "  pipe 16 x 2 mm, coil of 120 m 1 -> none pcs (-1)",
        "  pipe 16 x 2 mm, coil of 240 m none -> 1 pcs (+1)",
        "coils:",
        "  coil of 120 m 1 -> none pcs (-1)",
        "  coil of 240 m none -> 1 pcs (+1)",
        "1 Living (changed): pipe 60 -> 70.5 m (+10.5); screed 0.7 -> 0.76 m³ (+0.06)",
        "2 Bath (gone): pipe 30 -> none m (-30); panels 6 -> none m² (-6); insulation 6 -> none m² (-6); "
        "edge strip 10 -> none m (-10); screed 0.35 -> none m³ (-0.35)",
    ]
    back = order_differences(new, results())
    assert [room.status for room in back.rooms] == ["changed", "new"]
    assert [c.more for c in back.sums] == [-c.more for c in found.sums]


def test_another_model_is_said() -> None:
    new = results() | {"model": {"file_digest": "1"}}
    assert not order_differences(results(), new).same_model


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", "cannot be read as JSON"),
        ("[]", "holds no order"),
        ('{"take_off": {}}', "holds no order"),
        (json.dumps(results() | {"schema": 9}), "schema 9"),
    ],
)
def test_what_is_no_result_is_answered_in_one_line(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / "design.json").write_text(text)
    with pytest.raises(UfhError, match=words) as told:
        read_results(tmp_path)
    assert "\n" not in str(told.value) and "design again" in str(told.value)


def test_a_value_that_is_missing_is_answered_in_one_line() -> None:
    new = copy.deepcopy(results())
    del new["take_off"]["rooms"][0]["ifc_guid"]
    with pytest.raises(UfhError, match="lacks a value"):
        order_differences(results(), new)


def test_the_command(tmp_path: Path) -> None:
    for name, more in (("old", 0.0), ("new", 5.0)):
        written = results()
        written["storeys"][0]["circuits"][0]["length_m"] += more
        (tmp_path / name).mkdir()
        (tmp_path / name / "design.json").write_text(json.dumps(written))
    done = warmloom("differences", tmp_path / "old", tmp_path / "new")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines() == ["in sum, net:", "  pipe 95 -> 100 m (+5)"]
    as_json = json.loads(warmloom("differences", tmp_path / "old", tmp_path / "new", "--json").stdout)
    assert as_json["sums"] == [{"what": "pipe", "unit": "m", "before": 95.0, "after": 100.0, "more": 5.0}]
    says_one_line(warmloom("differences", tmp_path / "old", tmp_path / "gone"), "gone", "design.json")
