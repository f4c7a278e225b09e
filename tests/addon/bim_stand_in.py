"""A small stand-in for the open BIM layer: the calls that `addon.bim_layer` makes, and their order, nothing more.

It is no proof that the layer itself takes them; it holds the add-on to what is known of the layer.
"""

from __future__ import annotations

import sys
from types import ModuleType, SimpleNamespace
from typing import Any

import bpy
import ifcopenshell
import numpy as np
import pytest
from ifcopenshell.util.placement import get_local_placement
from ifcopenshell.util.unit import calculate_unit_scale
from mathutils import Matrix


class StandIn:
    """The layer with one open model, shown `shift` metres off its own coordinates."""

    def __init__(self, path: Any, shift: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> None:
        self.path, self.file = str(path), ifcopenshell.open(str(path))
        self.shift, self.calls, self.refreshed = shift, [], 0
        self.objects: dict[int, Any] = {}
        for element in (*self.file.by_type("IfcBuildingStorey"), *self.file.by_type("IfcWall")):
            self.show(element)

    def show(self, element: Any) -> Any:
        """Make the object of an element where the layer would."""
        there = np.array(get_local_placement(element.ObjectPlacement), dtype=float)
        there[:3, 3] = there[:3, 3] * calculate_unit_scale(self.file) + self.shift
        made = bpy.data.objects.new(f"{element.is_a()}/{element.Name}", None)
        made.matrix_world = Matrix(there.tolist())
        bpy.context.scene.collection.objects.link(made)
        self.objects[element.id()] = made
        return made

    def undo(self) -> None:
        """What the layer does when the host undoes its operator."""
        self.file.undo()

    def install(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """Let `import bonsai.tool` and its neighbours find the stand-in."""
        modules = {name: ModuleType(name) for name in ("bonsai", "bonsai.tool", "bonsai.bim", "bonsai.bim.handler")}
        modules["bonsai.bim.import_ifc"] = importer = ModuleType("bonsai.bim.import_ifc")
        modules["bonsai.tool"].Ifc = self._ifc()  # type: ignore[attr-defined]
        modules["bonsai.bim.handler"].refresh_ui_data = self._refresh  # type: ignore[attr-defined]
        importer.IfcImportSettings = SimpleNamespace(factory=lambda *_: "settings")  # type: ignore[attr-defined]
        importer.IfcImporter = lambda settings: Importer(self, settings)  # type: ignore[attr-defined]
        for name, module in modules.items():
            monkeypatch.setitem(sys.modules, name, module)
            above, _, own = name.rpartition(".")
            if above:
                setattr(modules[above], own, module)

    def _refresh(self) -> None:
        self.refreshed += 1

    def _unlink(self, *, element: Any) -> None:
        self.objects.pop(element.id(), None)

    def _ifc(self) -> Any:
        layer = self

        class Operator:
            """The layer's base class: one step of its undo around `_execute`."""

            def execute(self, context: Any) -> set[str]:
                """Do it as one step."""
                layer.file.begin_transaction()
                result = self._execute(context)  # type: ignore[attr-defined]
                layer.file.end_transaction()
                return result or {"FINISHED"}

        return SimpleNamespace(
            get=lambda: layer.file,
            get_path=lambda: layer.path,
            get_object=lambda element: layer.objects.get(element.id()),
            unlink=self._unlink,
            Operator=Operator,
        )


class Importer:
    """The layer's importer: makes objects for new elements, and only in the right order."""

    def __init__(self, layer: StandIn, settings: Any) -> None:
        assert settings == "settings"
        self.layer, self.file, self.has_existing_project = layer, None, False
        self.material_creator = SimpleNamespace(load_existing_materials=lambda: self._note("materials"))
        self.done: list[str] = []

    def _note(self, what: str) -> None:
        self.done.append(what)

    def calculate_unit_scale(self) -> None:
        """First of all."""
        self._note("units")

    def process_context_filter(self) -> None:
        """Before any shape."""
        self._note("contexts")

    def create_style(self, style: Any) -> None:
        """A style that is new."""
        assert style.is_a("IfcSurfaceStyle") and "materials" in self.done
        self.layer.objects[style.id()] = style.Name

    def create_generic_elements(self, elements: set[Any]) -> None:
        """The objects."""
        assert self.file is self.layer.file and self.has_existing_project
        assert self.done == ["units", "contexts", "materials"]
        for element in elements:
            self.layer.show(element)
        self._note("elements")

    def place_objects_in_collections(self) -> None:
        """Last of all."""
        assert self.done[-1] == "elements"
        self.layer.calls.append("placed")
