"""Whatever is wrong, the command says one line, ends with 2, and leaves nothing half-written."""

import subprocess
from pathlib import Path

import building_sketch
import pytest
from command_line import SAMPLES, warmloom

SAMPLE = SAMPLES / "bungalow.ifc"


def says_one_line(run: subprocess.CompletedProcess[str], *words: str) -> None:
    """The run ended with 2 and one line on standard error that holds `words`."""
    assert run.returncode == 2, run.stderr
    assert run.stderr.count("\n") == 1, run.stderr
    assert run.stderr.startswith("warmloom: ")
    assert "Traceback" not in run.stderr
    assert "unexpected" not in run.stderr, "an error nobody thought of"
    for word in words:
        assert word.casefold() in run.stderr.casefold(), run.stderr


def bad_files(folder: Path) -> dict[str, Path]:
    """One file for each thing that can be wrong with it."""
    text = SAMPLE.read_text(encoding="utf-8")
    contents = {
        "empty.ifc": b"",
        "truncated.ifc": text[: len(text) // 2].encode(),
        "photo.ifc": b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00\xff\xdb"
        + bytes(range(256)) * 8,
        "old.ifc": text.replace("FILE_SCHEMA(('IFC4'))", "FILE_SCHEMA(('IFC2X2_FINAL'))").encode(),
        "words.ifc": b"Dear architect, please send the model.\n",
        "headless.ifc": b"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n",
        "fake.ifczip": b"PK\x03\x04 not a zip",
    }
    for name, content in contents.items():
        (folder / name).write_bytes(content)
    (folder / "folder.ifc").mkdir()
    return {path.name: path for path in folder.iterdir()} | {"absent.ifc": folder / "absent.ifc"}


NAMES = [
    "empty.ifc",
    "truncated.ifc",
    "photo.ifc",
    "old.ifc",
    "words.ifc",
    "headless.ifc",
    "fake.ifczip",
    "folder.ifc",
    "absent.ifc",
]


@pytest.mark.parametrize("name", NAMES)
def test_bad_model(tmp_path: Path, name: str) -> None:
    path = bad_files(tmp_path)[name]
    out = tmp_path / "out"
    says_one_line(warmloom("design", path, "--out", out, "--quiet"), name)
    assert not out.exists()


@pytest.mark.parametrize("name", ["empty.ifc", "photo.ifc", "old.ifc", "folder.ifc"])
def test_bad_model_to_inspect(tmp_path: Path, name: str) -> None:
    run = warmloom("inspect", bad_files(tmp_path)[name])
    says_one_line(run, name)
    assert run.stdout == ""


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("[pipe]\noutside_diametre_m = 0.016\n", ("outside_diametre_m", "outside_diameter_m")),
        ("[pipes]\n", ("pipes", "pipe")),
        ('[pipe]\nwall_m = "2 mm"\n', ("wall_m",)),
        ("[output]\nflow_c = 95\n", ("flow_c", "60")),
        ("[pipe\n", ("toml",)),
    ],
)
def test_bad_settings(tmp_path: Path, text: str, words: tuple[str, ...]) -> None:
    settings, out = tmp_path / "mine.toml", tmp_path / "out"
    settings.write_text(text, encoding="utf-8")
    says_one_line(warmloom("design", SAMPLE, "--out", out, "--settings", settings, "--quiet"), "mine.toml", *words)
    assert not out.exists()


def test_settings_file_that_is_not_there(tmp_path: Path) -> None:
    run = warmloom("design", SAMPLE, "--out", tmp_path / "out", "--settings", tmp_path / "none.toml")
    says_one_line(run, "none.toml")


def test_storey_that_is_not_there(tmp_path: Path) -> None:
    out = tmp_path / "out"
    run = warmloom("design", SAMPLE, "--out", out, "--storey", "Ground flor", "--quiet")
    says_one_line(run, "Ground flor", "Ground floor")
    assert not out.exists()


def test_detail_that_nobody_knows(tmp_path: Path) -> None:
    out = tmp_path / "out"
    says_one_line(warmloom("design", SAMPLE, "--out", out, "--detail", "panel", "--quiet"), "'panel'", "'panels'")
    assert not out.exists()


def test_a_file_where_the_folder_should_be(tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.write_text("mine")
    says_one_line(warmloom("design", SAMPLE, "--out", out, "--quiet"), str(out), "folder")
    assert out.read_text() == "mine"


def test_folder_that_nobody_may_write_to() -> None:
    says_one_line(
        warmloom("design", SAMPLE, "--out", "/proc/heating", "--quiet"), "/proc/heating", "nothing was written"
    )


def test_folder_that_is_read_only(tmp_path: Path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    refuse = "import tempfile\ndef no(**k): raise PermissionError(13, 'Permission denied')\ntempfile.mkdtemp = no"
    says_one_line(warmloom("design", SAMPLE, "--out", out, "--quiet", before=refuse), str(out), "permission denied")
    assert list(out.iterdir()) == []


@pytest.mark.parametrize("most_bytes", [0, 30_000])
def test_disk_that_fills_up(tmp_path: Path, most_bytes: int) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "design.json").write_text("of last week")
    house, _ = building_sketch.two_rooms()
    says_one_line(warmloom("design", house.save(tmp_path), "--out", out, "--quiet", most_bytes=most_bytes))
    assert [path.name for path in out.iterdir()] == ["design.json"]
    assert (out / "design.json").read_text() == "of last week"


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["design"], ["MODEL"]),
        (["design", "a.ifc"], ["--out"]),
        (["desing"], ["desing"]),
        (["design", "a.ifc", "--out"], ["--out"]),
        (["design", "a.ifc", "--out", "b", "--colour"], ["--colour"]),
        (["design", "a.ifc", "--out", "b", "--jobs", "0"], ["--jobs"]),
        (["design", "a.ifc", "--out", "b", "--jobs", "all"], ["--jobs"]),
    ],
)
def test_wrong_arguments(arguments: list[str], words: list[str]) -> None:
    says_one_line(warmloom(*arguments), *words, "--help")


def test_unexpected_error_is_one_line_too(tmp_path: Path) -> None:
    broken = (
        "import ufh_core.building.read as b\n"
        "def read(*a): raise ZeroDivisionError('two\\nlines')\n"
        "b.read_building = read"
    )
    run = warmloom("design", SAMPLE, "--out", tmp_path / "out", before=broken)
    assert run.returncode == 2
    assert "Traceback" not in run.stderr
    assert "unexpected ZeroDivisionError" in run.stderr.splitlines()[-1]
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("error", ["KeyboardInterrupt", "MemoryError"])
def test_stopped_or_out_of_memory(tmp_path: Path, error: str) -> None:
    broken = f"import ufh_core.building.read as b\ndef read(*a): raise {error}\nb.read_building = read"
    says_one_line(
        warmloom("design", SAMPLE, "--out", tmp_path / "out", "--quiet", before=broken), "nothing was written"
    )
    assert not (tmp_path / "out").exists()
