"""A small invented job for tests of records: two rooms, two circuits, two pour fields, cement screed, 40 °C."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from ufh_core.records.kinds import KINDS, SiteRecord
from ufh_core.records.ledger import NewLine, add
from ufh_core.records.readings import checked
from ufh_core.records.site_design import SiteCircuit, SiteDesign, SiteField, SiteManifold, SiteRoom
from ufh_core.section.calendar import screed_calendar
from ufh_core.section.first_heating import heating_programme
from ufh_core.settings.types import Settings

POURED = date(2031, 5, 6)
BEGUN = POURED + timedelta(days=21)
PROGRAMME = heating_programme("cement", 40.0)
AT = datetime(2031, 7, 1, 8, 0, tzinfo=UTC)
LEAK: dict[str, Any] = {
    "manifold": "M1",
    "medium": "water",
    "start_bar": 6.0,
    "end_bar": 5.9,
    "hours": 2.0,
    "ambient_c": 14.0,
    "station_isolated": True,
    "joints_dry": True,
    "on": "2031-05-05",
}


def site(room: str = "Kitchen", project: str = "Made-up house") -> SiteDesign:
    rooms = (
        SiteRoom(guid="a", name=room, storey="Ground floor", indoor_c=20.0),
        SiteRoom(guid="b", name="Bath", storey="Ground floor", indoor_c=24.0),
    )
    circuits = (_circuit("M1.01", room, 0.030, 80.0, 20.0), _circuit("M1.02", "Bath", 0.020, 50.0, 24.0))
    manifold = SiteManifold(
        name="M1",
        storey="Ground floor",
        room=room,
        flow_c=40.0,
        return_c=34.0,
        pump_pa=20000.0,
        entry_pa=3000.0,
        mass_flow=0.05,
        volume_flow=0.00005,
        circuits=("M1.01", "M1.02"),
    )
    return SiteDesign(
        project=project,
        fingerprint="f" * 16,
        settings=Settings(),
        rooms=rooms,
        manifolds=(manifold,),
        circuits=circuits,
        fields=(_field("F1.01", room), _field("F1.02", "Bath")),
        programme=PROGRAMME,
        calendar=screed_calendar(PROGRAMME, POURED),
    )


def _circuit(number: str, room: str, flow: float, length: float, indoor: float) -> SiteCircuit:
    return SiteCircuit(
        number=number,
        manifold="M1",
        rooms=(room,),
        length_m=length,
        mass_flow=flow,
        flow_l_min=flow * 60,
        flow_c=40.0,
        return_c=34.0,
        indoor_c=indoor,
        valve_kv=0.5,
        valve_turns=1.75,
        valve_setting="",
        arcs=(),
    )


def _field(name: str, room: str) -> SiteField:
    return SiteField(
        name=name,
        storey="Ground floor",
        rooms=(room,),
        area_m2=12.0,
        length_m=4.0,
        width_m=3.0,
        thickness_m=0.061,
        cover_m=0.045,
        manifolds=("M1",),
    )


def record(word: str, **values: Any) -> SiteRecord:
    """A record of a kind; on the day after the pour where nothing is said."""
    found: SiteRecord = checked(KINDS[word], {"on": POURED.isoformat()} | values)
    return found


def leak(**changes: Any) -> SiteRecord:
    return record("leak-test", **(LEAK | changes))


def pour(name: str, **changes: Any) -> SiteRecord:
    return record("screed", **({"field": name, "screed": "cement", "thickness_mm": 62, "ambient_c": 12} | changes))


def heating(day: int, flow: float, begun: date = BEGUN) -> SiteRecord:
    on = (begun + timedelta(days=day - 1)).isoformat()
    return record("heating-day", manifold="M1", day=day, flow_c=flow, on=on)


def whole_heating() -> list[SiteRecord]:
    return [heating(day, 25.0 if day <= 3 else 40.0) for day in range(1, 8)]


def all_records() -> list[SiteRecord]:
    """What a job without a fault leaves behind, but for signatures."""
    job = site()
    laid = [
        record("as-laid", circuit=c.number, first_mark_m=100, last_mark_m=100 - c.length_m * 1.01) for c in job.circuits
    ]
    kept = record("pressure-kept", manifold="M1", before_bar=3, after_bar=3)
    pours = [pour(f.name) for f in job.fields]
    dry = [record("moisture", field=f.name, method="carbide", percent=1.6, on="2031-06-10") for f in job.fields]
    flows = [record("flow", circuit=c.number, measured_l_min=c.flow_l_min * 1.03) for c in job.circuits]
    warm = [record("temperatures", circuit=c.number, flow_c=38, return_c=33) for c in job.circuits]
    return [*laid, leak(), kept, *pours, *whole_heating(), *dry, *flows, *warm]


def put(folder: Path, records: Iterable[SiteRecord], role: str = "fitter", design: str = "f" * 16) -> None:
    """Write records into a folder."""
    for each in records:
        name = getattr(each, "name", "")
        add(
            folder,
            NewLine(at=AT, role=role, person=name, kind=each.word, design=design, values=each.values()),
        )


def renamed(job: SiteDesign, **changes: Any) -> SiteDesign:
    return replace(job, **changes)
