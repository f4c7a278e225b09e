"""What people read: the plan of a storey as one neutral drawing, and the summary of a design."""

from ufh_core.documents.heat_demand_page import write_heat_demand_page
from ufh_core.documents.plan_drawing import plan_drawing
from ufh_core.documents.plan_svg import plan_file_names, write_plan_svg
from ufh_core.documents.summary import Summary, summary

__all__ = ["Summary", "plan_drawing", "plan_file_names", "summary", "write_heat_demand_page", "write_plan_svg"]
