"""The designer's decisions in a settings file, end to end: followed, told, and kept in the next run."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from command_line import ROOT, SAMPLES, warmloom

MODEL = SAMPLES / "bungalow.ifc"
JUDGE = Path(os.environ.get("WARMLOOM_JUDGE", ROOT.parent / "shared" / "judge" / "judge.py"))
DECISIONS = """
[[manifold.places]]
name = "utility"
room = "Utility"
serves = ["6", "7", "8", "9"]

[[manifold.places]]
name = "hall"
room = "3"

[[rooms.overrides]]
match = "Kitchen"
entry = "Hall"
circuits = 2
take_in = [[[49.565, 120.763], [49.272, 121.453], [50.929, 122.156], [51.222, 121.466]]]

[[rooms.overrides]]
match = "Bedroom 1"
circuits = 2
leave_out = [[[56.749, 117.294], [57.485, 117.607], [57.251, 118.159], [56.515, 117.846]]]
"""
CHANGE = """
[[rooms.overrides]]
match = "Bedroom 2"
leave_out = [[[59.3, 119.46], [59.76, 119.66], [59.57, 120.12], [59.11, 119.93]]]
"""


def design(folder: Path, text: str) -> tuple[dict[str, Any], str]:
    """The storey in design.json and what the command said."""
    folder.mkdir()
    settings = folder / "own.toml"
    settings.write_text(text, encoding="utf-8")
    run = warmloom("design", MODEL, "--settings", settings, "--out", folder / "out")
    assert run.returncode in (0, 1), run.stderr
    (storey,) = json.loads((folder / "out" / "design.json").read_text(encoding="utf-8"))["storeys"]
    if JUDGE.is_file():
        judged = subprocess.run(
            [sys.executable, str(JUDGE), str(MODEL), str(folder / "out" / "heating.ifc")],
            capture_output=True,
            text=True,
            check=False,
        )
        assert judged.returncode == 0, judged.stdout
    return storey, run.stderr


@pytest.fixture(scope="module")
def decided(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any], str]:
    folder = tmp_path_factory.mktemp("decided") / "run"
    return folder, *design(folder, DECISIONS)


def room_of(storey: dict[str, Any], name: str) -> dict[str, Any]:
    return next(r for r in storey["rooms"] if r["name"].split(" ", 1)[1] == name)


def circuits_of(storey: dict[str, Any], name: str) -> list[dict[str, Any]]:
    return [c for c in storey["circuits"] if room_of(storey, name)["ifc_guid"] in c["rooms"]]


def test_every_decision_is_followed_and_said_so(decided: tuple[Path, dict[str, Any], str]) -> None:
    _, storey, said = decided
    answers = {(r["name"], a["key"]): a["followed"] for r in storey["rooms"] for a in r.get("answers", ())}
    assert len(answers) == 9 and all(answers.values()), answers
    assert "cannot be followed" not in said
    place = {m["name"]: m["place"] for m in storey["manifolds"]}
    assert sorted(place.values()) == ["hall", "utility"]
    for name, home in (("Bedroom 2", "utility"), ("WC", "utility"), ("Bathroom", "hall"), ("Kitchen", "hall")):
        assert {place[c["manifold"]] for c in circuits_of(storey, name)} == {home}
    assert len(circuits_of(storey, "Kitchen")) == len(circuits_of(storey, "Bedroom 1")) == 2


def test_the_next_run_keeps_what_it_is_told_to_keep(decided: tuple[Path, dict[str, Any], str], tmp_path: Path) -> None:
    folder, before, _ = decided
    keep = f"[[circuits.keep]]\nfile = {json.dumps(str(folder / 'out' / 'design.json'))}\n"
    after, said = design(tmp_path / "next", DECISIONS + CHANGE + keep)
    changed = room_of(after, "Bedroom 2")["ifc_guid"]
    old = {c["number"]: c["path"] for c in before["circuits"] if changed not in c["rooms"]}
    assert [c["path"] for c in after["circuits"] if changed not in c["rooms"]] == list(old.values())
    refused = [c["number"] for c in circuits_of(before, "Bedroom 2") if f"circuits.keep: {c['number']} of" in said]
    assert refused and "its floor is laid anew" in said
    assert len(circuits_of(after, "Bedroom 2")) >= 1
    assert [m["place"] for m in after["manifolds"]] == [m["place"] for m in before["manifolds"]]


def test_a_place_that_is_nowhere_ends_in_one_line(tmp_path: Path) -> None:
    settings = tmp_path / "own.toml"
    settings.write_text('[[manifold.places]]\nname = "x"\nroom = "Utilty"\n', encoding="utf-8")
    run = warmloom("design", MODEL, "--settings", settings, "--out", tmp_path / "out")
    assert run.returncode == 2 and 'manifold.places "x": no room "Utilty"' in run.stderr
    assert "Traceback" not in run.stderr and not (tmp_path / "out").exists()
