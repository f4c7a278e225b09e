"""The command that says what changed in the order between two designs."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer

from ufh_core.order_differences import order_differences, read_results


def differences(
    old: Annotated[Path, typer.Argument(metavar="OLD_DIR", help="folder of the earlier design")],
    new: Annotated[Path, typer.Argument(metavar="NEW_DIR", help="folder of the later design")],
    as_json: Annotated[bool, typer.Option("--json", help="for programs: the same as JSON")] = False,
) -> int:
    """Say what changed in the order from the design in OLD_DIR to that in NEW_DIR: sums, lines, coils, rooms.

    Reads the two design.json; nothing is designed or written.

    Example: warmloom differences heating-may heating-june
    """
    found = order_differences(read_results(old), read_results(new))
    typer.echo(json.dumps(found.to_json(), ensure_ascii=False, indent=1) if as_json else "\n".join(found.text()))
    return 0
