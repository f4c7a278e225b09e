"""How long floors take to follow their water: one answer for equal floors, in the words of a set-back."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from shapely.geometry import box

from ufh_core.basis.errors import NoSolution
from ufh_core.building.types import Room, RoomKind
from ufh_core.design_result import RoomDesign, RoomStatus
from ufh_core.floor import design_build_up
from ufh_core.section import WaterHeated, section_of, step_response
from ufh_core.settings.types import Settings
from ufh_core.storeys import warm_up
from ufh_core.storeys.warm_up import warm_up_findings, with_warm_ups

PLAIN = Settings()
THICK = replace(PLAIN, floor=replace(PLAIN.floor, screed_cover_m=PLAIN.floor.screed_cover_m + 0.03))


def room(guid: str, pitch_m: float = 0.2, finish_r: float = 0.10, settings: Settings = PLAIN) -> RoomDesign:
    built = Room(
        ifc_guid=guid, name=guid, long_name="", kind=RoomKind.LIVING, outline=box(0, 0, 5, 4), floor_m=0.0,
        height_m=2.5, slab_top_m=None,
    )  # fmt: skip
    output: Any = SimpleNamespace(pitch_m=pitch_m)
    floor = design_build_up(built, "ground", settings, finish_r)
    return RoomDesign(room=guid, status=RoomStatus.HEATED, output=output, build_up=floor, heated_area_m2=20.0)


def test_equal_floors_are_followed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    followed: list[object] = []

    def counted(section: object, *args: Any, **more: Any) -> Any:
        followed.append(section)
        return step_response(section, *args, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(warm_up, "step_response", counted)
    first, second, other = with_warm_ups([room("a"), room("b"), room("c", pitch_m=0.3)], PLAIN)
    assert len(followed) == 2
    assert first.warm_up == second.warm_up != other.warm_up


def test_the_times_are_those_of_any_step_at_a_given_temperature() -> None:
    """Conduction is linear: the water's temperature does not matter, only that it is given."""
    (made,) = with_warm_ups([room("a")], PLAIN)
    assert made.warm_up is not None and made.build_up is not None
    section = section_of(made.build_up, PLAIN, 0.2)
    response = step_response(section, warm_up.WaterAt(celsius=40.0), before=warm_up.WaterAt(celsius=25.0))
    assert made.warm_up.time_constant_s == pytest.approx(response.time_constant_s, rel=1e-3)
    assert made.warm_up.to_90_percent_s == pytest.approx(response.time_to_90_s, rel=1e-3)
    heated = step_response(section, WaterHeated(power_w_m=10.0))
    assert heated.time_constant_s != pytest.approx(made.warm_up.time_constant_s, rel=0.05)


def test_more_screed_takes_longer() -> None:
    thin, thick = (with_warm_ups([room("a", settings=s)], s)[0].warm_up for s in (PLAIN, THICK))
    assert thin is not None and thick is not None
    assert thick.time_constant_s > 1.2 * thin.time_constant_s
    assert thin.to_90_percent_s > thin.time_constant_s


def test_what_has_no_floor_of_its_own_has_no_times(monkeypatch: pytest.MonkeyPatch) -> None:
    cold = RoomDesign(room="x", status=RoomStatus.NOT_HEATED)
    tails_only = replace(room("y"), heated_area_m2=0.0)
    assert [r.warm_up for r in with_warm_ups([cold, tails_only], PLAIN)] == [None, None]
    assert warm_up_findings([cold, tails_only]) == ()

    def refused(*_: object) -> None:
        raise NoSolution("a floor that cannot be")

    monkeypatch.setattr(warm_up, "section_of", refused)
    assert [r.warm_up for r in with_warm_ups([room("a")], PLAIN)] == [None]


def test_a_floor_slower_than_is_followed_has_no_times(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(warm_up, "FOLLOWED_S", 600.0)
    assert with_warm_ups([room("a")], PLAIN)[0].warm_up is None


def test_one_note_tells_the_span_of_hours() -> None:
    rooms = with_warm_ups([room("a"), room("b", pitch_m=0.3)], PLAIN)
    (note,) = warm_up_findings(rooms)
    hours = sorted(r.warm_up.time_constant_s / 3600 for r in rooms if r.warm_up)
    assert f"time constant of {hours[0]:.1f} to {hours[1]:.1f} h" in note.message
    (alone,) = warm_up_findings(rooms[:1])
    assert f"time constant of {rooms[0].warm_up.time_constant_s / 3600:.1f} h and" in alone.message  # type: ignore[union-attr]
