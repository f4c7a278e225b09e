"""Lists: one line a room, a manifold, a circuit, a finding, a question."""

import bpy

from ..kept.properties import SEVERITIES
from . import figures
from .common import letters

SEVERITY_ICONS = {key: icon for key, _, _, icon, _ in SEVERITIES}
WITH_SETTING = 34  # letters of a line from which a circuit's setting has room in the list
STATUS_ICONS = {"heated": "CHECKMARK", "short": "ERROR", "not laid": "CANCEL", "not heated": "X", "": "DOT"}


class WARMLOOM_UL_rooms(bpy.types.UIList):
    """Rooms: name, need, what the floor gives, pitch, finish."""

    def draw_item(self, _context, layout, _data, item, _icon, _active, _name, _index=0, _flag=0):
        """Draw a room."""
        row = layout.split(factor=0.4)
        row.label(text=item.label, icon=STATUS_ICONS.get(item.status, "DOT"))
        cells = row.row(align=True)
        if not item.heated:
            cells.label(text=item.reason or "not heated")
            return
        for text in (
            figures.watts(item.need_w),
            figures.watts(item.gives_w),
            figures.pitch(item.laid_pitch_m),
            figures.finish(item.laid_finish_r),
        ):
            cells.label(text=text)


class WARMLOOM_UL_manifolds(bpy.types.UIList):
    """Manifolds: name, room, circuits, flow temperature, whether it stays."""

    def draw_item(self, _context, layout, _data, item, _icon, _active, _name, _index=0, _flag=0):
        """Draw a manifold."""
        row = layout.row(align=True)
        row.label(text=f"{item.label}  {item.room}")
        row.label(text=f"{item.circuits} circuits, {item.flow_c:.1f} °C")
        row.prop(item, "fixed", text="", icon="PINNED" if item.fixed else "UNPINNED")


class WARMLOOM_UL_circuits(bpy.types.UIList):
    """Circuits: number, length, flow, setting, a button that shows the circuit, whether it stays."""

    def draw_item(self, context, layout, _data, item, _icon, _active, _name, _index=0, _flag=0):
        """Draw a circuit; in a narrow sidebar its setting stands below the list only."""
        row = layout.row(align=True)
        row.label(text=f"{item.label}  {figures.length(item.length_m)}")
        if letters(context) >= WITH_SETTING:
            row.label(text=item.setting or figures.flow(item.volume_flow))
        row.operator("warmloom.show_element", text="", icon="VIEWZOOM").circuits = item.label
        row.prop(item, "fixed", text="", icon="PINNED" if item.fixed else "UNPINNED")


class WARMLOOM_UL_findings(bpy.types.UIList):
    """Findings: severity, text, and a button that shows the element."""

    def draw_item(self, _context, layout, _data, item, _icon, _active, _name, _index=0, _flag=0):
        """Draw a finding."""
        row = layout.row(align=True)
        row.label(text=item.message, icon=SEVERITY_ICONS[item.severity])
        if item.guids or item.circuits:
            show = row.operator("warmloom.show_element", text="", icon="VIEWZOOM")
            show.guids, show.circuits = item.guids, item.circuits


class WARMLOOM_UL_questions(bpy.types.UIList):
    """What to ask the architect for, with a button that shows the rooms or elements meant."""

    def draw_item(self, _context, layout, _data, item, _icon, _active, _name, _index=0, _flag=0):
        """Draw a question."""
        row = layout.row(align=True)
        row.label(text=item.label, icon="QUESTION")
        if item.guids:
            row.operator("warmloom.show_element", text="", icon="VIEWZOOM").guids = item.guids


CLASSES = (
    WARMLOOM_UL_rooms,
    WARMLOOM_UL_manifolds,
    WARMLOOM_UL_circuits,
    WARMLOOM_UL_findings,
    WARMLOOM_UL_questions,
)
