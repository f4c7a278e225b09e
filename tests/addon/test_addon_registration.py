"""Switched on, everything is there and teaches; switched off, nothing is left behind."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

bpy = pytest.importorskip("bpy", reason="the host is not installed")

ROOT = Path(__file__).resolve().parents[2]


def traces() -> dict[str, Any]:
    """What an add-on can leave in the host."""
    handlers = {n: len(getattr(bpy.app.handlers, n)) for n in dir(bpy.app.handlers) if n.endswith(("_post", "_pre"))}
    return {
        "types": {name for name in dir(bpy.types) if "warmloom" in name.lower()},
        "operators": list(dir(bpy.ops.warmloom)),
        "scene": hasattr(bpy.types.Scene, "warmloom"),
        "handlers": handlers,
        "menu": len(getattr(bpy.types.TOPBAR_MT_file_import.draw, "_draw_funcs", ())),
    }


def test_switching_off_leaves_nothing() -> None:
    import addon

    bpy.ops.wm.read_factory_settings(use_empty=True)
    before = traces()
    for _ in range(2):
        addon.register()
        assert traces() != before
        addon.unregister()
        assert traces() == before


def test_operators_are_those_of_the_guide(host: Any) -> None:
    there = set(dir(host.ops.warmloom))
    guide = (ROOT / "README.md").read_text(encoding="utf-8") + (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert {"read_building", "design", "write_files", "read_settings", "write_settings"} <= there
    assert [name for name in there if f"warmloom.{name}" not in guide] == []


def test_every_operator_and_every_input_teaches(host: Any) -> None:
    dumb = []
    for name in dir(host.ops.warmloom):
        kind = getattr(host.ops.warmloom, name).get_rna_type()
        if len(kind.description) < 30:
            dumb.append(name)
        own = [
            p for p in kind.properties if p.identifier in {"background", "storeys", "guids", "circuits", "directory"}
        ]
        dumb += [f"{name}.{p.identifier}" for p in own if len(p.description) < 20]
    basis = host.context.scene.warmloom.basis.bl_rna.properties
    dumb += [p.identifier for p in basis if p.identifier not in {"rna_type", "name"} and len(p.description) < 10]
    assert dumb == []


def test_the_core_needs_no_host() -> None:
    """The process that calculates must not load the host: it would take seconds and a gigabyte."""
    code = (
        "import sys, ufh_core.design, ufh_core.design_files; assert not {m for m in sys.modules if m.startswith('bpy')}"
    )
    subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT)
