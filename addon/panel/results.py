"""Panels after the design: results with circuits and findings, export."""

import bpy

from .. import bim_layer
from ..operators.showing import part_is_shown
from ..scene.names import PARTS
from . import figures
from .before import active, whole_list, working
from .common import Sidebar, paragraph, record_of
from .lists import SEVERITY_ICONS

BUTTONS = {"flow": "Flow", "return": "Return", "fields": "Fields", "surface": "Surface"}
"""Parts whose whole name does not fit half the sidebar."""
CAUTION = (
    "A calculation for the designer's eyes: check it, follow local codes, and have licensed trades sign off "
    "pressure, electrics and structure."
)


class WARMLOOM_PT_results(Sidebar, bpy.types.Panel):
    """Circuits with length, flow and setting; which parts are shown."""

    bl_idname = "WARMLOOM_PT_results"
    bl_label = "Results"
    bl_order = 5

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only after a design."""
        return bool(record_of(context).headline)

    def draw(self, context: bpy.types.Context) -> None:
        """Draw it."""
        layout, record = self.layout, record_of(context)
        paragraph(layout, record.headline, context)
        if record.outdated:
            layout.label(text="of before the last change", icon="ERROR")
        grid = layout.grid_flow(columns=2, align=True)
        for key, label in PARTS:
            _toggle(grid, context.scene, key, BUTTONS.get(key, label))
        whole_list(layout, record, "circuits", "circuit")
        chosen = active(record.circuits, record.circuit)
        if chosen is not None:
            _circuit(layout.box(), chosen, context)
        paragraph(layout, CAUTION, context)


class WARMLOOM_PT_findings(Sidebar, bpy.types.Panel):
    """Findings of the reading, and of the design once there is one."""

    bl_idname = "WARMLOOM_PT_findings"
    bl_label = "Findings"
    bl_order = 6

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only where something was found."""
        return bool(record_of(context).findings)

    def draw(self, context: bpy.types.Context) -> None:
        """Draw it."""
        record = record_of(context)
        whole_list(self.layout, record, "findings", "finding")
        chosen = active(record.findings, record.finding)
        if chosen is not None:
            paragraph(self.layout, chosen.message, context, SEVERITY_ICONS[chosen.severity])


class WARMLOOM_PT_export(Sidebar, bpy.types.Panel):
    """The files, and the open model of the BIM layer."""

    bl_idname = "WARMLOOM_PT_export"
    bl_label = "Export"
    bl_order = 7

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only after a design."""
        return bool(record_of(context).headline)

    def draw(self, context: bpy.types.Context) -> None:
        """Draw it."""
        layout, record = self.layout, record_of(context)
        for name in ("folder", "merge", "panel_parts", "issues"):
            layout.prop(record, name)
        layout.operator("warmloom.write_files", icon="EXPORT")
        if record.opened and bim_layer.ready():
            layout.operator("warmloom.write_into_model", icon="FILE_TICK")
        working(layout)


def _toggle(layout: bpy.types.UILayout, scene: bpy.types.Scene, key: str, label: str) -> None:
    """A button that shows or hides a part."""
    shown = part_is_shown(scene, key)
    if shown is None:
        return
    button = layout.operator("warmloom.show_part", text=label, icon="HIDE_OFF" if shown else "HIDE_ON", depress=shown)
    button.part, button.shown = key, not shown


def _circuit(box: bpy.types.UILayout, row: bpy.types.PropertyGroup, context: bpy.types.Context) -> None:
    """The chosen circuit."""
    paragraph(box, f"{row.label}: {row.rooms}", context)
    box.label(text=f"{figures.length(row.length_m)}, pitch {figures.pitch(row.pitch_m)}, {figures.watts(row.output_w)}")
    box.label(text=f"{figures.flow(row.volume_flow)} at {figures.kilopascal(row.drop_pa)}")
    box.label(text=f"set {row.setting}")
    ways = box.column(align=True)  # side by side they are cut off in a narrow sidebar
    ways.operator("warmloom.draw_way", icon="CURVE_PATH").circuit = row.label
    ways.operator("warmloom.lay_as_drawn", icon="CHECKMARK").circuit = row.label
    if row.fixed and row.drawn:
        box.label(text="lies as drawn at the next design", icon="PINNED")


CLASSES = (WARMLOOM_PT_results, WARMLOOM_PT_findings, WARMLOOM_PT_export)
