"""The main job as the command line does it: read, design, write, say what came of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

import typer

from ufh_core.console import messages, progress_shown
from ufh_core.console_options import check_storeys


def design_model(
    model: Path,
    out: Path,
    settings: Any,
    storeys: tuple[str, ...],
    quiet: bool,
    explain: bool = False,
    extras: Mapping[str, Any] = MappingProxyType({}),
    told: Sequence[Any] = (),
) -> int:
    """Read, design, check for clashes and write; return the exit status.

    A model that cannot be read is told before the rest is loaded. `told` are findings from before the design.
    """
    from ufh_core.building.read import read_building
    from ufh_core.output_folder import whole_folder
    from ufh_core.words import speaking

    with speaking(str(extras.get("language", "en"))):
        pass  # a language without a catalogue is told before anything is designed
    with progress_shown(quiet) as report, whole_folder(out) as folder:
        report(f"reading {model.name}", 0.0)
        building = read_building(model, settings)
        check_storeys(storeys, [storey.name for storey in building.storeys])

        from ufh_core.clash_check import with_clashes
        from ufh_core.console_summary import show_summary
        from ufh_core.design import design_building
        from ufh_core.design_files import Extras, write_design
        from ufh_core.documents.explanation import explanation
        from ufh_core.documents.summary import summary

        wanted = Extras(**extras, earlier_bcf=out / "coordination.bcf", records_in=out)
        done = design_building(building, settings, lambda what, share: report(what, 0.15 + 0.7 * share), storeys)
        report("looking for clashes", 0.85)
        done = with_clashes(replace(done, findings=(*told, *done.findings)), model, wanted.others)
        write_design(done, model, folder, lambda what, share: report(what, 0.85 + 0.15 * share), wanted)
    if explain:
        typer.echo("\n".join(explanation(done)))
    if not quiet:
        show_summary(messages(), summary(done), out)
    return 0 if done.nothing_missing else 1
