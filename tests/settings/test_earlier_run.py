"""Circuits of an earlier run are read from its design.json, or the file is refused in one line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from ufh_core.basis.errors import SettingsError
from ufh_core.settings.earlier_run import earlier_circuits
from ufh_core.settings.steering import KeptCircuits

SQUARE = [[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]]


def circuit(number: str, manifold: str, room: str) -> dict[str, object]:
    path = [[1.0, 0.1], [1.0, 1.0], {"arc": [[1.0, 1.0], [1.02, 1.05], [1.07, 1.07]]}, [2.0, 1.07]]
    fields = [{"room": room, "area_m2": 16.0, "outline": SQUARE, "holes": [[[1.0, 1.0], [2.0, 1.0], [2.0, 2.0]]]}]
    return {"number": number, "manifold": manifold, "rooms": [room], "pitch_m": 0.2, "path": path, "fields": fields}


def file(folder: Path) -> str:
    manifolds = [
        {"name": n, "room": "R1", "position": [1.0, 0.0], "normal": [0.0, 1.0], "width_m": 0.6, "station_side": "left"}
        for n in ("M1", "M2")
    ]
    circuits = [circuit("M1.01", "M1", "R1"), circuit("M1.02", "M1", "R1"), circuit("M2.01", "M2", "R2")]
    path = folder / "design.json"
    path.write_text(
        json.dumps({"storeys": [{"ifc_guid": "S", "manifolds": manifolds, "circuits": circuits}]}), encoding="utf-8"
    )
    return str(path)


def test_all_or_what_is_named_is_read(tmp_path: Path) -> None:
    run = file(tmp_path)
    assert [c.number for c in earlier_circuits(KeptCircuits(file=run))] == ["M1.01", "M1.02", "M2.01"]
    assert [c.number for c in earlier_circuits(KeptCircuits(file=run, manifold="M1"))] == ["M1.01", "M1.02"]
    (one,) = earlier_circuits(KeptCircuits(file=run, circuit="M1.02"))
    assert one.storey == "S" and one.rooms == ("R1",) and one.in_room == 2
    assert one.path == ((1.0, 0.1), (1.0, 1.0), ((1.0, 1.0), (1.02, 1.05), (1.07, 1.07)), (2.0, 1.07))
    assert one.fields[0].holes == (((1.0, 1.0), (2.0, 1.0), (2.0, 2.0)),)
    assert one.manifold.name == "M1" and one.manifold.place == ""


@pytest.mark.parametrize(
    ("keep", "words"),
    [
        ({"circuit": "M1.3"}, ['has no circuit "M1.3"', "did you mean"]),
        ({"manifold": "M7"}, ['has no manifold "M7"']),
        ({"file": "nowhere.json"}, ["nowhere.json: cannot be read"]),
    ],
)
def test_what_the_run_does_not_have_is_refused(tmp_path: Path, keep: dict[str, str], words: list[str]) -> None:
    with pytest.raises(SettingsError) as caught:
        earlier_circuits(KeptCircuits(**({"file": file(tmp_path)} | keep)))
    assert "\n" not in str(caught.value) and [w for w in words if w not in str(caught.value)] == []


@pytest.mark.parametrize("text", [b"{", b"[]", b'{"storeys": 3}', b'{"storeys": [{"ifc_guid": "S"}]}', b"\xff\xfe"])
def test_a_file_that_is_no_earlier_run_is_refused(tmp_path: Path, text: bytes) -> None:
    path = tmp_path / "design.json"
    path.write_bytes(text)
    with pytest.raises(SettingsError) as caught:
        earlier_circuits(KeptCircuits(file=str(path)))
    assert str(caught.value).startswith(str(path)) and "\n" not in str(caught.value)
