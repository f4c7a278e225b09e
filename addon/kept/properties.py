"""Property groups of the scene. Rows hold figures in SI; 0 or "" stands for nothing to say."""

from __future__ import annotations

from typing import Any

import bpy

from .from_settings import field_of, lesson, number_or_choice, optional, override_field

BASIS: tuple[tuple[str, str, str, float | None], ...] = (
    ("heat_demand", "outdoor_c", "Design outdoor temperature [°C]", None),
    ("heat_demand", "building_age", "Age of the building", None),
    ("rooms", "indoor_default_c", "Indoor temperature [°C]", None),
    ("output", "flow_c", "Flow temperature [°C]", 35.0),
    ("output", "greatest_flow_c", "Greatest flow temperature [°C]", None),
    ("output", "spread_k", "Spread of the water [K]", None),
    ("floor", "screed", "Screed", None),
    ("floor", "finish_r", "Finish, R [m²K/W]", None),
    ("layout", "pattern", "Pattern of the pipe", None),
    ("layout", "edge_zone", "Edge zones", None),
    ("layout", "stud_grid", "Castellated panels", None),
    ("manifold", "most_ports", "Most circuits of a manifold", None),
)
"""Settings in the panel: section, key, label, and where a setting has no default the figure to begin with."""

OWN: tuple[tuple[str, str, float | int | str], ...] = (
    ("indoor_c", "Indoor temperature [°C]", 20.0),
    ("demand_w", "Heat demand [W]", 500.0),
    ("pitch_m", "Pitch [m]", 0.15),
    ("finish_r", "Finish, R [m²K/W]", 0.1),
    ("circuits", "Circuits", 1),
    ("pattern", "Pattern of the pipe", "counterflow"),
    ("edge_zone", "Edge zones", "none"),
)
"""A room's own answers in the panel: key, label, what to begin with."""

SEVERITIES = (
    ("error", "Error", "Something is missing or clashes", "CANCEL", 0),
    ("warning", "Warning", "To be decided or looked at", "ERROR", 1),
    ("note", "Note", "Good to know", "INFO", 2),
)
HEAT = (
    ("rule", "By its use", "Heated or not by what the room is used for, as the settings say"),
    ("yes", "Heat it", "Floor heating is laid in this room, whatever it is called"),
    ("no", "Leave it out", "No floor heating in this room"),
)


def outdated(group: Any, _context: Any) -> None:
    """Note that the design shown is older than a choice."""
    own = group.id_data.warmloom
    if own.design_id:
        own.outdated = True


def given(key: str) -> str:
    """Name of the property that says whether an open setting is given."""
    return f"{key}_given"


def _group(name: str, doc: str, properties: dict[str, Any]) -> type:
    return type(name, (bpy.types.PropertyGroup,), {"__doc__": doc, "__annotations__": properties})


def _text(label: str = "") -> Any:
    return bpy.props.StringProperty(name=label)


def _number(label: str = "") -> Any:
    return bpy.props.FloatProperty(name=label)


def _basis() -> dict[str, Any]:
    properties: dict[str, Any] = {}
    for section, key, label, start in BASIS:
        spec = field_of(section, key)
        properties[key] = number_or_choice(spec, label, outdated, start)
        if optional(section, key):
            properties[given(key)] = bpy.props.BoolProperty(name="Give it", description=lesson(spec), update=outdated)
    return properties


def _own() -> dict[str, Any]:
    properties: dict[str, Any] = {
        "heat": bpy.props.EnumProperty(
            name="Floor heating", items=HEAT, description="Whether this room gets floor heating", update=outdated
        ),
        "leave_out": bpy.props.StringProperty(
            name="Areas left out", description="Corners of areas without pipes, in the model's plan", update=outdated
        ),
        "also": bpy.props.StringProperty(
            name="Further answers",
            description="Answers that the panel has no field for, as lines of a settings file: taken from the model",
            update=outdated,
        ),
    }
    for key, label, start in OWN:
        spec = override_field(key)
        properties[key] = number_or_choice(spec, label, outdated, start)
        properties[given(key)] = bpy.props.BoolProperty(name=label, description=lesson(spec), update=outdated)
    return properties


Basis = _group("WarmloomBasis", "Basis of design: the settings that matter most.", _basis())

Fact = _group("WarmloomFact", "One thing that was read, or asked for.", {"label": _text(), "guids": _text()})

RoomRow = _group(
    "WarmloomRoom",
    "A room: what was read, what was designed, and the designer's own answers for it.",
    {
        "guid": _text(), "label": _text(), "storey": _text(), "kind": _text(), "status": _text(), "reason": _text(),
        "area_m2": _number(), "need_w": _number(), "gives_w": _number(), "laid_circuits": _text(),
        "laid_pitch_m": _number(), "laid_finish_r": _number(), "heated": bpy.props.BoolProperty(),
        **_own(),
    },
)  # fmt: skip

