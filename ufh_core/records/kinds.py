"""The kinds of record: what was measured or done on site, as it was read, in the unit of the gauge.

A record is evidence, so it keeps the reading and not a conversion; the unit stands in the field's name.
"""

# ruff: noqa: RUF009 (`reading` only makes a dataclass field)

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date
from typing import Any, ClassVar

from ufh_core.records.readings import reading
from ufh_core.settings.floor_types import SCREEDS

ROLES = ("designer", "fitter", "screed layer", "commissioning engineer", "site manager", "owner")
MEDIA = ("water", "air")
FROST_MEASURES = ("antifreeze", "heating", "drained")
METHODS = ("carbide", "other")


class Step:
    """The hold points by name, in order (common practice, from the trade's sequence on site)."""

    LAID = "laid"
    LEAK = "leak test"
    FROST = "frost"
    KEPT = "pressure kept"
    POUR = "screed"
    HEATING = "first heating"
    MOISTURE = "moisture"
    FLOWS = "flows"
    TEMPERATURES = "temperatures"
    SIGNED = "handover"


STEPS = (
    Step.LAID,
    Step.LEAK,
    Step.FROST,
    Step.KEPT,
    Step.POUR,
    Step.HEATING,
    Step.MOISTURE,
    Step.FLOWS,
    Step.TEMPERATURES,
    Step.SIGNED,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteRecord:
    """What all kinds have: the day on which it was read or done."""

    word: ClassVar[str] = ""
    about: ClassVar[str] = ""
    step: ClassVar[str] = ""
    key: ClassVar[tuple[str, ...]] = ()  # fields that name the subject: a later record of the same subject counts

    on: date = reading("day on which it was read or done")

    @property
    def subject(self) -> tuple[Any, ...]:
        """What it is about, among records of its kind."""
        return tuple(getattr(self, name) for name in self.key)

    def values(self) -> dict[str, Any]:
        """Its fields as JSON has them; what was left out stays out."""
        found = {spec.name: getattr(self, spec.name) for spec in fields(self)}
        return {k: v.isoformat() if isinstance(v, date) else v for k, v in found.items() if v is not None}


@dataclass(frozen=True, slots=True, kw_only=True)
class AsLaid(SiteRecord):
    """A circuit as it lies; its length is the difference of the metre marks printed on the pipe."""

    word: ClassVar[str] = "as-laid"
    about: ClassVar[str] = "a circuit as it was laid: its length from the metre marks, what is not as drawn"
    step: ClassVar[str] = Step.LAID
    key: ClassVar[tuple[str, ...]] = ("circuit",)

    circuit: str = reading("number of the circuit, as M1.03", refers="circuit")
    first_mark_m: float = reading("metre mark on the pipe at the flow port", "m", 0, 10000)
    last_mark_m: float = reading("metre mark on the pipe at the return port", "m", 0, 10000)
    change: str | None = reading("what lies otherwise than drawn, in words", default=None)

    @property
    def length_m(self) -> float:
        """Length of the pipe [m]; coils are marked up or down."""
        return abs(self.last_mark_m - self.first_mark_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakTest(SiteRecord):
    """The leak test of all circuits of a manifold."""

    word: ClassVar[str] = "leak-test"
    about: ClassVar[str] = "the leak test of a manifold's circuits, before the screed"
    step: ClassVar[str] = Step.LEAK
    key: ClassVar[tuple[str, ...]] = ("manifold",)

    manifold: str = reading("name of the manifold, as M1", refers="manifold")
    medium: str = reading("what the pipes are filled with", choices=MEDIA)
    start_bar: float = reading("pressure at the start, on the gauge", "bar", 0, 20)
    end_bar: float = reading("pressure at the end, on the gauge", "bar", 0, 20)
    hours: float = reading("how long the pressure stood", "h", 0, 1000)
    ambient_c: float = reading("temperature in the building, the coldest meanwhile", "°C", -40, 60)
    station_isolated: bool = reading("was the mixing station shut off from the test?")
    joints_dry: bool = reading("was every connection looked at, and dry?")


@dataclass(frozen=True, slots=True, kw_only=True)
class FrostMeasure(SiteRecord):
    """What keeps filled pipes from freezing."""

    word: ClassVar[str] = "frost"
    about: ClassVar[str] = "what was done against frost while the pipes are filled"
    step: ClassVar[str] = Step.FROST
    key: ClassVar[tuple[str, ...]] = ("manifold",)

    manifold: str = reading("name of the manifold", refers="manifold")
    measure: str = reading("what was done", choices=FROST_MEASURES)
    coldest_c: float = reading("coldest that is to be expected in the building without heating", "°C", -40, 30)
    protects_to_c: float | None = reading(
        "down to where the antifreeze as measured protects", "°C", -60, 5, default=None
    )
    heated_to_c: float | None = reading("coldest that the heating leaves in the building", "°C", -40, 40, default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureKept(SiteRecord):
    """The pressure in the pipes while the screed is laid over them."""

    word: ClassVar[str] = "pressure-kept"
    about: ClassVar[str] = "the pressure in the pipes before and after the screed was laid over them"
    step: ClassVar[str] = Step.KEPT
    key: ClassVar[tuple[str, ...]] = ("manifold",)

    manifold: str = reading("name of the manifold", refers="manifold")
    before_bar: float = reading("pressure before the screed came", "bar", 0, 20)
    after_bar: float = reading("pressure when the screed lay", "bar", 0, 20)


@dataclass(frozen=True, slots=True, kw_only=True)
class ScreedPour(SiteRecord):
    """One pour field of screed."""

    word: ClassVar[str] = "screed"
    about: ClassVar[str] = "the screed of a pour field: day, kind, thickness"
    step: ClassVar[str] = Step.POUR
    key: ClassVar[tuple[str, ...]] = ("field",)

    field: str = reading("pour field, as F1.02; `warmloom records DIR` lists them", refers="field")
    screed: str = reading("kind of screed", choices=SCREEDS)
    thickness_mm: float = reading("thickness over the panel's base, the thinnest measured", "mm", 10, 300)
    ambient_c: float = reading("temperature of room and screed, the coldest while it was laid", "°C", -40, 60)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatingDay(SiteRecord):
    """One day of the first heating."""

    word: ClassVar[str] = "heating-day"
    about: ClassVar[str] = "a day of the first heating: the flow temperature"
    step: ClassVar[str] = Step.HEATING
    key: ClassVar[tuple[str, ...]] = ("manifold", "day")

    manifold: str = reading("name of the manifold", refers="manifold")
    day: int = reading("which day of the first heating, 1 is its first", "", 1, 365)
    flow_c: float = reading("flow temperature on the manifold's thermometer", "°C", 0, 95)


@dataclass(frozen=True, slots=True, kw_only=True)
class MoistureTest(SiteRecord):
    """The residual moisture of a pour field, before its finish."""

    word: ClassVar[str] = "moisture"
    about: ClassVar[str] = "the residual moisture of a pour field, before its finish"
    step: ClassVar[str] = Step.MOISTURE
    key: ClassVar[tuple[str, ...]] = ("field",)

    field: str = reading("pour field, as F1.02", refers="field")
    method: str = reading("how it was measured", choices=METHODS)
    percent: float = reading("residual moisture, the wettest place [% by mass]", "%", 0, 30)


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowReading(SiteRecord):
    """The flow of a circuit as its meter shows it."""

    word: ClassVar[str] = "flow"
    about: ClassVar[str] = "the flow of a circuit as measured, and where its valve stands"
    step: ClassVar[str] = Step.FLOWS
    key: ClassVar[tuple[str, ...]] = ("circuit",)

    circuit: str = reading("number of the circuit", refers="circuit")
    measured_l_min: float = reading("flow on the meter, all circuits of the manifold open", "l/min", 0, 30)
    turns: float | None = reading(
        "turns of the valve from shut; left out: as the design sets it", "", 0, 20, default=None
    )
    round: int = reading("round of balancing: readings of one round belong together", "", 1, 50, default=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class TemperatureReading(SiteRecord):
    """Flow and return of a circuit at steady heating."""

    word: ClassVar[str] = "temperatures"
    about: ClassVar[str] = "flow and return temperature of a circuit, when they no longer change"
    step: ClassVar[str] = Step.TEMPERATURES
    key: ClassVar[tuple[str, ...]] = ("circuit",)

    circuit: str = reading("number of the circuit", refers="circuit")
    flow_c: float = reading("flow temperature", "°C", 0, 95)
    return_c: float = reading("return temperature of this circuit", "°C", 0, 95)
    room_c: float | None = reading("room temperature; left out: as designed", "°C", -10, 40, default=None)
    turns: float | None = reading(
        "turns of the valve from shut; left out: as the design sets it", "", 0, 20, default=None
    )
    round: int = reading("round of balancing: readings of one round belong together", "", 1, 50, default=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Photograph(SiteRecord):
    """A photograph by reference: the file stays where it is, its digest shows whether it was changed."""

    word: ClassVar[str] = "photo"
    about: ClassVar[str] = "a photograph, by its file; its digest is kept"
    key: ClassVar[tuple[str, ...]] = ("file",)

    file: str = reading("the photograph's file, in the folder or below it")
    shows: str = reading("what it shows")
    room: str | None = reading("room, by its name", refers="room", default=None)
    sha256: str | None = reading("digest of the file", default=None, hidden=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Signature(SiteRecord):
    """Who answers for a hold point."""

    word: ClassVar[str] = "signature"
    about: ClassVar[str] = "who signs a hold point; it shows what was still missing then"
    step: ClassVar[str] = Step.SIGNED
    key: ClassVar[tuple[str, ...]] = ("point", "name")

    point: str = reading("which hold point is signed", choices=STEPS)
    name: str = reading("name of who signs")


KINDS: dict[str, type[SiteRecord]] = {
    kind.word: kind
    for kind in (
        AsLaid,
        LeakTest,
        FrostMeasure,
        PressureKept,
        ScreedPour,
        HeatingDay,
        MoistureTest,
        FlowReading,
        TemperatureReading,
        Photograph,
        Signature,
    )
}
