"""Laying plan of castellated panels: which panel lies where, what is cut from what, and how many to order."""

from ufh_core.panels.remarks import panel_findings
from ufh_core.panels.storey_panels import panel_size, storey_panels
from ufh_core.panels.types import PanelPlan, PanelSize, Piece

__all__ = ["PanelPlan", "PanelSize", "Piece", "panel_findings", "panel_size", "storey_panels"]
