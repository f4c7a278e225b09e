"""Panels up to the design: building, basis of design, rooms, manifolds, design."""

from pathlib import Path
from typing import Any

import bpy

from .. import bim_layer
from ..kept.areas import areas_words
from ..kept.carried import also_words
from ..kept.from_settings import optional
from ..kept.properties import BASIS, OWN, given
from ..work import desk
from . import figures
from .common import Sidebar, paragraph, record_of


class WARMLOOM_PT_building(Sidebar, bpy.types.Panel):
    """What was read, what is missing, what to ask for."""

    bl_idname = "WARMLOOM_PT_building"
    bl_label = "Building"
    bl_order = 0

    def draw(self, context: bpy.types.Context) -> None:
        """Draw it."""
        layout, record = self.layout, record_of(context)
        if desk.running() and not record.rooms:
            working(layout)
            return
        if bim_layer.present():
            layout.operator("warmloom.read_open_model", icon="FILE_REFRESH")
        layout.operator("warmloom.read_building", text="Read an IFC file ...", icon="IMPORT")
        if not record.rooms:
            paragraph(layout, "New here? Load the example, then press Design below.", context, "INFO")
            layout.operator("warmloom.read_example", icon="HOME")
            return
        layout.label(text=Path(record.model_path).name, icon="FILE_3D")
        for fact in record.facts:
            paragraph(layout, fact.label, context)
        layout.operator("warmloom.remove_building", text="Remove", icon="TRASH")


