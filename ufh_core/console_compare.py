"""The command that compares two states of a model and says what of a design the change touches."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any

import typer

from ufh_core.basis.errors import UfhError
from ufh_core.console import messages, progress_shown
from ufh_core.console_design import design_model
from ufh_core.console_options import CIRCUITS, KEEP, AsJson, Bcf, Quiet

TOPICS = "revision.bcf"

Old = Annotated[Path, typer.Argument(metavar="OLD", help="the architect's model as it was, .ifc or .ifczip")]
New = Annotated[Path, typer.Argument(metavar="NEW", help="the architect's model as it is now")]
DesignDir = Annotated[Path | None, typer.Option("--design", metavar="DIR", help="folder of the design of OLD")]
OutDir = Annotated[
    Path | None, typer.Option("--out", metavar="DIR", help="folder for plans of both states, topics and settings")
]
Redesign = Annotated[
    bool, typer.Option("--redesign", help="also design NEW into the folder of --out, with all that is not touched")
]


def compare(
    old: Old,
    new: New,
    design: DesignDir = None,
    out: OutDir = None,
    redesign: Redesign = False,
    bcf: Bcf = None,
    as_json: AsJson = False,
    quiet: Quiet = False,
) -> int:
    """Say what changed from OLD to NEW, and which circuits, manifolds and panels of a design it touches.

    With --out: a plan of both states for every storey that changed, and with --design also keep.toml, the
    settings that keep every circuit that is not touched: `warmloom design NEW --settings DIR/keep.toml`.
    With --redesign that is done at once, and the status is that of the design. Else it is 0 where
    nothing is touched, 1 where something is, 2 where the two could not be compared.

    Example: warmloom compare house-may.ifc house-june.ifc --design heating-may --out heating-june --redesign
    """
    _check(design, out, redesign, bcf)
    found = _compared(old, new, design, out, str(bcf or ""), quiet)
    if as_json:
        from ufh_core.revision.words import revision_json

        typer.echo(json.dumps(revision_json(found), ensure_ascii=False, indent=1))
    else:
        from ufh_core.revision.words import revision_lines

        typer.echo("\n".join(revision_lines(found)))
    if redesign and out is not None:
        from ufh_core.settings.reading import read_settings

        return design_model(new, out, read_settings(out / KEEP), (), quiet)
    return 1 if found.anything_touched else 0


def _check(design: Path | None, out: Path | None, redesign: bool, bcf: object) -> None:
    """Raise an error where an option needs another one."""
    if redesign and (design is None or out is None):
        raise UfhError("--redesign needs --design, the folder of the design of OLD, and --out, where the new one goes")
    if bcf and out is None:
        raise UfhError("--bcf needs --out, the folder for its file")


def _compared(old: Path, new: Path, design: Path | None, out: Path | None, bcf: str, quiet: bool) -> Any:
    """Read both models, compare, and write what was asked for."""
    from ufh_core.building.read import read_building
    from ufh_core.output_folder import whole_folder
    from ufh_core.revision import compare_models, read_earlier_design
    from ufh_core.settings.types import Settings

    with progress_shown(quiet) as report:
        report(f"reading {old.name}", 0.0)
        before = read_building(old, Settings())
        earlier = None if design is None else read_earlier_design(design, before)
        report(f"reading {new.name}", 0.3)
        after = read_building(new, Settings())
        report("comparing", 0.6)
        found = compare_models(before, after, earlier)
        if out is not None:
            report("drawing the plans", 0.8)
            with whole_folder(out) as folder:
                _write(found, earlier, folder, out, bcf)
    if out is not None and not quiet:
        messages().print(f"written into {out}", markup=False)
    return found


def _write(found: Any, earlier: Any, folder: Path, out: Path, bcf: str) -> None:
    """Plans, topics, and the settings that keep what stays."""
    from ufh_core.basis.whole_file import write_whole
    from ufh_core.documents.revision_issues import write_revision_issues
    from ufh_core.documents.revision_plan import write_revision_plans
    from ufh_core.revision.carrying import carried_circuits, keep_text

    write_revision_plans(found, folder, "" if earlier is None else earlier.settings_digest)
    if bcf:
        write_revision_issues(found, folder / TOPICS, bcf, out / TOPICS)
    if earlier is not None:
        write_whole(folder / CIRCUITS, carried_circuits(found, earlier))
        write_whole(folder / KEEP, keep_text(found, earlier, str(out / CIRCUITS)))
