"""The one job that this modeller has running, and what is done with its answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from ufh_core.basis.errors import UfhError

from .job import Job, State


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """A task of `tasks` with its arguments; `title` says it in words, `take` is called with its answer."""

    title: str
    task: str
    arguments: dict[str, Any]
    take: Callable[[Any], None]


class _Desk:
    """What lies on the desk."""

    order: Order | None = None
    job: Job | None = None


_desk = _Desk()


def begin(order: Order) -> None:
    """Start an order's job. Raises UfhError where another is running."""
    if _desk.job is not None:
        raise UfhError(f"{running()} is still running; wait for it or stop it first")
    _desk.job, _desk.order = Job(order.task, order.arguments), order


def running() -> str:
    """Title of what is running, "" for nothing."""
    return _desk.order.title if _desk.order is not None else ""


def progress() -> tuple[str, float]:
    """(what is being done, share of the whole from 0 to 1)."""
    return (_desk.job.what, _desk.job.share) if _desk.job is not None else ("", 0.0)


def tick() -> State:
    """Look at the job once. When it is done, hand its answer over and clear the desk.

    Raises UfhError where it gave none, or the answer cannot be taken.
    """
    if _desk.job is None or _desk.order is None:
        return State.STOPPED
    state = _desk.job.state()
    if state is State.RUNNING:
        return state
    order, job = _desk.order, _desk.job
    _desk.order = _desk.job = None
    try:
        if state is not State.STOPPED:
            order.take(job.answer())
    finally:
        job.close()
    return state


def stop() -> None:
    """Ask what is running to stop."""
    if _desk.job is not None:
        _desk.job.stop()


def finish() -> State:
    """Wait for what is running and hand its answer over; for scripts. Raises as `tick`."""
    try:
        if _desk.job is not None:
            _desk.job.wait()
    except BaseException:  # the keyboard: the process must not go on alone
        clear()
        raise
    return tick()


def clear() -> None:
    """End what is running and forget it, as when the add-on is switched off."""
    job, _desk.job, _desk.order = _desk.job, None, None
    if job is not None:
        job.close()
