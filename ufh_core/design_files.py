"""The files of one design, by their names, into one folder."""

from __future__ import annotations

from pathlib import Path

from ufh_core.basis.progress import Progress, silent
from ufh_core.design_result import Design
from ufh_core.documents import plan_file_names, write_heat_demand_page, write_plan_svg
from ufh_core.exchange.design_json import write_json
from ufh_core.exchange.heating_model import write_heating_model


def write_design(design: Design, architect: Path, folder: Path, progress: Progress = silent) -> None:
    """Write heating.ifc, design.json, the heat demand and a plan of each storey into `folder`.

    Raises: OSError or UfhError where a file cannot be written.
    """
    progress("writing the heating model", 0.0)
    write_heating_model(design, architect, folder / "heating.ifc")
    progress("writing the results", 0.5)
    write_json(design, folder / "design.json")
    write_heat_demand_page(design, folder / "heat-demand.html")
    names = plan_file_names(design)
    for k, storey in enumerate(design.storeys):
        progress("drawing the plans", 0.6 + 0.4 * k / len(design.storeys))
        write_plan_svg(design, storey, folder / names[storey.storey])
