"""Recording on site by the command: one design, what is taken, what is refused, what the lists and the page say."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from command_line import warmloom
from designed_models import designed_job

from ufh_core.records.chain import chain_of

LEAK = ["--manifold", "M1", "--medium", "water", "--start-bar", "6", "--end-bar", "5,95", "--hours", "2"]
OTHERS = ("M2",)  # manifolds of the sample beside M1
LEAK += ["--ambient-c", "14", "--station-isolated", "yes", "--joints-dry", "yes", "--role", "fitter"]


@pytest.fixture(scope="module")
def designed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample's folder; nobody changes it."""
    return designed_job("bungalow", tmp_path_factory).out


@pytest.fixture
def folder(designed: Path, tmp_path: Path) -> Path:
    """The files that site work needs: nothing of the architect's."""
    for name in ("design.json", "commissioning.html"):
        shutil.copy(designed / name, tmp_path / name)
    return tmp_path


def test_the_design_comes_with_an_empty_page(designed: Path) -> None:
    page = (designed / "commissioning.html").read_text(encoding="utf-8")
    results = json.loads((designed / "design.json").read_text(encoding="utf-8"))
    for circuit in results["storeys"][0]["circuits"]:
        assert f"{circuit['number']} · " in page
    assert "0 records on file" in page and not (designed / "records.jsonl").exists()


def test_a_passed_test_is_recorded_and_listed(folder: Path) -> None:
    run = warmloom("record", "leak-test", folder, *LEAK, "--by", "A. Fitter")
    assert (run.returncode, run.stderr) == (0, "")
    assert run.stdout.startswith(f"recorded as line 1 of {folder / 'records.jsonl'}: leak-test of M1\n  pass ")
    for other in OTHERS:
        run = warmloom("record", "leak-test", folder, "--manifold", other, *LEAK[2:], "--by", "A. Fitter")
    assert run.stdout.endswith("Next: laid.\n")
    listed = warmloom("records", folder, "--json", "--page")
    assert listed.returncode == 1
    state = json.loads(listed.stdout)
    points = {point["name"]: point for point in state["hold_points"]}
    assert points["leak test"]["outcome"] == "pass" and points["laid"]["outcome"] == "missing"
    assert points["leak test"]["rows"][0]["records"][0]["person"] == "A. Fitter"
    assert state["last_line_sha256"] in (folder / "commissioning.html").read_text(encoding="utf-8")
    assert "Next: laid." in warmloom("records", folder).stdout


def test_a_failed_test_is_recorded_too(folder: Path) -> None:
    run = warmloom("record", "leak-test", folder, *LEAK, "--end-bar", "5")
    assert run.returncode == 1 and "fail     the pressure changed by -1.00 bar" in run.stdout
    assert len(chain_of((folder / "records.jsonl").read_bytes()).lines) == 1


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (
            ["flow", "{}", "--circuit", "M1.99", "--measured-l-min", "1", "--role", "fitter"],
            "no such circuit; there are: M1.01,",
        ),
        (
            ["flow", "{}", "--circuit", "M1.01", "--role", "fitter"],
            "still to be given: --measured-l-min flow on the meter",
        ),
        (
            ["flow", "{}", "--circuit", "M1.01", "--measured-l-min", "x", "--role", "fitter"],
            "--measured-l-min 'x': not a number",
        ),
        (["flow", "{}", "--circuit", "M1.01", "--measured-l-min", "1", "--role", "fiter"], "did you mean 'fitter'?"),
        (["flow", "{}", "--circuit", "M1.01", "--measured-l-min", "1"], "still to be given: --role"),
        (
            ["flow", "{}", "--circuit", "M1.01", "--measured-l-min", "1", "--role", "fitter", "--on", "2999-01-01"],
            "still to come",
        ),
        (
            ["flow", "{}/none", "--circuit", "M1.01", "--measured-l-min", "1", "--role", "fitter"],
            "design.json: not there; name the folder",
        ),
        (["flow", "{}", "--circiut", "M1.01"], "No such option"),
        (["flew", "{}"], "No such command"),
        (["photo", "{}", "--file", "none.jpg", "--shows", "x", "--role", "fitter"], "--file none.jpg: cannot be read"),
    ],
)
def test_what_cannot_be_taken_is_one_line_and_no_record(folder: Path, arguments: list[str], line: str) -> None:
    run = warmloom("record", *(argument.format(folder) for argument in arguments))
    assert run.returncode == 2 and run.stdout == ""
    assert line in run.stderr and run.stderr.startswith("warmloom: ") and run.stderr.count("\n") == 1
    assert not (folder / "records.jsonl").exists()


@pytest.mark.parametrize(
    ("content", "line"),
    [
        ("{", "not valid JSON"),
        ("[]", "not of this version of the tool"),
        ("{}", "not of this version of the tool"),
        ('{"settings": {"pipe": {}, "floor": {"screed": 3}, "hydraulics": {}}}', "floor.screed"),
    ],
)
def test_a_design_that_cannot_be_read(tmp_path: Path, content: str, line: str) -> None:
    (tmp_path / "design.json").write_text(content)
    for command in (["records", tmp_path], ["balance", tmp_path], ["record", "leak-test", tmp_path, *LEAK]):
        run = warmloom(*command)
        assert run.returncode == 2 and line in run.stderr and run.stderr.count("\n") == 1


