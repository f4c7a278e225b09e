"""The files of one design, by their names, into one folder."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from ufh_core.basis.progress import Progress, silent
from ufh_core.basis.whole_file import write_whole
from ufh_core.design_result import Design
from ufh_core.documents.commissioning_page import FILE as PAGE
from ufh_core.documents.commissioning_page import commissioning_page
from ufh_core.documents.coordination_bcf import write_coordination
from ufh_core.documents.drawing_files import write_sheet
from ufh_core.documents.floor_section import floor_sections
from ufh_core.documents.heat_demand_page import write_heat_demand_page
from ufh_core.documents.joint_drawing import drawn_joints
from ufh_core.documents.manifold_front import drawn_front, front_stems
from ufh_core.documents.panel_drawing import drawn_panels
from ufh_core.documents.plan_drawing import drawn_plan
from ufh_core.documents.plan_dxf import write_plan_dxf
from ufh_core.documents.plan_svg import (
    floor_file_names,
    joint_stems,
    panel_file_names,
    plan_file_names,
    surface_stems,
)
from ufh_core.documents.schedules import write_schedules
from ufh_core.documents.schematic import FILE as SCHEMATIC
from ufh_core.documents.schematic import drawn_schematic
from ufh_core.documents.surface_picture import write_surface_picture
from ufh_core.documents.temperature_drawing import drawn_temperatures
from ufh_core.documents.water_charts import write_water_charts
from ufh_core.exchange.coordinated_model import write_coordinated_model
from ufh_core.exchange.design_json import write_json
from ufh_core.exchange.heating_model import write_heating_model
from ufh_core.exchange.surface_data import write_surface_data
from ufh_core.site_pack.pack import pack_of, source_of
from ufh_core.site_pack.pack_page import FILE as PACK_PAGE
from ufh_core.site_pack.pack_page import write_pack_page
from ufh_core.site_pack.pack_pdf import FILE as PACK_PDF
from ufh_core.site_pack.pack_pdf import write_pack_pdf
from ufh_core.words import speaking
from ufh_core.words.speech import ENGLISH


@dataclass(frozen=True, slots=True, kw_only=True)
class Extras:
    """What is written only when asked for.

    `panel_parts`: heating.ifc with every panel and piece of the laying plans; `merge`: coordinated.ifc;
    `bcf_version`: coordination.bcf of that version, or none; `earlier_bcf`: the one of an earlier run, whose topics
    it carries on. `records_in`: the folder whose records from site are shown in what goes to site, none without.
    `viewer`: heating.glb, for viewers that know no IFC. `others`: other trades' models, against which the design is
    checked before it is written. `language`: of drawings, charts and pictures, of the site pack and commissioning.html.
    """

    panel_parts: bool = False
    merge: bool = False
    bcf_version: str = ""
    earlier_bcf: Path | None = None
    records_in: Path | None = None
    others: tuple[Path, ...] = ()
    viewer: bool = False
    language: str = ENGLISH


NO_EXTRAS = Extras()


def write_design(
    design: Design, architect: Path, folder: Path, progress: Progress = silent, extras: Extras = NO_EXTRAS
) -> None:
    """Write all files of a design: models, results, heat demand, charts, and plans and pictures of each storey.

    Raises: OSError or UfhError where a file cannot be written.
    """
    progress("writing the heating model", 0.0)
    write_heating_model(design, architect, folder / "heating.ifc", panel_parts=extras.panel_parts)
    if extras.merge:
        progress("adding the heating to the architect's model", 0.3)
        write_coordinated_model(design, architect, folder / "coordinated.ifc")
    if extras.bcf_version:
        write_coordination(design, folder / "coordination.bcf", extras.bcf_version, extras.earlier_bcf)
    if extras.viewer:
        from ufh_core.exchange.viewer_model import write_viewer_model  # its library is an extra

        write_viewer_model(design, design.building.project_guid, folder / "heating.glb")
    progress("writing the results", 0.5)
    write_json(design, folder / "design.json")
    write_heat_demand_page(design, folder / "heat-demand.html")
    write_schedules(design, folder)
    with speaking(extras.language):
        _draw(design, folder, progress)
        progress("writing the site pack", 0.9)
        _write_for_site(design, folder, extras.records_in or folder)


def _draw(design: Design, folder: Path, progress: Progress) -> None:
    """Charts, fronts and schematic, and the sheets and pictures of each storey."""
    write_water_charts(design, folder)
    _write_manifolds(design, folder)
    names, panels, joints = plan_file_names(design), panel_file_names(design), joint_stems(design)
    surfaces, floors = surface_stems(design), floor_file_names(design)
    for k, storey in enumerate(design.storeys):
        progress("drawing the plans", 0.55 + 0.35 * k / len(design.storeys))
        plan = folder / names[storey.storey]
        write_sheet(drawn_plan(design, storey), plan.with_suffix(""), (".svg", ".pdf"))
        write_plan_dxf(design, storey, plan.with_suffix(".dxf"))
        if storey.storey in floors:
            write_sheet(floor_sections(design, storey), (folder / floors[storey.storey]).with_suffix(""))
        if storey.storey in panels:
            write_sheet(drawn_panels(design, storey), (folder / panels[storey.storey]).with_suffix(""))
        if storey.storey in joints:
            write_sheet(drawn_joints(design, storey), folder / joints[storey.storey])
        if storey.storey in surfaces:
            stem = surfaces[storey.storey]
            write_sheet(drawn_temperatures(design, storey), folder / stem)
            write_surface_picture(design, storey, folder / f"{stem}.png")
            write_surface_data(design, storey, folder / f"{stem}.npz")


def _write_manifolds(design: Design, folder: Path) -> None:
    """The front of every manifold, and the schematic of the whole heating where there is any."""
    stems = front_stems(design)
    for storey in design.storeys:
        for manifold in storey.manifolds:
            write_sheet(drawn_front(design, storey, manifold), folder / stems[manifold.manifold.name])
    if stems:
        write_sheet(drawn_schematic(design), folder / SCHEMATIC)


def _write_for_site(design: Design, folder: Path, records_in: Path) -> None:
    """What goes to site, from design.json and the drawings as they were just written."""
    source = source_of(design, folder, records_in)
    pack = pack_of(source)
    write_whole(folder / PAGE, commissioning_page(source.site, source.state, records_in))
    write_pack_pdf(pack, folder, folder / PACK_PDF)
    write_pack_page(pack, source, folder / PACK_PAGE)
