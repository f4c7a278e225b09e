"""Looks of what is shown: one material each, told apart by lightness as well as by hue.

Flow is light, return is dark, so they can be told apart in grey; orange and blue stay apart for eyes that see
red and green alike.
"""

from __future__ import annotations

from typing import Any

import bpy

from . import names

Colour = tuple[float, float, float, float]

COLOURS: dict[str, Colour] = {
    "floor": (0.74, 0.74, 0.73, 1.0),
    "floor over pipes": (0.80, 0.80, 0.78, 0.25),
    "wall": (0.45, 0.45, 0.46, 1.0),
    "door": (0.62, 0.50, 0.36, 1.0),
    "window": (0.62, 0.76, 0.82, 0.6),
    "unit": (0.66, 0.64, 0.60, 1.0),
    "stair": (0.58, 0.58, 0.60, 1.0),
    "ink": (0.12, 0.12, 0.12, 1.0),
    "paper": (0.97, 0.97, 0.96, 1.0),
    "flow pipe": (0.91, 0.38, 0.02, 1.0),
    "return pipe": (0.03, 0.22, 0.45, 1.0),
    "fitting": (0.70, 0.68, 0.62, 1.0),
    "cabinet": (0.88, 0.88, 0.86, 0.12),
    "field": (0.96, 0.94, 0.89, 1.0),
    "other field": (0.89, 0.92, 0.91, 1.0),
    "edge zone": (0.90, 0.85, 0.76, 1.0),
    "panel": (0.72, 0.73, 0.74, 1.0),
    "panel piece": (0.84, 0.85, 0.86, 1.0),
    "panel pinned": (0.60, 0.60, 0.62, 1.0),
    "panel edge": (0.36, 0.37, 0.38, 1.0),
    "error": (0.75, 0.05, 0.10, 1.0),
    "warning": (0.95, 0.65, 0.00, 1.0),
    "note": (0.36, 0.36, 0.40, 1.0),
}
"""Colours on the screen (sRGB) and opacity."""


def look(name: str) -> bpy.types.Material:
    """The material of a name in `COLOURS`, made once in a file; the user may change it."""
    return material(name, COLOURS[name])


def dressed(thing: bpy.types.Object, *looks: str) -> bpy.types.Object:
    """An object whose material slots are those looks; views that colour by object see the first."""
    for name in looks:
        thing.data.materials.append(look(name))
    thing.color = linear(COLOURS[looks[0]])
    return thing


def linear(colour: Colour) -> Colour:
    """A colour of the screen in the host's linear light. Source: IEC 61966-2-1 (sRGB)."""
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour[:3])
    return red, green, blue, colour[3]


def material(name: str, colour: Colour) -> bpy.types.Material:
    """The material of a name, made once in a file, with the same colour in solid views and in rendered ones."""
    own = (each for each in bpy.data.materials if each.library is None)
    found = next((each for each in own if each.get(names.KIND) == f"look {name}"), None)
    if found is not None:
        return found
    made = bpy.data.materials.new(f"Warmloom {name}")
    made[names.KIND] = f"look {name}"
    made.diffuse_color = linear(colour)
    made.roughness = 0.9
    _colour_nodes(made, linear(colour))
    return made


def _colour_nodes(material: Any, colour: Colour) -> None:
    """The same colour and opacity for the host's renderers, where the material has their nodes."""
    if not material.node_tree:
        material.use_nodes = True
    node = next((n for n in material.node_tree.nodes if n.type == "BSDF_PRINCIPLED"), None)
    if node is not None:
        node.inputs["Base Color"].default_value = (*colour[:3], 1.0)
        node.inputs["Alpha"].default_value = colour[3]
        node.inputs["Roughness"].default_value = 0.9
