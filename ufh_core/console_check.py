"""The command that checks clash and clearance.

Rooms are imported inside the command, so that `--help` answers at once.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any

import typer

from ufh_core.console import messages, progress_shown
from ufh_core.console_options import Bcf, Model, Others, Quiet, SettingsFile

HEATING, RESULTS, TOPICS = "heating.ifc", "design.json", "clashes.bcf"
SOMETHING_CLASHES = 1


OutDir = Annotated[Path | None, typer.Option("--out", metavar="DIR", help="folder for clashes.bcf, with --bcf")]


def check(
    model: Model,
    heating: Annotated[
        Path | None, typer.Argument(metavar="[HEATING]", help="a heating model, or the folder of a design")
    ] = None,
    design: Annotated[
        Path | None,
        typer.Option("--design", metavar="DIR", help="the same: the folder of a design, or its heating.ifc"),
    ] = None,
    others: Others = None,
    settings: SettingsFile = None,
    bcf: Bcf = None,
    out: OutDir = None,
    as_json: Annotated[bool, typer.Option("--json", help="for programs: the same as JSON")] = False,
    quiet: Quiet = False,
) -> int:
    """Check the heating for clash and clearance: against MODEL and against other trades' models.

    Manifold cabinets and the space in front of them, pipes and screed meet walls, columns, doors that
    swing, windows, stairs, units, drains, pipes, ducts and structure. With a design's folder (or a
    heating model that was edited elsewhere) that is checked; without, MODEL is designed first, and
    nothing is written. Settings are those of the design, unless others are given.

    With --bcf and --out: clashes.bcf, a topic for each finding; what others wrote in an earlier one stays, and
    topics whose finding is gone are closed.

    Exit status: 0 nothing clashes (notes do not count); 1 something does; 2 nothing was checked.

    Example: warmloom check house.ifc --design heating --with ventilation.ifc --with drainage.ifc
    """
    from ufh_core.documents.check_list import check_json, check_lines

    folder = _one_of(heating, design)
    _check_out(bcf, out)
    checked = _found(model, folder, settings, others or [], quiet)
    building, findings = checked.building, checked.findings
    if bcf is not None and out is not None:
        _write_topics(checked, out, str(bcf), quiet)
    lines = check_lines(findings)
    typer.echo(
        json.dumps(check_json(building, findings), ensure_ascii=False, indent=1) if as_json else "\n".join(lines)
    )
    return SOMETHING_CLASHES if any(f.severity != "note" for f in findings) else 0


def _check_out(bcf: object, out: Path | None) -> None:
    """Raise an error where one of --bcf and --out lacks the other."""
    from ufh_core.basis.errors import UfhError

    if (bcf is None) != (out is None):
        raise UfhError("--bcf and --out need each other: the version of the topics, and the folder for their file")


def _write_topics(checked: Any, out: Path, version: str, quiet: bool) -> None:
    """A topic for each finding, into the folder."""
    from ufh_core.documents.check_issues import write_check_issues
    from ufh_core.output_folder import whole_folder

    with whole_folder(out) as folder:
        write_check_issues(checked, folder / TOPICS, version, out / TOPICS)
    if not quiet:
        messages().print(f"written into {out}", markup=False)


def _one_of(heating: Path | None, design: Path | None) -> Path | None:
    """Where the heating is; one way of naming it is enough."""
    from ufh_core.basis.errors import UfhError

    if heating is not None and design is not None:
        raise UfhError(f"{heating} and --design {design}: name the heating once")
    return heating if heating is not None else design


def _found(model: Path, folder: Path | None, settings: Path | None, others: list[Path], quiet: bool) -> Any:
    """What was checked: the heating in `folder`, or a design made now."""
    from ufh_core.building.read import read_building
    from ufh_core.clash_check import checked_design, checked_heating
    from ufh_core.design import design_building

    file = _heating_file(folder) if folder is not None else None
    chosen = _settings(settings, file)
    with progress_shown(quiet) as report:
        report(f"reading {model.name}", 0.0)
        building = read_building(model, chosen)
        if file is not None:
            return checked_heating(building, model, file, chosen, others, report)
        done = design_building(building, chosen, lambda what, share: report(what, 0.1 + 0.7 * share))
        return checked_design(done, model, others, report)


def _heating_file(folder: Path) -> Path:
    """The heating model that a folder holds, or the file itself."""
    from ufh_core.basis.errors import ModelReadError

    file = folder / HEATING if folder.is_dir() else folder
    if not file.is_file():
        raise ModelReadError(f"{file}: there is no such file; name the folder of a design, or its {HEATING}")
    return file


def _settings(path: Path | None, heating: Path | None) -> Any:
    """The settings that are given, else those with which the heating was designed, else the defaults."""
    from ufh_core.clash_check import settings_of
    from ufh_core.settings.reading import read_settings
    from ufh_core.settings.types import Settings

    if path is not None:
        return read_settings(path)
    results = heating.parent / RESULTS if heating is not None else None
    return settings_of(results) if results is not None and results.is_file() else Settings()
