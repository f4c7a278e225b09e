"""The command line: reads arguments, calls the rooms, says what came of it. It computes nothing.

Rooms are imported inside each command, so that `--help` answers at once.
"""

from __future__ import annotations

import json
import os
import signal
import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from ufh_core import __version__
from ufh_core.console import progress_shown, say_mistake
from ufh_core.console_check import check
from ufh_core.console_compare import compare
from ufh_core.console_design import design_model
from ufh_core.console_differences import differences
from ufh_core.console_options import (
    Bcf,
    Detail,
    Explain,
    Glb,
    Jobs,
    Language,
    Merge,
    Model,
    Open,
    Others,
    Out,
    Quiet,
    SettingsFile,
    Storeys,
    check_glb,
    check_storeys,
    details_of,
    shown_to_user,
)
from ufh_core.console_resume import resume
from ufh_core.console_site import add_site_commands

MISTAKE = 2
"""Exit status where nothing was designed."""
SHOWN = "site-pack.html"
"""What --open shows of a design."""
STOPPED = 130
"""What the library for arguments returns where the keyboard stopped a command."""

_HELP = """Warm-water floor heating, designed from an architect's IFC model.

Try it on a bundled model, then on your own:

\b
  warmloom demo --out demo
  warmloom inspect house.ifc
  warmloom design house.ifc --out heating
  warmloom records heating

Exit status: 0 designed and every room carried; 1 designed, but something is short, left out
or clashing (each is listed); 2 nothing designed.
"""

app = typer.Typer(add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False, help=_HELP)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"warmloom {__version__}")
        raise typer.Exit


@app.callback()
def _warmloom(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="say the version")
    ] = False,
) -> None:
    """Hold the options that need no command."""


@app.command()
def design(
    model: Model,
    out: Out,
    settings: SettingsFile = None,
    storey: Storeys = None,
    merge: Merge = False,
    bcf: Bcf = None,
    jobs: Jobs = 1,
    detail: Detail = None,
    others: Others = None,
    glb: Glb = False,
    explain: Explain = False,
    language: Language = "en",
    open_it: Open = False,
    quiet: Quiet = False,
) -> int:
    """Design the floor heating of MODEL: heating model, results and plans into DIR.

    Writes heating.ifc (the heating model, to lay over the architect's), design.json (every result)
    and for each storey a plan-STOREY.svg and the laying plan of its panels, panels-STOREY.svg;
    README.md lists the other drawings.
    DIR gets all of them or none.

    Example: warmloom design house.ifc --out heating --settings mine.toml
    """
    check_glb(glb)
    extras = {
        "panel_parts": "panels" in details_of(detail or []),
        "merge": merge,
        "bcf_version": str(bcf or ""),
        "others": tuple(others or ()),
        "viewer": glb,
        "language": language,
    }
    status = design_model(model, out, _settings(settings), tuple(storey or ()), quiet, explain, extras)
    shown_to_user(out / SHOWN, open_it)
    return status


@app.command()
def demo(
    out: Out, explain: Explain = False, language: Language = "en", open_it: Open = False, quiet: Quiet = False
) -> int:
    """Design a bundled sample model, a bungalow, into DIR.

    Example: warmloom demo --out demo
    """
    from ufh_core.samples import sample_model

    status = design_model(sample_model("bungalow"), out, _settings(None), (), quiet, explain, {"language": language})
    shown_to_user(out / SHOWN, open_it)
    return status


@app.command()
def inspect(
    model: Model,
    settings: SettingsFile = None,
    as_json: Annotated[bool, typer.Option("--json", help="for programs: the same as JSON")] = False,
    ids: Annotated[bool, typer.Option("--ids", help="check by the bundled IDS specification for architects")] = False,
) -> int:
    """Say what MODEL holds, what has to be assumed, and what to ask the architect for.

    Example: warmloom inspect house.ifc
    """
    from ufh_core.building.read import read_building
    from ufh_core.design import building_demand
    from ufh_core.documents.inspection import inspection_report
    from ufh_core.zones.selection import override_findings, select_rooms

    if ids:
        return _ids_report(model, as_json)
    chosen = _settings(settings)
    building = read_building(model, chosen)
    odd, demand = override_findings(building, chosen), building_demand(building, chosen)
    report = inspection_report(building, select_rooms(building, chosen), odd, demand)
    typer.echo(json.dumps(report.to_json(), ensure_ascii=False, indent=1) if as_json else "\n".join(report.lines()))
    return 0


