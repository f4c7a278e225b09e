"""Arguments and options of the commands: their types, names and help, and the checks of what was given."""

from __future__ import annotations

import difflib
import importlib.util
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from ufh_core.basis.errors import UfhError

DETAILS = ("panels",)
KEEP, CIRCUITS = "keep.toml", "earlier-circuits.json"
"""Files from which a design goes on: settings, and the circuits that stay."""

Model = Annotated[Path, typer.Argument(metavar="MODEL", help="the architect's model, .ifc or .ifczip")]
Out = Annotated[Path, typer.Option("--out", metavar="DIR", help="folder for the results, made if absent")]
SettingsFile = Annotated[
    Path | None, typer.Option("--settings", metavar="FILE", help="settings file; `warmloom settings` writes one")
]
Storeys = Annotated[
    list[str] | None, typer.Option("--storey", metavar="NAME", help="only this storey; may be given several times")
]
Jobs = Annotated[
    int,
    typer.Option(
        "--jobs", metavar="N", min=1, help="processes to use at most; this version always uses one, whatever N is"
    ),
]
Explain = Annotated[
    bool, typer.Option("--explain", help="say for each room what was tried, why the best was taken, what limits it")
]
Detail = Annotated[
    list[str] | None,
    typer.Option("--detail", metavar="WHAT", help='more in heating.ifc: "panels" writes every panel and piece of it'),
]
Merge = Annotated[
    bool,
    typer.Option("--merge", help="also write coordinated.ifc: the architect's model with the heating added to it"),
]
Others = Annotated[
    list[Path] | None,
    typer.Option(
        "--with",
        metavar="OTHER.ifc",
        exists=True,
        dir_okay=False,
        help="another trade's model to check against; may be given several times",
    ),
]
Glb = Annotated[bool, typer.Option("--glb", help="also write heating.glb (glTF 2.0), for viewers that know no IFC")]
Language = Annotated[
    str,
    typer.Option(
        "--language",
        metavar="en|de",
        help="language of what goes to site: drawings, site pack and commissioning.html",
    ),
]
Open = Annotated[bool, typer.Option("--open", help="then show the result")]
AsJson = Annotated[bool, typer.Option("--json", help="for programs: the same as JSON")]
Quiet = Annotated[bool, typer.Option("--quiet", help="no progress and no messages, errors excepted")]


class BcfVersion(StrEnum):
    """Versions of the exchange of issues that are written."""

    V2_1 = "2.1"
    V3_0 = "3.0"


Bcf = Annotated[
    BcfVersion | None,
    typer.Option(
        "--bcf",
        help="also write topics of this version, one for each finding (coordination.bcf)",
    ),
]


def details_of(wanted: list[str]) -> frozenset[str]:
    """What is to be written in more detail. Raises an error where nobody knows how."""
    for what in wanted:
        if what not in DETAILS:
            raise UfhError(f"--detail {what!r}: unknown; there is: " + ", ".join(map(repr, DETAILS)))
    return frozenset(wanted)


def check_glb(wanted: bool) -> None:
    """Raise an error where the library that writes it is not installed."""
    if wanted and importlib.util.find_spec("trimesh") is None:
        raise UfhError("--glb needs the library trimesh: pip install '.[viewer]'")


def check_storeys(wanted: tuple[str, ...], there: list[str]) -> None:
    """Raise an error that names the nearest storey where one is asked for that is not there."""
    for name in wanted:
        if name not in there:
            near = difflib.get_close_matches(name, there, n=1)
            hint = f"did you mean {near[0]!r}?" if near else "there are: " + ", ".join(map(repr, there))
            raise UfhError(f"--storey {name!r}: no such storey in the model; {hint}")


def shown_to_user(path: Path, wanted: bool) -> None:
    """Open a file with what the machine opens such files with, where that is asked for; without it, nothing breaks."""
    if wanted:
        typer.launch(str(path))
