"""The commands for site: record what was measured, list what is on file, say which valve to turn.

Rooms are imported inside each command, so that `--help` answers at once.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from ufh_core.console import messages, progress_shown
from ufh_core.console_options import AsJson, Language, Open, Quiet, shown_to_user

SOMETHING_OPEN = 1
DAMAGED = 2

_Folder = Annotated[Path, typer.Argument(metavar="DIR", help="the folder of the design, with design.json")]


def add_site_commands(app: typer.Typer) -> None:
    """Add the commands to the others."""
    app.command(
        "record",
        add_help_option=False,
        context_settings={"allow_extra_args": True, "ignore_unknown_options": True},
    )(record)
    app.command()(records)
    app.command()(balance)
    app.command()(handover)


def record(context: typer.Context) -> int:
    """Record a test or a measurement on site: `warmloom record --help` lists the kinds."""
    from ufh_core.console_records import record_app

    status = record_app(context.args or ["--help"], prog_name="warmloom record", standalone_mode=False)
    return status if isinstance(status, int) else 0


def records(
    folder: _Folder,
    as_json: AsJson = False,
    page: Annotated[
        bool, typer.Option("--page", help="also write commissioning.html anew, with what is on file")
    ] = False,
    language: Language = "en",
) -> int:
    """Say where the job in DIR stands: what is on file, what passes, what is missing, by hold points in order.

    Exit status: 0 everything passes and is signed; 1 something fails, is missing or not signed; 2 the
    file of records cannot be read, or was changed.

    Example: warmloom records heating --page
    """
    from ufh_core.documents.commissioning_page import write_commissioning_page
    from ufh_core.documents.site_list import site_json, site_lines
    from ufh_core.records.hold_points import site_state
    from ufh_core.records.ledger import FILE, read_ledger
    from ufh_core.records.site_design import read_site_design
    from ufh_core.words import speaking

    site = read_site_design(folder)
    state = site_state(site, read_ledger(folder))
    if page:
        with speaking(language):
            write_commissioning_page(site, state, folder)
    if as_json:
        typer.echo(json.dumps(site_json(site, state, folder), ensure_ascii=False, indent=1))
    else:
        typer.echo("\n".join(site_lines(site, state, folder)))
    for fault in state.chain.faults:
        messages().print(f"warmloom: {folder / FILE} line {fault.line}: {fault.what}", markup=False)
    if state.chain.torn:
        text = f"the last {len(state.chain.torn)} bytes are a torn line; the next record puts them aside"
        messages().print(f"warmloom: {folder / FILE}: {text}", markup=False)
    if state.chain.faults:
        return DAMAGED
    return 0 if state.complete else SOMETHING_OPEN


def balance(
    folder: _Folder,
    manifold: Annotated[str | None, typer.Option("--manifold", metavar="NAME", help="only this manifold")] = None,
    source: Annotated[
        str, typer.Option("--from", metavar="flows|temperatures", help="which readings on file to go by")
    ] = "flows",
    as_json: AsJson = False,
) -> int:
    """Say which valve to turn, and how far, by the flows or temperatures on file.

    Record a reading of every circuit (`warmloom record flow`, or `temperatures`), turn what this tells,
    record the next round with --round 2 and where the valves stand (--turns), and ask again.

    Exit status: 0 every circuit is within 5 %; 1 something is to be turned, cannot be reached or was not
    measured; 2 nothing could be said.

    Example: warmloom balance heating --manifold M1
    """
    from ufh_core.documents.balance_list import balance_json, balance_lines
    from ufh_core.records.balance_sheet import balance_sheets
    from ufh_core.records.ledger import read_ledger
    from ufh_core.records.site_design import read_site_design

    site = read_site_design(folder)
    sheets = balance_sheets(site, read_ledger(folder), source, manifold)
    if as_json:
        typer.echo(json.dumps([balance_json(sheet) for sheet in sheets], ensure_ascii=False, indent=1))
    else:
        typer.echo("\n".join(line for sheet in sheets for line in balance_lines(sheet)))
    return 0 if all(sheet.advice is not None and sheet.advice.done for sheet in sheets) else SOMETHING_OPEN


def handover(folder: _Folder, language: Language = "en", open_it: Open = False, quiet: Quiet = False) -> int:
    """Write handover.pdf and handover.ifc into DIR: as laid, all records with verdicts, settings, cautions.

    What does not pass or is not signed is listed on its first page, which then says NOT COMPLETE.

    Exit status: 0 complete; 1 written, but something fails, is missing or not signed; 2 not written.

    Example: warmloom handover heating
    """
    from ufh_core.site_pack.handover_files import IFC, PDF, write_handover
    from ufh_core.words import speaking

    with speaking(language), progress_shown(quiet) as report:
        found = write_handover(folder, report)
    typer.echo(f"written to {folder}: {PDF}, {IFC}")
    typer.echo("\n".join(("NOT COMPLETE:", *(f"  {text}" for text in found.lacking))) if found.lacking else "complete")
    shown_to_user(folder / PDF, open_it)
    return SOMETHING_OPEN if found.lacking else 0