def _ids_report(model: Path, as_json: bool) -> int:
    """Print what the architect's specification misses in `model`, element by element."""
    from ufh_core.basis.errors import UfhError
    from ufh_core.building.model_file import open_model

    try:
        from ufh_core.exchange.ids_check import gaps_json, ids_lines
    except ModuleNotFoundError as error:
        raise UfhError(
            f"--ids needs the library ifctester ({error.name} is not installed): pip install '.[ids]'"
        ) from None
    opened = open_model(model).model
    lines = [json.dumps(gaps_json(opened, "architect"), ensure_ascii=False, indent=1)] if as_json else None
    typer.echo("\n".join(lines or ids_lines(opened, "architect")))
    return 0


@app.command("flow-temperatures")
def flow_temperatures(
    model: Model, out: Out, settings: SettingsFile = None, storey: Storeys = None, quiet: Quiet = False
) -> int:
    """Say how cool the water of MODEL may be, by pitch and finish: a table and charts into DIR, no pipe is laid.

    Writes flow-temperatures.csv and a chart for each finish. For a heat pump every kelvin less counts.

    Example: warmloom flow-temperatures house.ifc --out water
    """
    from ufh_core.building.read import read_building
    from ufh_core.design import room_requests
    from ufh_core.documents.flow_temperatures import sweep_lines, write_flow_temperatures
    from ufh_core.output_folder import whole_folder
    from ufh_core.thermal_output.sweep import FINISHES_R, sweep

    chosen = _settings(settings)
    with progress_shown(quiet) as report, whole_folder(out) as folder:
        report(f"reading {model.name}", 0.0)
        building = read_building(model, chosen)
        names = tuple(storey or ())
        check_storeys(names, [s.name for s in building.storeys])
        report("heat demand", 0.4)
        requests = room_requests(building, chosen, names)
        report("flow temperatures", 0.7)
        points = sweep(requests, chosen, chosen.layout.pitches_m, FINISHES_R)
        write_flow_temperatures(points, {r.room: r.called for r in requests}, folder)
    typer.echo("\n".join(sweep_lines(points)))
    return 0


app.command("check")(check)
app.command("differences")(differences)
app.command("compare")(compare)
app.command("resume")(resume)


@app.command("settings")
def settings_command(
    out: Annotated[Path | None, typer.Option("--out", metavar="FILE", help="write here, not to the screen")] = None,
) -> int:
    """Write a settings file with every default, its unit, range and source, ready to be changed.

    Example: warmloom settings --out mine.toml
    """
    from ufh_core.settings.writing import settings_template

    if out is None:
        typer.echo(settings_template(), nl=False)
    else:
        _write_new(out, settings_template())
    return 0


add_site_commands(app)


def _write_new(path: Path, text: str) -> None:
    """Write a file that is not there yet: a changed settings file must not be lost."""
    from ufh_core.basis.errors import OutputError

    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        raise OutputError(f"{path}: is there already; name another file or move it away") from None
    except OSError as error:
        raise OutputError(f"{path}: cannot be written: {error.strerror or error}") from error


def _settings(path: Path | None) -> Any:
    """Read the settings, or take the defaults."""
    from ufh_core.settings.reading import read_settings
    from ufh_core.settings.types import Settings

    return Settings() if path is None else read_settings(path)


def main() -> None:
    """Run the command; every error ends as one line on standard error and status 2."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    sys.exit(_status())


def _status() -> int:
    """Run the command and return its exit status."""
    try:
        status = app(sys.argv[1:] or ["--help"], prog_name="warmloom", standalone_mode=False)
        sys.stdout.flush()
        if status == STOPPED:
            raise KeyboardInterrupt
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return MISTAKE
    except (Exception, KeyboardInterrupt) as error:
        if os.environ.get("WARMLOOM_TRACEBACK"):
            raise
        say_mistake(KeyboardInterrupt() if isinstance(error, typer.Abort) else error)
        return MISTAKE
    return status if isinstance(status, int) else 0


if __name__ == "__main__":
    main()
