"""The floor over the load-bearing base: layers, heights, section and order list."""

from ufh_core.floor.build_up import design_build_up, floor_section, screed_area, screed_volume, with_pipe
from ufh_core.floor.coils import coil_plan
from ufh_core.floor.levels import available_height, pipe_levels
from ufh_core.floor.remarks import floor_findings
from ufh_core.floor.take_off import deliveries, take_off
from ufh_core.floor.types import BuildUp, FloorSection, Layer, TakeOffLine

__all__ = [
    "BuildUp",
    "FloorSection",
    "Layer",
    "TakeOffLine",
    "available_height",
    "coil_plan",
    "deliveries",
    "design_build_up",
    "floor_findings",
    "floor_section",
    "pipe_levels",
    "screed_area",
    "screed_volume",
    "take_off",
    "with_pipe",
]