def test_a_changed_byte_is_named_with_its_line(folder: Path) -> None:
    warmloom("record", "leak-test", folder, *LEAK)
    path = folder / "records.jsonl"
    path.write_bytes(path.read_bytes().replace(b'"hours":2.0', b'"hours":9.0'))
    run = warmloom("records", folder)
    assert run.returncode == 2
    assert "records.jsonl line 1: was changed after it was written" in " ".join(run.stderr.split())


def test_a_torn_line_is_told_kept_and_gone_round(folder: Path) -> None:
    path = folder / "records.jsonl"
    warmloom("record", "leak-test", folder, *LEAK)
    path.write_bytes(path.read_bytes() + b'{"form":1,"li')
    assert "the last 13 bytes are a torn line" in warmloom("records", folder).stderr
    assert path.read_bytes().endswith(b'"li')  # listing changes nothing
    run = warmloom("record", "leak-test", folder, *LEAK)
    assert run.returncode == 0 and "a torn line was found" in run.stderr
    (kept,) = folder.glob("records-torn-*.txt")
    assert kept.read_bytes() == b'{"form":1,"li'
    listed = warmloom("records", folder)
    assert listed.returncode == 1 and "a torn line was found before it" in listed.stdout


def test_a_full_disk_records_nothing(folder: Path) -> None:
    warmloom("record", "leak-test", folder, *LEAK)
    before = (folder / "records.jsonl").read_bytes()
    run = warmloom("record", "leak-test", folder, *LEAK, most_bytes=len(before) + 50)
    assert run.returncode == 2 and "nothing was recorded" in run.stderr and run.stderr.count("\n") == 1
    assert (folder / "records.jsonl").read_bytes() == before


def test_photographs_are_kept_by_reference(folder: Path) -> None:
    (folder / "hall.jpg").write_bytes(b"picture")
    run = warmloom(
        "record", "photo", folder, "--file", "hall.jpg", "--shows", "tails", "--room", "3 Hall", "--role", "fitter"
    )
    assert run.returncode == 0, run.stderr
    assert "pass     hall.jpg is as recorded" in warmloom("records", folder).stdout
    (folder / "hall.jpg").write_bytes(b"another")
    assert "fail     hall.jpg was changed" in warmloom("records", folder).stdout


def test_which_valve_to_turn(folder: Path) -> None:
    """Flows as designed but for one circuit that gets a third too much: its valve is closed, the rest nearly stays."""
    results = json.loads((folder / "design.json").read_text(encoding="utf-8"))
    nothing = warmloom("balance", folder)
    assert nothing.returncode == 1 and "round 1 has no reading of M1.01" in nothing.stdout
    from datetime import UTC, datetime

    from ufh_core.records.kinds import FlowReading
    from ufh_core.records.ledger import NewLine, add

    for circuit in results["storeys"][0]["circuits"]:
        litres = circuit["mass_flow_kg_s"] * 60.3 * (1.33 if circuit["number"] == "M1.06" else 1.0)
        reading = FlowReading(on=datetime(2031, 1, 1).date(), circuit=circuit["number"], measured_l_min=litres)
        add(
            folder,
            NewLine(at=datetime.now(UTC), role="fitter", person="", kind="flow", design="", values=reading.values()),
        )
    run = warmloom("balance", folder, "--json")
    assert run.returncode == 1, run.stderr
    sheet = next(one for one in json.loads(run.stdout) if one["manifold"] == "M1")
    change = {valve["circuit"]: valve["turns_wanted"] / valve["turns_now"] - 1 for valve in sheet["valves"]}
    assert min(change, key=lambda number: change[number]) == "M1.06" and change["M1.06"] < -0.1
    assert "M1.06" in warmloom("balance", folder, "--manifold", "M1").stdout
    assert warmloom("balance", folder, "--manifold", "M7").stderr.startswith(
        "warmloom: --manifold M7: the design has no"
    )


def test_a_design_without_a_pipe_has_lists_and_a_page_all_the_same(folder: Path) -> None:
    results = json.loads((folder / "design.json").read_text(encoding="utf-8"))
    for storey in results["storeys"]:
        storey.update(circuits=[], manifolds=[], build_up={})
    results.update(first_heating=None, screed_calendar=[])
    (folder / "design.json").write_text(json.dumps(results), encoding="utf-8")
    run = warmloom("records", folder, "--page")
    assert run.returncode == 1 and run.stderr == "" and "Next: laid." in run.stdout
    assert "ask the screed's maker" in (folder / "commissioning.html").read_text(encoding="utf-8")
    refused = warmloom("record", "leak-test", folder, *LEAK)
    assert refused.returncode == 2 and "there are: none" in refused.stderr
    assert warmloom("balance", folder).returncode == 0


def test_designing_again_keeps_the_records_and_shows_them(
    designed: Path, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    out = tmp_path / "again"
    shutil.copytree(designed, out)
    warmloom("record", "leak-test", out, *LEAK)
    before = (out / "records.jsonl").read_bytes()
    same = designed_job("bungalow", tmp_path_factory).answers()
    assert warmloom("demo", "--out", out, "--quiet", before=same).returncode in (0, 1)
    assert (out / "records.jsonl").read_bytes() == before
    assert chain_of(before).last_digest in (out / "commissioning.html").read_text(encoding="utf-8")


def test_help_tells_a_designer_how(folder: Path) -> None:
    whole = warmloom("record", "--help").stdout
    for word in ("as-laid", "leak-test", "heating-day", "moisture", "signature", "Exit status"):
        assert word in whole
    one = warmloom("record", "leak-test", "--help").stdout
    assert "Example: warmloom record leak-test heating --manifold M1" in " ".join(one.split())
    assert "record" in warmloom("--help").stdout and "balance" in warmloom("--help").stdout
