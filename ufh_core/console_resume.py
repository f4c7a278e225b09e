"""The command that goes on from a heating model which was edited elsewhere."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any

import typer

from ufh_core.basis.errors import UfhError
from ufh_core.console import messages, progress_shown
from ufh_core.console_design import design_model
from ufh_core.console_options import CIRCUITS, KEEP, AsJson, Bcf, Merge, Model, Quiet

Edited = Annotated[Path, typer.Argument(metavar="EDITED", help="its heating.ifc or coordinated.ifc, edited elsewhere")]
DesignDir = Annotated[Path, typer.Option("--design", metavar="DIR", help="folder of the design that was edited")]
OutDir = Annotated[Path | None, typer.Option("--out", metavar="DIR", help="folder for settings and the new design")]
Redesign = Annotated[bool, typer.Option("--redesign", help="also design MODEL into the folder of --out, from there on")]


def resume(
    model: Model,
    edited: Edited,
    design: DesignDir,
    out: OutDir = None,
    redesign: Redesign = False,
    merge: Merge = False,
    bcf: Bcf = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> int:
    """Read back what was EDITED elsewhere of a design of MODEL, and go on from there.

    A manifold that was moved is a given place. A circuit whose way was changed stays as it was drawn where it keeps
    the rules; where it does not, the line says which rule, and it is laid anew. The rest stays as it lies. Figures and
    properties are not read back: they follow from settings and layout.

    With --out: keep.toml and earlier-circuits.json, the settings that take all this over. With --redesign that is
    done at once, and the status is that of the design. Else it is 0 where all is taken over, 1 where something
    is not, 2 where the file could not be read back.

    Example: warmloom resume house.ifc edited.ifc --design heating --out heating-2 --redesign
    """
    if redesign and out is None:
        raise UfhError("--redesign needs --out, the folder for the new design")
    if (merge or bcf) and not redesign:
        raise UfhError("--merge and --bcf need --redesign, which writes the models and topics")
    found = _returned(model, edited, design, out, quiet)
    from ufh_core.returned.words import returned_json, returned_lines

    lines = "\n".join(returned_lines(found))
    typer.echo(json.dumps(returned_json(found), ensure_ascii=False, indent=1) if as_json else lines)
    if redesign and out is not None:
        from ufh_core.settings.reading import read_settings

        extras = {"merge": merge, "bcf_version": str(bcf or "")}
        return design_model(model, out, read_settings(out / KEEP), (), quiet, extras=extras, told=found.findings)
    return 0 if found.all_taken else 1


def _returned(model: Path, edited: Path, design: Path, out: Path | None, quiet: bool) -> Any:
    """Read the model, the design and what was edited, and write the settings that go on from it."""
    from ufh_core.basis.whole_file import write_whole
    from ufh_core.building.read import read_building
    from ufh_core.exchange.edited_heating import read_edited
    from ufh_core.output_folder import whole_folder
    from ufh_core.returned import read_back
    from ufh_core.returned.carrying_on import circuits_now, keep_text
    from ufh_core.revision import read_earlier_design
    from ufh_core.settings.types import Settings

    with progress_shown(quiet) as report:
        report(f"reading {model.name}", 0.0)
        earlier = read_earlier_design(design, read_building(model, Settings()))
        building = read_building(model, earlier.settings)
        report(f"reading {edited.name}", 0.5)
        found = read_back(building, earlier, read_edited(edited, building))
        if out is not None:
            with whole_folder(out) as folder:
                write_whole(folder / CIRCUITS, circuits_now(found))
                write_whole(folder / KEEP, keep_text(found, str(out / CIRCUITS)))
    if out is not None and not quiet:
        messages().print(f"written into {out}", markup=False)
    return found