class WARMLOOM_PT_questions(Sidebar, bpy.types.Panel):
    """What is missing in the model."""

    bl_idname = "WARMLOOM_PT_questions"
    bl_parent_id = "WARMLOOM_PT_building"
    bl_label = "To ask the architect"
    bl_options = {"DEFAULT_CLOSED"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only where there is something to ask."""
        return bool(record_of(context).questions)

    def draw(self, context: bpy.types.Context) -> None:
        """Draw it."""
        record = record_of(context)
        whole_list(self.layout, record, "questions", "question")
        chosen = active(record.questions, record.question)
        if chosen is not None:
            paragraph(self.layout, chosen.label, context)


class WARMLOOM_PT_basis(Sidebar, bpy.types.Panel):
    """The settings that matter most; all others are in the settings file."""

    bl_idname = "WARMLOOM_PT_basis"
    bl_label = "Basis of design"
    bl_order = 1
    bl_options = {"DEFAULT_CLOSED"}

    def draw(self, context: bpy.types.Context) -> None:
        """Draw it."""
        layout, record = self.layout, record_of(context)
        column = layout.column()
        for section, key, label, _ in BASIS:
            if optional(section, key):
                open_setting(column, record.basis, key, label, "as low as carries the rooms")
            else:
                column.prop(record.basis, key)
        layout.separator()
        if record.settings_path:
            layout.label(text=Path(record.settings_path).name, icon="FILE_TEXT")
        row = layout.row(align=True)
        row.operator("warmloom.read_settings", text="Read ...", icon="IMPORT")
        row.operator("warmloom.write_settings", text="Write ...", icon="EXPORT")
        row.operator("warmloom.forget_settings", text="", icon="LOOP_BACK")


class WARMLOOM_PT_rooms(Sidebar, bpy.types.Panel):
    """Rooms with need and output, and the designer's own answers for the one that is chosen."""

    bl_idname = "WARMLOOM_PT_rooms"
    bl_label = "Rooms"
    bl_order = 2
    bl_options = {"DEFAULT_CLOSED"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only where there are rooms."""
        return bool(record_of(context).rooms)

    def draw(self, context: bpy.types.Context) -> None:
        """Draw it."""
        layout, record = self.layout, record_of(context)
        head = layout.split(factor=0.4)
        head.label(text="Room")
        cells = head.row(align=True)
        for title in ("Need", "Output", "Pitch", "Finish"):
            cells.label(text=title)
        whole_list(layout, record, "rooms", "room")
        chosen = active(record.rooms, record.room)
        if chosen is not None:
            _room(layout, chosen, context)


class WARMLOOM_PT_manifolds(Sidebar, bpy.types.Panel):
    """Manifolds; drag the cross at one in the scene to move it."""

    bl_idname = "WARMLOOM_PT_manifolds"
    bl_label = "Manifolds"
    bl_order = 3
    bl_options = {"DEFAULT_CLOSED"}

    @classmethod
    def poll(cls, context: bpy.types.Context) -> bool:
        """Only after a design."""
        return bool(record_of(context).manifolds)

    def draw(self, context: bpy.types.Context) -> None:
        """Draw it."""
        layout, record = self.layout, record_of(context)
        whole_list(layout, record, "manifolds", "manifold")
        chosen = active(record.manifolds, record.manifold)
        if chosen is not None:
            layout.label(text=f"flow {chosen.flow_c:.1f} °C, return {chosen.return_c:.1f} °C")
            layout.label(text=f"{figures.flow(chosen.volume_flow)} at {figures.kilopascal(chosen.pump_pa)}")
            layout.label(text=f"{figures.length(chosen.pipe_m)} of pipe on {chosen.circuits} circuits")
        paragraph(layout, "Drag the cross at a manifold to where it should stand.", context, "INFO")
        row = layout.row(align=True)
        row.operator("warmloom.keep_manifolds", text="Take over", icon="PINNED")
        row.operator("warmloom.free_manifolds", text="Free all", icon="UNPINNED")
        layout.prop(record, "follow")


class WARMLOOM_PT_design(Sidebar, bpy.types.Panel):
    """The button that has the pipes laid."""

    bl_idname = "WARMLOOM_PT_design"
    bl_label = "Design"
    bl_order = 4

    def draw(self, context: bpy.types.Context) -> None:
        """Draw it."""
        layout, record = self.layout, record_of(context)
        if desk.running() and record.rooms:
            working(layout)
            return
        row = layout.row()
        row.enabled, row.scale_y = bool(record.rooms) and not desk.running(), 1.4
        row.operator("warmloom.design", icon="PLAY")
        if not record.rooms:
            layout.label(text="Read a building first.")
        if record.outdated:
            paragraph(layout, "Something was changed since; the results are of before.", context, "ERROR")


def working(layout: Any) -> None:
    """How far the work is, and the button that stops it; nothing while nothing runs."""
    if not desk.running():
        return
    what, share = desk.progress()
    box = layout.box()
    if hasattr(box, "progress"):
        box.progress(factor=share, text=what)
    else:  # hosts before 4.0
        box.label(text=f"{100 * share:.0f} % {what}", icon="SORTTIME")
    box.operator("warmloom.stop", icon="CANCEL")


def open_setting(column: Any, group: Any, key: str, label: str, otherwise: str) -> None:
    """A setting that may be left open: a mark, and its figure where it is given."""
    row = column.row(align=True)
    row.prop(group, given(key), text="")
    if getattr(group, given(key)):
        row.prop(group, key, text=label)
    else:
        row.label(text=f"{label}: {otherwise}")


def whole_list(layout: Any, record: Any, rows: str, chosen: str) -> None:
    """A list of rows."""
    layout.template_list(f"WARMLOOM_UL_{rows}", "", record, rows, record, chosen, rows=4)


def active(rows: Any, index: int) -> Any | None:
    """The chosen row."""
    return rows[index] if 0 <= index < len(rows) else None


def _room(layout: Any, row: Any, context: bpy.types.Context) -> None:
    """The chosen room: what became of it, and its own answers."""
    box = layout.box()
    top = box.row()
    top.label(text=f"{row.label}, {row.area_m2:.1f} m²")
    top.operator("warmloom.show_element", text="", icon="VIEWZOOM").guids = row.guid
    if row.laid_circuits:
        box.label(text=f"circuits {row.laid_circuits}")
    if row.reason:
        paragraph(box, f"{row.status or 'remark'}: {row.reason}", context, "ERROR" if row.heated else "INFO")
    box.prop(row, "heat")
    areas = box.row(align=True)
    areas.operator("warmloom.leave_out", text=f"Leave out: {areas_words(row)}", icon="MESH_PLANE")
    if row.leave_out:
        areas.operator("warmloom.heat_again", text="", icon="X").guid = row.guid
    for key, label, _ in OWN:
        open_setting(box, row, key, label, "as designed")
    if row.also:
        paragraph(box, f"of the model: {also_words(row)}", context, "FILE_3D")


CLASSES = (
    WARMLOOM_PT_building,
    WARMLOOM_PT_questions,
    WARMLOOM_PT_basis,
    WARMLOOM_PT_rooms,
    WARMLOOM_PT_manifolds,
    WARMLOOM_PT_design,
)
