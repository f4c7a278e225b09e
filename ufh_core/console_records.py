"""`warmloom record KIND`: a command for each kind, made from its fields, so that options, checks and help agree."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Annotated, Any

import typer

from ufh_core.console import messages
from ufh_core.records.carried import carried
from ufh_core.records.hold_points import known_to, record_checks, site_state
from ufh_core.records.kinds import KINDS, ROLES, Photograph, Signature, SiteRecord
from ufh_core.records.ledger import FILE, NewLine, add, read_ledger
from ufh_core.records.photographs import referred_to
from ufh_core.records.readings import Asked, RecordError, asked_of, checked, value_of
from ufh_core.records.site_design import SiteDesign, read_site_design
from ufh_core.records.verdicts import Outcome

SOMETHING_OPEN = 1

_METAVARS = {float: "NUMBER", int: "NUMBER", bool: "yes|no", date: "DATE", str: "TEXT"}
_EXAMPLES = {
    "as-laid": "--circuit M1.03 --first-mark-m 212 --last-mark-m 284.5",
    "leak-test": "--manifold M1 --medium water --start-bar 6 --end-bar 5.95 --hours 2 --ambient-c 14 "
    "--station-isolated yes --joints-dry yes",
    "frost": "--manifold M1 --measure heating --coldest-c -4 --heated-to-c 8",
    "pressure-kept": "--manifold M1 --before-bar 3 --after-bar 3",
    "screed": "--field F1.02 --screed cement --thickness-mm 62 --ambient-c 12 --on 2031-05-06",
    "heating-day": "--manifold M1 --day 1 --flow-c 24.5 --on 2031-05-27",
    "moisture": "--field F1.02 --method carbide --percent 1.6",
    "flow": "--circuit M1.03 --measured-l-min 1.85 --turns 1.75 --round 1",
    "temperatures": "--circuit M1.03 --flow-c 36.5 --return-c 31",
    "photo": '--file photos/hall.jpg --shows "tails in the hall before the screed"',
    "signature": '--point "leak test" --name "A. Fitter"',
}

_FOLDER = Annotated[Path, typer.Argument(metavar="DIR", help="the folder of the design, with design.json")]
_ROLE = Annotated[str | None, typer.Option("--role", metavar="ROLE", help="who records it: " + ", ".join(ROLES))]
_PERSON = Annotated[str | None, typer.Option("--by", metavar="NAME", help="name of that person, if it is to be kept")]

record_app = typer.Typer(
    add_completion=False,
    rich_markup_mode=None,
    no_args_is_help=True,
    help=f"""Record what was done or measured on site, into {FILE} beside the design.

    Lines are only ever added: record again what was wrong, and the last one counts. A record that fails its rule is
    kept too. `warmloom records DIR` says where the job stands.

    Exit status: 0 recorded and it passes; 1 recorded, but it fails or something is missing; 2 not recorded.
    """,
)


def record_command(kind: type[SiteRecord]) -> Callable[..., int]:
    """The command that takes one kind of record; its options are the kind's fields."""
    asked = [each for each in asked_of(kind) if not each.hidden]

    def command(**given: Any) -> int:
        folder, role, person = given.pop("folder"), given.pop("role"), given.pop("person")
        return _record(kind, folder, role, person, given)

    parameters = [_parameter("folder", _FOLDER, inspect.Parameter.empty)]
    parameters += [_parameter(each.name, _option(each), None) for each in asked]
    parameters += [_parameter("role", _ROLE, None), _parameter("person", _PERSON, None)]
    command.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    command.__annotations__ = {p.name: p.annotation for p in parameters}
    roles = 'fitter"' if kind is not Signature else 'site manager"'
    about = kind.about[0].upper() + kind.about[1:]
    command.__doc__ = f'{about}.\n\nExample: warmloom record {kind.word} heating {_EXAMPLES[kind.word]} --role "{roles}'
    return command


def _parameter(name: str, annotation: Any, default: Any) -> inspect.Parameter:
    return inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, annotation=annotation, default=default)


