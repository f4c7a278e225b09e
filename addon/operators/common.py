"""What operators share: one line instead of a traceback, work in the background, the results of the scene."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import bpy

from ufh_core.basis.errors import UfhError

from ..kept.memory import Designed, Reading, recall
from ..work import desk
from ..work.job import State
from ..work.tasks import TASKS

LOOK_EVERY_S = 0.1

BACKGROUND = (
    "Calculate in a process of its own while you go on modelling. Off, or where there is no window, "
    "the call returns when all is done"
)


class Told:
    """Operators whose errors become one line for the user."""

    def told(self, error: UfhError) -> set[str]:
        """Report an error and end the operator."""
        self.report({"ERROR"}, " ".join(str(error).split()))
        return {"CANCELLED"}


class Working(Told):
    """Operators that give an order to the desk; `order(context)` makes it, `done(context)` says what came of it."""

    _timer: Any = None

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Start the work, or do all of it where nobody watches."""
        try:
            if not self.background:
                return self._here(context)
            desk.begin(self.order(context))
            if not on_screen():
                return self._after(context, desk.finish())
        except UfhError as error:
            return self.told(error)
        self._timer = context.window_manager.event_timer_add(LOOK_EVERY_S, window=context.window)
        context.window_manager.modal_handler_add(self)
        return {"RUNNING_MODAL"}

    def modal(self, context: bpy.types.Context, event: bpy.types.Event) -> set[str]:
        """Look at the work at every tick of the timer and leave all other events to the modeller."""
        if event.type != "TIMER":
            return {"PASS_THROUGH"}
        redraw(context)
        try:
            state = desk.tick()
        except UfhError as error:
            self._forget_timer(context)
            return self.told(error)
        if state is State.RUNNING:
            return {"PASS_THROUGH"}
        self._forget_timer(context)
        return self._after(context, state)

    def cancel(self, context: bpy.types.Context) -> None:
        """End the work when the modeller ends the operator, as when another file is opened."""
        self._forget_timer(context)
        desk.clear()

    def _here(self, context: bpy.types.Context) -> set[str]:
        """Do the work in this process, with the host's own bar."""
        if desk.running():
            raise UfhError(f"{desk.running()} is still running; wait for it or stop it first")
        order, manager = self.order(context), context.window_manager
        manager.progress_begin(0, 100)
        try:
            order.take(TASKS[order.task](lambda _what, share: manager.progress_update(100 * share), **order.arguments))
        finally:
            manager.progress_end()
        return self._after(context, State.DONE)

    def _after(self, context: bpy.types.Context, state: State) -> set[str]:
        redraw(context)
        if state is not State.DONE:
            self.report({"INFO"}, f"{self.bl_label}: stopped; nothing was changed")
            return {"CANCELLED"}
        self.report({"INFO"}, self.done(context))
        return {"FINISHED"}

    def _forget_timer(self, context: bpy.types.Context) -> None:
        context.window_manager.event_timer_remove(self._timer)


def on_screen() -> bool:
    """Whether the host has a window, so that somebody can go on working."""
    return not bpy.app.background


def redraw(context: bpy.types.Context) -> None:
    """Have the sidebars drawn again."""
    for window in context.window_manager.windows:
        for area in window.screen.areas:
            if area.type == "VIEW_3D":
                area.tag_redraw()


def taker(scene: bpy.types.Scene, take: Callable[[Any, Any], None]) -> Callable[[Any], None]:
    """`take(scene, answer)` for a scene that may be gone, or replaced by undo, by the time the answer comes."""
    name = scene.name

    def taken(answer: Any) -> None:
        found = bpy.data.scenes.get(name)
        if found is None:
            raise UfhError(f'the scene "{name}" is gone; its result was dropped')
        take(found, answer)

    return taken


def reading_of(record: Any) -> Reading:
    """The building that the scene shows. Raises UfhError where none was read in this session."""
    found = recall(record.reading_id)
    if found is not None:
        return found
    if record.model_path:
        raise UfhError(
            f"{Path(record.model_path).name} was not read since this file was opened; read the building again"
        )
    raise UfhError("there is no building yet; read an IFC file first (File > Import), or load the example")


def designed_of(record: Any) -> Designed:
    """The design that the scene shows. Raises UfhError where there is none in this session."""
    found = recall(record.design_id)
    if found is None:
        raise UfhError("there is no design of this building in this session; design it first")
    return found


def shown_as(scene: bpy.types.Scene) -> str:
    """The name under which a scene shows its building; it stays when the scene is renamed."""
    record = scene.warmloom
    if not record.shown_as:
        record.shown_as = scene.name
    return record.shown_as


@contextmanager
def in_scene(scene: bpy.types.Scene) -> Iterator[None]:
    """Let what is shown go to this scene, whichever is in front."""
    with bpy.context.temp_override(scene=scene, view_layer=scene.view_layers[0]):
        yield
