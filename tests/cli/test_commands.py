"""The commands on a sample model: exit status, files, and what is said where."""

import json
import subprocess
from pathlib import Path

import pytest
from command_line import SAMPLES, warmloom
from designed_models import designed_job

from ufh_core import __version__
from ufh_core.settings.reading import read_settings
from ufh_core.settings.types import Settings


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, subprocess.CompletedProcess[str]]:
    out = tmp_path_factory.mktemp("demo") / "new" / "out"
    return out, warmloom("demo", "--out", out)


def test_demo_writes_the_files_of_the_contract(demo: tuple[Path, subprocess.CompletedProcess[str]]) -> None:
    out, run = demo
    assert run.returncode in (0, 1), run.stderr
    assert sorted(p.name for p in out.iterdir()) == [
        "circuits.csv",
        "commissioning.html",
        "design.json",
        *(f"first-heating.{kind}" for kind in ("pdf", "svg")),
        *(f"floors-Ground-floor.{kind}" for kind in ("dxf", "pdf", "svg")),
        "heat-demand.html",
        "heating.ifc",
        *(f"joints-Ground-floor.{kind}" for kind in ("dxf", "pdf", "svg")),
        *(f"manifold-{name}.{kind}" for name in ("M1", "M2") for kind in ("dxf", "pdf", "svg")),
        "manifolds.csv",
        *(f"panels-Ground-floor.{kind}" for kind in ("dxf", "pdf", "svg")),
        "plan-Ground-floor.dxf",
        "plan-Ground-floor.pdf",
        "plan-Ground-floor.svg",
        *(f"pump-{name}.{kind}" for name in ("M1", "M2") for kind in ("pdf", "svg")),
        "schedules.xlsx",
        *(f"schematic.{kind}" for kind in ("dxf", "pdf", "svg")),
        "site-pack.html",
        "site-pack.pdf",
        *(f"surface-Ground-floor.{kind}" for kind in ("dxf", "npz", "pdf", "png", "svg")),
    ]
    assert run.stdout == ""


def test_status_says_whether_all_is_carried(demo: tuple[Path, subprocess.CompletedProcess[str]]) -> None:
    out, run = demo
    results = json.loads((out / "design.json").read_text(encoding="utf-8"))
    bad_rooms = [r for s in results["storeys"] for r in s["rooms"] if r["status"] in ("short", "failed")]
    errors = [f for f in results["findings"] if f["severity"] == "error"]
    assert run.returncode == (1 if bad_rooms or errors else 0)


def test_messages_name_each_room_without_colour(demo: tuple[Path, subprocess.CompletedProcess[str]]) -> None:
    _, run = demo
    for room in ("Kitchen", "Hall", "Store", "Terrace"):
        assert room in run.stderr
    assert "\x1b[" not in run.stderr
    assert "reading bungalow.ifc" in run.stderr


def test_a_quiet_second_run_writes_the_same_but_for_panels_one_by_one_and_says_only_the_choices(
    demo: tuple[Path, subprocess.CompletedProcess[str]], tmp_path: Path
) -> None:
    out, first = demo
    options = ("--out", tmp_path, "--quiet", "--explain", "--storey", "Ground floor", "--jobs", 2, "--detail", "panels")
    run = warmloom("design", SAMPLES / "bungalow.ifc", *options)
    assert (run.returncode, run.stderr) == (first.returncode, "")
    for path in out.iterdir():
        alike = path.read_bytes() == (tmp_path / path.name).read_bytes()
        assert alike == (path.name != "heating.ifc"), path.name
    panels_are_written_one_by_one(tmp_path, out)
    rooms = json.loads((out / "design.json").read_text(encoding="utf-8"))["storeys"][0]["rooms"]
    laid = [(room["name"], choice) for room in rooms for choice in room["choices"]]
    assert len(laid) >= 10
    for name, choice in laid:
        assert f"{name}, " in run.stdout and f"  {choice['circuit']}, pitch " in run.stdout
        (best,) = [c for c in choice["candidates"] if c["verdict"] == "laid"]
        assert f"{best['cost']:8.2f}{100 * best['floor_missed_share']:13.1f} %" in run.stdout


def panels_are_written_one_by_one(detailed: Path, out: Path) -> None:
    model, plain = ((folder / "heating.ifc").read_text(encoding="utf-8") for folder in (detailed, out))
    floors = json.loads((out / "design.json").read_text(encoding="utf-8"))["storeys"][0]["panels"]["floors"]
    assert model.count("=IFCBUILDINGELEMENTPART(") == sum(len(floor["pieces"]) for floor in floors)
    assert "IFCBUILDINGELEMENTPART(" not in plain


def test_what_is_asked_for_beside_it_changes_no_file(
    demo: tuple[Path, subprocess.CompletedProcess[str]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Two runs, one of them with everything that can be asked for: files that both write are the same bytes."""
    out, first = demo
    job = designed_job("bungalow", tmp_path_factory)
    assert job.status == first.returncode
    for path in out.iterdir():
        assert path.read_bytes() == (job.out / path.name).read_bytes(), path.name


def test_inspect_for_people_and_for_programs() -> None:
    page = warmloom("inspect", SAMPLES / "bay-house.ifc")
    assert page.returncode == 0, page.stderr
    assert page.stderr == ""
    for word in ("IFC4X3", "First floor", "Landing"):
        assert word in page.stdout
    data = warmloom("inspect", SAMPLES / "bay-house.ifc", "--json")
    assert data.returncode == 0
    assert isinstance(json.loads(data.stdout), dict)


def test_inspect_says_where_an_override_names_no_room(tmp_path: Path) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text('[[rooms.overrides]]\nmatch = "Kitchn"\nheat = false\n', encoding="utf-8")
    page = warmloom("inspect", SAMPLES / "bungalow.ifc", "--settings", mine)
    assert page.returncode == 0, page.stderr
    assert "Kitchn" in page.stdout and "Kitchen" in page.stdout.split("Kitchn", 1)[1].splitlines()[0]


def test_settings_file_reads_back_as_the_defaults_and_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    assert warmloom("settings", "--out", path).returncode == 0
    assert read_settings(path) == Settings()
    path.write_text("# mine\n")
    again = warmloom("settings", "--out", path)
    assert again.returncode == 2
    assert again.stderr.count("\n") == 1
    assert path.read_text() == "# mine\n"


def test_settings_to_the_screen() -> None:
    run = warmloom("settings")
    assert run.returncode == 0
    assert "[pipe]" in run.stdout


def test_version_and_help() -> None:
    assert warmloom("--version").stdout == f"warmloom {__version__}\n"
    for command in ("design", "inspect", "settings", "demo"):
        run = warmloom(command, "--help")
        assert run.returncode == 0
        assert "Example: warmloom" in run.stdout


def test_flow_temperatures_are_told_and_written(tmp_path: Path) -> None:
    out = tmp_path / "water"
    run = warmloom("flow-temperatures", SAMPLES / "bungalow.ifc", "--out", out)
    assert run.returncode == 0, run.stderr
    lines = run.stdout.splitlines()
    assert lines[0].startswith("coolest flow temperature")
    assert [line.split()[0] for line in lines[2:]] == ["every", "a", "a", "a", "a"]
    assert (out / "flow-temperatures.csv").stat().st_size > 1000
    assert len(list(out.glob("*.svg"))) == 5
    again = warmloom("flow-temperatures", SAMPLES / "bungalow.ifc", "--out", tmp_path / "x", "--storey", "Attic")
    assert again.returncode == 2 and "no such storey" in again.stderr