ManifoldRow = _group(
    "WarmloomManifold",
    "A manifold. Figures in m³/s, Pa, °C, m; `at` is its place in the model's plan, `x y` in words: far from the\n"
    "model's origin single precision would miss it by half a metre.",
    {
        "label": _text(), "storey": _text(), "room": _text(), "circuits": bpy.props.IntProperty(),
        "flow_c": _number(), "return_c": _number(), "volume_flow": _number(), "pump_pa": _number(),
        "pipe_m": _number(), "guid": _text(), "place": _text(), "at": _text(),
        "fixed": bpy.props.BoolProperty(
            name="Stays here",
            description="The next design puts this manifold on the free wall nearest to where it now stands. "
            "Dragging a manifold in the scene sets this for all manifolds of its storey",
            update=outdated,
        ),
    },
)  # fmt: skip

CircuitRow = _group(
    "WarmloomCircuit",
    "A circuit. Figures in m, m³/s, Pa, W. `drawn` is its way as a hand has changed it, as design.json would have it.",
    {
        "label": _text(), "rooms": _text(), "length_m": _number(), "volume_flow": _number(), "setting": _text(),
        "drop_pa": _number(), "output_w": _number(), "pitch_m": _number(), "drawn": _text(),
        "fixed": bpy.props.BoolProperty(
            name="Stays as it lies",
            description="The next design leaves this circuit as it lies, with its number, and lays the rest round it. "
            "Where it breaks a rule then, a finding says which, and its floor is laid anew",
            update=outdated,
        ),
    },
)  # fmt: skip

FindingRow = _group(
    "WarmloomFinding",
    "A finding, with the GlobalIds of the elements and the numbers of the circuits that it names.",
    {
        "severity": bpy.props.EnumProperty(items=SEVERITIES),
        "code": _text(), "message": _text(), "guids": _text(), "circuits": _text(),
    },
)  # fmt: skip


def _rows(kind: type) -> Any:
    return bpy.props.CollectionProperty(type=kind)


def _active() -> Any:
    return bpy.props.IntProperty(options={"SKIP_SAVE"})


SceneRecord = _group(
    "WarmloomRecord",
    "All that a scene keeps of its building and its design.",
    {
        "model_path": _text("Model"), "shown_as": _text(), "reading_id": _text(), "design_id": _text(),
        "headline": _text(),
        "settings_path": _text("Settings file"), "settings_text": _text(),
        "carried": bpy.props.BoolProperty(), "carried_places": _text(),
        "outdated": bpy.props.BoolProperty(), "opened": bpy.props.BoolProperty(),
        "basis": bpy.props.PointerProperty(type=Basis),
        "facts": _rows(Fact), "questions": _rows(Fact), "question": _active(),
        "rooms": _rows(RoomRow), "room": _active(),
        "manifolds": _rows(ManifoldRow), "manifold": _active(),
        "circuits": _rows(CircuitRow), "circuit": _active(),
        "findings": _rows(FindingRow), "finding": _active(),
        "follow": bpy.props.BoolProperty(
            name="Design again after a manifold is dragged", default=False,
            description="When a manifold was dragged in the scene, lay the pipes again from its new place",
        ),
        "folder": bpy.props.StringProperty(
            name="Folder", subtype="DIR_PATH",
            description="Folder for heating.ifc, design.json, plans and lists; it is made if absent",
        ),
        "merge": bpy.props.BoolProperty(
            name="Coordinated model", description="Also write coordinated.ifc: the architect's model with the heating "
            "added to it; nothing of the architect's is changed",
        ),
        "issues": bpy.props.EnumProperty(
            name="Issues", description="Also write coordination.bcf: a topic for each finding",
            items=[("none", "None", "No file of issues"), ("2.1", "BCF 2.1", "BCF 2.1"), ("3.0", "BCF 3.0", "BCF 3.0")],
        ),
        "panel_parts": bpy.props.BoolProperty(
            name="Every panel", description="heating.ifc with every castellated panel and piece of the laying plans",
        ),
    },
)  # fmt: skip

GROUPS = (Basis, Fact, RoomRow, ManifoldRow, CircuitRow, FindingRow, SceneRecord)


def register() -> None:
    """Add the groups to the scene."""
    for group in GROUPS:
        bpy.utils.register_class(group)
    bpy.types.Scene.warmloom = bpy.props.PointerProperty(type=SceneRecord)


def unregister() -> None:
    """Take the groups away; what a .blend kept stays in its file."""
    del bpy.types.Scene.warmloom
    for group in reversed(GROUPS):
        bpy.utils.unregister_class(group)
