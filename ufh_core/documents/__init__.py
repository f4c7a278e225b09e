"""What people read: the plan of a storey as one neutral drawing, and the summary of a design."""

from ufh_core.documents.coordination_bcf import write_coordination
from ufh_core.documents.floor_section import write_floor_sections
from ufh_core.documents.heat_demand_page import write_heat_demand_page
from ufh_core.documents.plan_drawing import plan_drawing
from ufh_core.documents.plan_pdf import write_plan
from ufh_core.documents.plan_svg import (
    floor_file_names,
    panel_file_names,
    plan_file_names,
    surface_stems,
    write_panels_svg,
    write_plan_svg,
)
from ufh_core.documents.setting_out_page import write_setting_out_page
from ufh_core.documents.summary import Summary, summary
from ufh_core.documents.surface_picture import write_surface_picture
from ufh_core.documents.water_charts import write_water_charts

__all__ = [
    "Summary",
    "floor_file_names",
    "panel_file_names",
    "plan_drawing",
    "plan_file_names",
    "summary",
    "surface_stems",
    "write_coordination",
    "write_floor_sections",
    "write_heat_demand_page",
    "write_panels_svg",
    "write_plan",
    "write_plan_svg",
    "write_setting_out_page",
    "write_surface_picture",
    "write_water_charts",
]