def _option(asked: Asked) -> Any:
    need = "" if asked.needed else " (may be left out)"
    if asked.name == "on":
        need = ", as 2031-05-06; left out: today"
    choices = f": {', '.join(asked.choices)}" if asked.choices else ""
    unit = f" [{asked.unit}]" if asked.unit and asked.unit not in asked.help else ""
    metavar = "|".join(asked.choices) if 0 < len(" ".join(asked.choices)) < 24 else _METAVARS[asked.kind]
    return Annotated[str | None, typer.Option(asked.option, metavar=metavar, help=asked.help + unit + choices + need)]


for _word, _kind in KINDS.items():
    record_app.command(_word)(record_command(_kind))


@record_app.command("file")
def file_command(
    folder: _FOLDER,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="the file that the site pack's page saved")],
) -> int:
    """Take all records of a file that was saved on the site pack's page; what is on file already is passed over.

    Every record is checked before the first is kept; one that fails its rule is kept too.

    Example: warmloom record file heating site-records.json
    """
    now = datetime.now(UTC)
    site = read_site_design(folder)
    found = carried(file, site, read_ledger(folder), now)
    fine = True
    for new, record in found.new:
        added = add(folder, new)
        checks = record_checks(record, site, read_ledger(folder))
        typer.echo(f"recorded as line {added.line.number} of {folder / FILE}: {new.kind}{_about(record)}")
        typer.echo("\n".join(check.line for check in checks) or "  kept")
        fine = fine and all(check.outcome is Outcome.PASS for check in checks)
    typer.echo(f"{len(found.new)} taken, {found.known} were on file")
    typer.echo(site_state(site, read_ledger(folder)).next_step)
    return 0 if fine else SOMETHING_OPEN


def _record(kind: type[SiteRecord], folder: Path, role: str | None, person: str | None, given: dict[str, Any]) -> int:
    """Check, write, and say what the rules make of it."""
    now = datetime.now(UTC)
    site = read_site_design(folder)
    record = _checked_record(kind, folder, site, given, now)
    who = value_of(_WHO, role) if role is not None else None
    if who is None:
        raise RecordError(f"still to be given: --role, who records it: {_WHO.allowed}")
    name = record.name if isinstance(record, Signature) else (person or "").strip()
    new = NewLine(at=now, role=who, person=name, kind=kind.word, design=site.fingerprint, values=record.values())
    added = add(folder, new)
    chain = read_ledger(folder)
    checks = record_checks(record, site, chain)
    if added.set_aside is not None:
        messages().print(f"a torn line was found at the end of {FILE} and is kept in {added.set_aside}", markup=False)
    typer.echo(f"recorded as line {added.line.number} of {folder / FILE}: {kind.word}{_about(record)}")
    typer.echo("\n".join(check.line for check in checks) or "  kept")
    typer.echo(site_state(site, chain).next_step)
    return 0 if all(check.outcome is Outcome.PASS for check in checks) else SOMETHING_OPEN


_WHO = Asked(
    name="role",
    kind=str,
    needed=True,
    help="who records it",
    unit="",
    low=None,
    high=None,
    choices=ROLES,
    refers="",
    hidden=False,
)


def _checked_record(
    kind: type[SiteRecord], folder: Path, site: SiteDesign, given: dict[str, Any], now: datetime
) -> SiteRecord:
    """The record, refused where it refers to what is not there or lies in the future."""
    if given.get("on") is None:
        given = given | {"on": now.astimezone().date()}
    if kind is Photograph and given.get("file"):
        path, digest = referred_to(folder, given["file"])
        given = given | {"file": path, "sha256": digest}
    record: SiteRecord = checked(kind, given)
    if record.on > now.astimezone().date():
        raise RecordError(f"--on {record.on}: that day is still to come")
    known_to(site, record)
    return record


def _about(record: SiteRecord) -> str:
    subject = " ".join(str(part) for part in record.subject)
    return f" of {subject}" if subject else ""
