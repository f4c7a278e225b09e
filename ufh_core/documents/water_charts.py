"""Charts of the water: the pump of a manifold on its network, and the first heating of the screed."""

from __future__ import annotations

from pathlib import Path

from ufh_core.basis.message import Message
from ufh_core.design_result import Design, ManifoldDesign
from ufh_core.documents.chart import Chart, Curve, Mark, chart_drawing, nice_axis
from ufh_core.documents.drawing_files import write_sheet
from ufh_core.documents.plan_svg import safe_stem
from ufh_core.network import pump_of
from ufh_core.network.pump import pump_pressure
from ufh_core.section.calendar import ScreedDay, screed_calendar
from ufh_core.section.first_heating import DAY_S
from ufh_core.storeys.screed_days import first_heating, pouring_day
from ufh_core.words import said, say

LITRES_PER_MINUTE, KILOPASCAL = 60_000.0, 1000.0
_POINTS = 40


def write_water_charts(design: Design, folder: Path) -> None:
    """Write `pump-<manifold>` for each manifold and `first-heating` into a folder, as SVG and PDF without a scale.

    Raises: OutputError where one cannot be written.
    """
    for storey in design.storeys:
        for manifold in storey.manifolds:
            chart = pump_chart(design, manifold)
            if chart is not None:
                _write(chart, folder / f"pump-{safe_stem(manifold.manifold.name)}")
    first = first_heating_chart(design)
    if first is not None:
        _write(first, folder / "first-heating")


def _write(chart: Chart, stem: Path) -> None:
    write_sheet(chart_drawing(chart), stem, (".svg", ".pdf"))


def pump_chart(design: Design, manifold: ManifoldDesign) -> Chart | None:
    """Pressure over flow: what the network takes, what the pump gives, where they meet; None without a network."""
    table, duty = manifold.network, manifold.pump
    if table is None or not table.system_curve:
        return None
    pump = pump_of(design.settings.hydraulics, duty.pressure_pa, duty.volume_flow)
    most = max(point.volume_flow for point in table.system_curve)
    flows = [most * k / _POINTS for k in range(_POINTS + 1)]
    flows = [flow for flow in flows if not pump.ends or flow <= pump.flows[-1]]
    system = tuple((p.volume_flow * LITRES_PER_MINUTE, p.pressure_pa / KILOPASCAL) for p in table.system_curve)
    gives = tuple((flow * LITRES_PER_MINUTE, pump_pressure(pump, flow) / KILOPASCAL) for flow in flows)
    greatest = max(y for _, y in (*system, *gives))
    runs = (table.volume_flow * LITRES_PER_MINUTE, table.pressure_pa / KILOPASCAL)
    asked = (duty.volume_flow * LITRES_PER_MINUTE, duty.pressure_pa / KILOPASCAL)
    marks = [Mark(name=say("runs at {flow:.1f} l/min, {pressure:.1f} kPa", flow=runs[0], pressure=runs[1]), at=runs)]
    if abs(runs[0] - asked[0]) > 0.02 * asked[0] or abs(runs[1] - asked[1]) > 0.02 * asked[1]:
        wanted = say("asked for: {flow:.1f} l/min, {pressure:.1f} kPa", flow=asked[0], pressure=asked[1])
        marks.append(Mark(name=wanted, at=asked))
    index, name = duty.index_circuit, manifold.manifold.name
    return Chart(
        title=say("Manifold {name}: pump on its network", name=name),
        x=nice_axis(say("flow, l/min"), most * LITRES_PER_MINUTE),
        y=nice_axis(say("pressure, kPa"), 1.05 * greatest),
        curves=(
            Curve(name=say("circuits, all open"), points=system),
            Curve(name=say("pump, {kind}", kind=said(pump.kind)), points=gives),
        ),
        marks=tuple(marks),
        notes=(
            say(
                "Valves as set, all circuits open; circuit {index} needs most pressure. Entry and mixing station take "
                "{entry:.1f} kPa of it.",
                index=index,
                entry=duty.entry_pa / KILOPASCAL,
            ),
            say("Designed by calculation; choose the pump from its maker's curve, checked by a competent person."),
        ),
    )


def first_heating_chart(design: Design) -> Chart | None:
    """Flow temperature of the first heating by days; None where no water runs or the screed bears no such water."""
    curve = first_heating(design)
    if curve is None:
        return None
    points = tuple((time / DAY_S, flow) for time, flow in curve.points)
    calendar = screed_calendar(curve, pouring_day(design))
    return Chart(
        title=say("First heating of the {screed} screed", screed=Message(curve.screed)),
        x=nice_axis(say("days from the start of heating"), points[-1][0] + 1, 10),
        y=nice_axis(say("flow temperature, °C"), max(y for _, y in points) + 5, 6, low=10.0),
        curves=(Curve(name=say("flow temperature"), points=points),),
        lists=(tuple(_dated(day) for day in calendar),),
        notes=(
            say(
                "The screed maker's own programme, and the residual moisture before laying the finish, come first. "
                "Keep a record of every day's flow temperature. Days count from the laying of the screed and are the "
                "earliest."
            ),
        ),
    )


def _dated(day: ScreedDay) -> str:
    """A line of the calendar."""
    when = say("day {day:.0f}", day=-(-day.day // 1)) + (f", {day.on.isoformat()}" if day.on is not None else "")
    return f"{when}: {said(day.what)} ({said(day.source)})"
