"""The modal loop of the host, played by hand: ticks of the timer, events of the user, the end, other plans."""

from __future__ import annotations

import time
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

bpy = pytest.importorskip("bpy", reason="the host is not installed")

from addon.operators.common import Working
from addon.operators.reading import read_order
from addon.work import desk

LONGEST_CALL_S = 0.1
TIMER, MOUSE = SimpleNamespace(type="TIMER"), SimpleNamespace(type="MOUSEMOVE")


class Window:
    """A window manager that notes timers and redraws."""

    def __init__(self) -> None:
        self.timers, self.modal, self.redrawn = 0, 0, 0
        area = SimpleNamespace(type="VIEW_3D", tag_redraw=self._redraw)
        self.windows = [SimpleNamespace(screen=SimpleNamespace(areas=[area]))]

    def _redraw(self) -> None:
        self.redrawn += 1

    def event_timer_add(self, _every_s: float, *, window: Any) -> str:
        """A timer."""
        self.timers += 1
        return "timer"

    def event_timer_remove(self, timer: str) -> None:
        """No timer."""
        assert timer == "timer"
        self.timers -= 1

    def modal_handler_add(self, _operator: Any) -> None:
        """An operator that hears events."""
        self.modal += 1


class Reading(Working):
    """An operator as the host makes one."""

    bl_label, background = "Read building", True

    def __init__(self, path: Path) -> None:
        self.path, self.said = path, []

    def report(self, kind: set[str], text: str) -> None:
        """What the user is told."""
        self.said.append((next(iter(kind)), text))

    def order(self, context: Any) -> desk.Order:
        """A file."""
        return read_order(context.scene, self.path)

    def done(self, context: Any) -> str:
        """What was read."""
        return f"{len(context.scene.warmloom.rooms)} rooms"


@pytest.fixture
def context(host: Any, monkeypatch: pytest.MonkeyPatch) -> Any:
    """A context with a window."""
    monkeypatch.setattr("addon.operators.common.on_screen", lambda: True)
    return SimpleNamespace(scene=host.context.scene, window=None, window_manager=Window())


def played(operator: Reading, context: Any) -> tuple[set[str], float, int]:
    """(the end, longest call before the hand-over [s of this thread], how often the user had his turn)."""
    longest, turns = 0.0, 0
    while True:
        start = time.thread_time()
        result = operator.modal(context, TIMER)
        if result != {"PASS_THROUGH"}:
            return result, longest, turns
        longest, turns = max(longest, time.thread_time() - start), turns + 1
        time.sleep(0.01)


def test_the_modeller_stays_usable_to_the_end(context: Any, small: SimpleNamespace) -> None:
    operator, manager = Reading(small.path), context.window_manager
    start = time.thread_time()
    assert operator.execute(context) == {"RUNNING_MODAL"}
    assert time.thread_time() - start < LONGEST_CALL_S
    assert (manager.timers, manager.modal) == (1, 1)
    assert operator.modal(context, MOUSE) == {"PASS_THROUGH"}
    assert not manager.redrawn
    result, longest, turns = played(operator, context)
    assert result == {"FINISHED"} and longest < LONGEST_CALL_S
    assert turns > 5
    assert manager.timers == 0 and manager.redrawn
    assert operator.said == [("INFO", "2 rooms")]


def test_a_second_one_is_refused_and_the_first_goes_on(context: Any, small: SimpleNamespace) -> None:
    first, second = Reading(small.path), Reading(small.path)
    first.execute(context)
    assert second.execute(context) == {"CANCELLED"}
    assert "still running" in second.said[0][1] and context.window_manager.timers == 1
    second.background = False
    assert second.execute(context) == {"CANCELLED"}
    assert played(first, context)[0] == {"FINISHED"}


def test_stopped_by_the_user(context: Any, small: SimpleNamespace) -> None:
    operator = Reading(small.path)
    operator.execute(context)
    bpy.ops.warmloom.stop()
    assert played(operator, context)[0] == {"CANCELLED"}
    assert operator.said == [("INFO", "Read building: stopped; nothing was changed")]
    assert context.window_manager.timers == 0 and not context.scene.warmloom.rooms


def test_a_mistake_ends_it_in_one_line(context: Any, tmp_path: Path) -> None:
    operator = Reading(tmp_path / "none.ifc")
    operator.execute(context)
    assert played(operator, context)[0] == {"CANCELLED"}
    ((kind, text),) = operator.said
    assert kind == "ERROR" and "no such file" in text and "\n" not in text
    assert context.window_manager.timers == 0


def test_another_file_is_opened_meanwhile(context: Any, small: SimpleNamespace) -> None:
    operator = Reading(small.path)
    operator.execute(context)
    process = desk._desk.job._process  # type: ignore[union-attr]
    operator.cancel(context)
    assert not desk.running() and context.window_manager.timers == 0
    assert process.poll() is not None
