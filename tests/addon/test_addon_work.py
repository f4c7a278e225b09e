"""The process beside the modeller: progress, answer, mistakes in one line, stopping without a trace."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

bpy = pytest.importorskip("bpy", reason="the host is not installed")

from addon.work import desk
from addon.work.job import Job, State
from ufh_core.basis.errors import UfhError
from ufh_core.design_files import Extras
from ufh_core.samples import sample_model
from ufh_core.settings import Settings

LONGEST_TICK_S = 0.1


def finished(job: Job) -> Any:
    """The answer of a job, and its folder taken away."""
    try:
        job.wait()
        return job.answer()
    finally:
        job.close()


@pytest.fixture
def jobs_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of this test alone for the folders of jobs."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    return tmp_path


def until(holds: Callable[[], bool], longest_s: float = 60.0) -> None:
    """Wait for something."""
    end = time.monotonic() + longest_s
    while not holds():
        assert time.monotonic() < end, "it did not come about"
        time.sleep(0.01)


def test_the_answer_is_the_core_s_own(small: SimpleNamespace, jobs_in: Path) -> None:
    building, report = finished(Job("read", {"path": small.path, "settings": Settings()}))
    assert building == small.building
    assert report == small.report
    assert not list(jobs_in.iterdir())


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"path": Path("/nowhere/house.ifc"), "settings": Settings()}, "no such file"),
        ({"path": None, "settings": Settings()}, "please report it"),
    ],
    ids=["the user's mistake", "ours"],
)
def test_what_goes_wrong_is_one_line(arguments: dict[str, Any], words: str) -> None:
    with pytest.raises(UfhError, match=words) as caught:
        finished(Job("read", arguments))
    assert "\n" not in str(caught.value)


def test_a_process_that_dies_is_told() -> None:
    job = Job("read", {"path": sample_model("bungalow"), "settings": Settings()})
    job._process.kill()
    assert job.wait() is State.FAILED
    with pytest.raises(UfhError, match="ended without an answer"):
        finished(job)


def test_stopping_takes_half_written_files_away(small: SimpleNamespace, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    job = Job("write", {"design": small.design, "model": small.path, "folder": folder, "extras": Extras()})
    until(lambda: folder.exists() and any(folder.iterdir()))
    job.stop()
    assert job.wait() is State.STOPPED
    job.close()
    assert not folder.exists()


def test_looking_at_the_work_does_not_hold_the_modeller_up(small: SimpleNamespace) -> None:
    """Ticks return while the work goes on, each within the time that a user would not notice."""
    taken: list[Any] = []
    bungalow = {"path": sample_model("bungalow"), "settings": Settings()}
    desk.begin(desk.Order(title="reading", task="read", arguments=bungalow, take=taken.append))
    with pytest.raises(UfhError, match="reading is still running"):
        desk.begin(desk.Order(title="another", task="read", arguments=bungalow, take=taken.append))
    longest, looks = 0.0, 0
    while desk.running() and not taken:
        start = time.thread_time()
        state = desk.tick()
        if state is State.RUNNING:
            longest, looks = max(longest, time.thread_time() - start), looks + 1
            assert desk.progress()[0]
            time.sleep(0.01)
    assert longest < LONGEST_TICK_S
    assert looks > 10
    assert taken[0][0].storeys


def test_stopping_drops_the_answer() -> None:
    taken: list[Any] = []
    arguments = {"path": sample_model("bungalow"), "settings": Settings()}
    desk.begin(desk.Order(title="reading", task="read", arguments=arguments, take=taken.append))
    until(lambda: desk.progress()[0].startswith("reading"))
    desk.stop()
    assert desk.finish() is State.STOPPED
    assert not taken and not desk.running()


def test_a_process_that_does_not_listen_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("addon.work.job.PATIENCE_S", 0.0)
    monkeypatch.setattr("addon.work.job.os", SimpleNamespace(name="nt"))
    job = Job("read", {"path": sample_model("bungalow"), "settings": Settings()})
    job.stop()
    until(lambda: job.state() is State.STOPPED)
    job.close()


def test_no_process_no_leftover(jobs_in: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("addon.work.job.interpreter", lambda: "/no/python")
    with pytest.raises(UfhError, match="no process could be started"):
        Job("read", {})
    assert not list(jobs_in.iterdir())
