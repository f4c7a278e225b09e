"""A level with branches: circuits that fill small rooms beside theirs, and cold pieces that they pass."""

from __future__ import annotations

from ufh_core.circuits.cold_pieces import with_cold_pieces
from ufh_core.circuits.edge_circuits import lay_with_edges
from ufh_core.circuits.field_layer import FieldLayer
from ufh_core.circuits.field_scene import field_scene
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.level_layout import for_level
from ufh_core.circuits.shared_circuits import lay_with_shared
from ufh_core.circuits.tail_warmed import with_tail_warmed
from ufh_core.circuits.types import LevelLayout


def lay_with_branches(asked: LevelBrief) -> LevelLayout:
    """Lay a level as `lay_with_edges` does, with branches where the settings allow them."""
    brief = for_level(asked)
    layer = FieldLayer(brief.fields)
    layer.thorough = True
    scene = field_scene(brief.level, brief.settings, layer)
    laid = lay_with_shared(brief, scene, lay_with_edges)
    if not brief.settings.circuits.fill_in_passing or laid.level.rooms_unknown:
        return with_tail_warmed(laid)
    return with_tail_warmed(with_cold_pieces(laid, brief, scene))
