"""A folder of results appears whole or not at all."""

import errno
import os
from pathlib import Path

import pytest

from ufh_core.basis.errors import OutputError
from ufh_core.output_folder import whole_folder

END = "END-ISO-10303-21;\n"


def test_files_land_together_and_others_stay(tmp_path: Path) -> None:
    out = tmp_path / "a" / "b"
    out.mkdir(parents=True)
    (out / "notes.txt").write_text("mine")
    (out / "design.json").write_text("old")
    with whole_folder(out) as folder:
        (folder / "design.json").write_text("new")
        (folder / "heating.ifc").write_text(END)
        assert (out / "design.json").read_text() == "old"
    assert sorted(p.name for p in out.iterdir()) == ["design.json", "heating.ifc", "notes.txt"]
    assert (out / "design.json").read_text() == "new"


def test_missing_parents_are_made_and_unmade(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="x"), whole_folder(tmp_path / "a" / "b"):
        raise ValueError("x")
    assert list(tmp_path.iterdir()) == []
    with whole_folder(tmp_path / "a" / "b") as folder:
        (folder / "design.json").write_text("{}")
    assert [p.name for p in (tmp_path / "a" / "b").iterdir()] == ["design.json"]


@pytest.mark.parametrize(("name", "text"), [("heating.ifc", "ISO-10303-21;\nDATA;"), ("design.json", "")])
def test_file_cut_short_is_found(tmp_path: Path, name: str, text: str) -> None:
    with pytest.raises(OutputError, match=name), whole_folder(tmp_path / "out") as folder:
        (folder / name).write_text(text)
    assert list(tmp_path.iterdir()) == []


def test_failed_move_puts_the_old_files_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "a.json").write_text("old a")
    (out / "c.json").write_text("old c")
    real = os.replace

    def replace(source: Path, target: Path) -> None:
        if Path(target) == out / "c.json" and Path(source).parent.parent == out and Path(source).read_text() == "new":
            raise OSError(errno.ENOSPC, "No space left on device")
        real(source, target)

    monkeypatch.setattr(os, "replace", replace)
    with pytest.raises(OutputError, match="No space left"), whole_folder(out) as folder:
        for name in ("a.json", "b.json", "c.json"):
            (folder / name).write_text("new")
    assert {p.name: p.read_text() for p in out.iterdir()} == {"a.json": "old a", "c.json": "old c"}


def test_full_disk_while_writing(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="nothing was written"), whole_folder(tmp_path / "out"):
        raise OSError(errno.ENOSPC, "No space left on device")
    assert list(tmp_path.iterdir()) == []
