"""The Python beside the modeller is the host's own: not one on the path, not one of another version, not the host."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

bpy = pytest.importorskip("bpy", reason="the host is not installed")

from addon.work import interpreter as own
from ufh_core.basis.errors import UfhError

pytestmark = pytest.mark.skipif(os.name != "posix", reason="stand-ins for programs are scripts")


@pytest.fixture(autouse=True)
def afresh() -> Iterator[None]:
    own.interpreter.cache_clear()
    yield
    own.interpreter.cache_clear()


def program(path: Path, says: str, status: int = 0) -> Path:
    """A program that prints a line, and notes that it was run."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f'#!/bin/sh\ntouch "{path}.ran"\necho "{says}"\nexit {status}\n', encoding="utf-8")
    path.chmod(0o755)
    return path


FITS = f"{sys.implementation.cache_tag} {sys.maxsize}"


def placed(monkeypatch: pytest.MonkeyPatch, prefix: Path, executable: Path | str) -> None:
    monkeypatch.setattr(sys, "prefix", str(prefix))
    monkeypatch.setattr(sys, "base_prefix", str(prefix))
    monkeypatch.setattr(sys, "executable", str(executable))
    monkeypatch.setattr(sys, "_base_executable", str(executable), raising=False)


def test_here_it_is_a_python_that_loads_the_hosts_wheels() -> None:
    code = "import sys; sys.path[:] = sys.argv[1].split('|'); import numpy; print(numpy.__version__)"
    said = subprocess.run(
        [own.interpreter(), "-I", "-c", code, "|".join(sys.path)], capture_output=True, text=True, check=True
    )
    import numpy

    assert said.stdout.strip() == numpy.__version__


def test_the_hosts_own_goes_before_the_one_on_the_path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    name = f"python{sys.version_info.major}.{sys.version_info.minor}"
    elsewhere = program(tmp_path / "path" / name, FITS)
    mine = program(tmp_path / "host" / "bin" / name, FITS)
    placed(monkeypatch, tmp_path / "host", elsewhere)
    monkeypatch.setenv("PATH", str(elsewhere.parent) + os.pathsep + os.environ["PATH"])
    assert own.interpreter() == str(mine)
    assert not Path(f"{elsewhere}.ran").exists()


def test_another_version_and_one_that_fails_are_passed_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    name = f"python{sys.version_info.major}.{sys.version_info.minor}"
    program(tmp_path / "host" / "bin" / name, FITS, status=1)
    program(tmp_path / "host" / "bin" / "python3", f"cpython-27 {sys.maxsize}")
    good = program(tmp_path / "host" / "bin" / "python", FITS)
    placed(monkeypatch, tmp_path / "host", "")
    assert own.interpreter() == str(good)


def test_the_host_itself_is_never_started(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    modeller = program(tmp_path / "modeller", FITS)
    placed(monkeypatch, tmp_path / "nothing", modeller)
    with pytest.raises(UfhError, match="switch off In the background") as error:
        own.interpreter()
    assert "\n" not in str(error.value) and not Path(f"{modeller}.ran").exists()


def test_without_one_a_job_says_so_and_leaves_no_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import tempfile

    from addon.work.job import Job

    (tmp_path / "jobs").mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "jobs"))
    placed(monkeypatch, tmp_path / "nothing", "")
    with pytest.raises(UfhError, match="of the modeller's own"):
        Job("read", {})
    assert not list((tmp_path / "jobs").iterdir())
