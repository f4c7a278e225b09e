"""The host, headless in the tests' own process, and a small house that is read and designed once.

Needs `bpy` from the package registry (4.2 or later) in the environment; without it every test here is skipped.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from types import ModuleType, SimpleNamespace
from typing import Any

import pytest

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
collect_ignore = [] if find_spec("bpy") else [p.name for p in HERE.glob("*.py") if not p.name.startswith("test_")]


@pytest.fixture
def host() -> Iterator[ModuleType]:
    """The host with an empty file and the add-on switched on; switched off again afterwards."""
    bpy = pytest.importorskip("bpy")
    import addon

    bpy.ops.wm.read_factory_settings(use_empty=True)
    addon.register()
    bpy.ops.ed.undo_push(message="start")
    yield bpy
    addon.unregister()


@pytest.fixture(scope="session")
def small_model(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A house of two rooms, as a file."""
    from building_sketch import two_rooms

    return two_rooms(unit="mm", turn=0.4, place=(120.0, 80.0, 0.0))[0].save(
        tmp_path_factory.mktemp("house"), "house.ifc"
    )


@pytest.fixture(scope="session")
def small(small_model: Path) -> SimpleNamespace:
    """The small house, read and designed: path, building, report, design, summary."""
    pytest.importorskip("bpy")
    from addon.work import tasks
    from ufh_core.settings import Settings

    building, report = tasks.read(_quiet, path=small_model, settings=Settings())
    design, summary = tasks.design(_quiet, building=building, model=small_model, settings=Settings())
    return SimpleNamespace(path=small_model, building=building, report=report, design=design, summary=summary)


@pytest.fixture
def designed(host: Any, small: SimpleNamespace) -> Any:
    """What a scene keeps after the small house was read and designed in it."""
    show(host.context.scene, small)
    host.ops.ed.undo_push(message="designed")
    return host.context.scene.warmloom


def show(scene: Any, small: SimpleNamespace, *, opened: bool = False) -> None:
    """Show the small house and its design in a scene, as the operators do when the answers come."""
    from addon.kept.memory import Designed, Reading
    from addon.operators.designing import show_design
    from addon.operators.reading import show_reading

    reading = Reading(path=small.path, building=small.building, report=small.report, opened=opened)
    show_reading(scene, reading)
    show_design(scene, Designed(reading=reading, design=small.design, summary=small.summary))


def _quiet(_what: str, _share: float) -> None:
    """Tell nobody."""


def fresh_house(folder: Path) -> Path:
    """Another house, of the same plan, so that its GlobalIds differ."""
    from building_sketch import two_rooms

    return two_rooms()[0].save(folder, "other.ifc")


sys.path.insert(0, str(ROOT))
