"""The coolest water that does: a table of flow temperatures by pitch and finish, and a chart of what floors carry."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from pathlib import Path

from ufh_core.basis.errors import OutputError
from ufh_core.documents.chart import Axis, Chart, Curve, chart_drawing
from ufh_core.documents.plan_svg import plan_svg
from ufh_core.thermal_output.sweep import SweepPoint, coolest

NEARLY = 0.95
HEAD = ("finish m2K/W", "pitch mm", "flow C", "carried %", "rooms carried", "missing W", "misses most")


def write_flow_temperatures(points: Sequence[SweepPoint], labels: Mapping[str, str], folder: Path) -> None:
    """Write `flow-temperatures.csv` and a chart for each finish, `flow-temperatures-<finish>.svg`.

    `labels` are the rooms' names for people. Raises: OutputError where a file cannot be written.
    """
    try:
        with (folder / "flow-temperatures.csv").open("w", encoding="utf-8-sig", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(HEAD)
            writer.writerows(_row(point, labels) for point in points)
        for finish in dict.fromkeys(point.finish_r for point in points):
            chart = finish_chart([p for p in points if p.finish_r == finish], finish)
            name = f"flow-temperatures-{file_word(finish)}.svg"
            (folder / name).write_text(plan_svg(chart_drawing(chart)), encoding="utf-8")
    except OSError as error:
        raise OutputError(f"{folder}: cannot be written to ({error.strerror}); choose another folder") from error


def file_word(finish_r: float | None) -> str:
    """A finish as part of a file's name."""
    return "own-finishes" if finish_r is None else f"R{finish_r:.2f}"


def finish_in_words(finish_r: float | None) -> str:
    """A finish in words."""
    return "every room's own finish" if finish_r is None else f"a finish of {finish_r:.2f} m²K/W in every room"


def _row(point: SweepPoint, labels: Mapping[str, str]) -> tuple[str, ...]:
    name = labels.get(point.worst_room, point.worst_room)
    return (
        "own" if point.finish_r is None else f"{point.finish_r:g}",
        f"{1000 * point.pitch_m:.0f}",
        f"{point.flow_c:g}",
        f"{100 * point.carried_share:.1f}",
        str(point.rooms_carried),
        f"{point.missing_w:.0f}",
        f"'{name}" if name[:1] in ("=", "+", "-", "@", "\t", "\r") else name,  # no formula in a table
    )


def finish_chart(points: Sequence[SweepPoint], finish_r: float | None) -> Chart:
    """Share of the heat that is carried over the flow temperature, a curve a pitch."""
    pitches = sorted({point.pitch_m for point in points})
    curves = [
        Curve(
            name=f"{1000 * pitch:.0f} mm{_reaches(points, pitch, finish_r)}",
            points=tuple((p.flow_c, 100 * p.carried_share) for p in points if p.pitch_m == pitch),
        )
        for pitch in pitches
    ]
    flows = [point.flow_c for point in points]
    return Chart(
        title=f"Heat carried by the floors, {finish_in_words(finish_r)}",
        x=Axis(label="flow temperature, °C", low=min(flows), high=max(flows), step=5.0),
        y=Axis(label="share of the heat demand that the floors carry, %", low=0.0, high=100.0, step=10.0),
        curves=tuple(curves),
        notes=(
            "EN 1264, before pipes are laid: one pitch in all rooms, spreads and surface limits as in the settings. A "
            "curve that stays under 100 % meets a surface limit, or a floor too small. Laid floors have rims and tails "
            "and need water about 1 to 3 K warmer.",
            "Behind each pitch: the coolest water that carries all, in brackets that for 95 % of the heat.",
        ),
    )


def _reaches(points: Sequence[SweepPoint], pitch: float, finish_r: float | None) -> str:
    whole, nearly = (coolest(points, pitch, finish_r, share) for share in (1.0, NEARLY))
    words = f": {whole:.0f} °C" if whole is not None else ": never all"
    return words + (f" ({nearly:.0f})" if nearly is not None else "")


def sweep_lines(points: Sequence[SweepPoint]) -> list[str]:
    """The table that the terminal shows: coolest water for all of the heat, and for 95 % of it."""
    finishes = list(dict.fromkeys(point.finish_r for point in points))
    pitches = sorted({point.pitch_m for point in points})
    wide = max(len(finish_in_words(finish)) for finish in finishes)
    lines = [
        "coolest flow temperature, °C, that carries all of the heat (95 % of it):",
        " " * wide + "".join(f"{1000 * pitch:>9.0f} mm" for pitch in pitches),
    ]
    for finish in finishes:
        cells = []
        for pitch in pitches:
            whole, nearly = (coolest(points, pitch, finish, share) for share in (1.0, NEARLY))
            cells.append(f"{'–' if whole is None else f'{whole:.0f}'} ({'–' if nearly is None else f'{nearly:.0f}'})")
        lines.append(f"{finish_in_words(finish):<{wide}}" + "".join(f"{cell:>12}" for cell in cells))
    return lines
