"""First heating of the screed: the curve, and what the floor makes of it.

Source of ages, days and 25 °C: EN 1264-4 (clause from memory), found again in trade teaching; 55 °C: DIN 18560-2.
"""

import math

import numpy as np
import pytest
from section_cases import a_section

from ufh_core.basis.errors import NoSolution
from ufh_core.section import Around, HeatingProgramme, heating_programme, screed_during, steady
from ufh_core.section.first_heating import LEAST_AGE_DAYS
from ufh_core.settings.floor_types import SCREEDS

DAY = 86400.0


@pytest.mark.parametrize(("screed", "days"), [("cement", 21.0), ("calcium sulphate", 7.0)])
def test_curve_published(screed: str, days: float) -> None:
    """EN 1264-4: three days at 25 °C, four at the greatest, no sooner than the screed's age allows."""
    curve = heating_programme(screed, 42.0)
    assert curve.earliest_days == days
    assert curve.points == (
        (0.0, 20.0),
        (0.0, 25.0),
        (3 * DAY, 25.0),
        (3 * DAY, 42.0),
        (7 * DAY, 42.0),
        (7 * DAY, 20.0),
    )
    assert curve.days == 7.0
    assert "maker" in curve.cautions[0]


def test_every_screed_of_the_settings_has_an_age() -> None:
    assert set(LEAST_AGE_DAYS) == set(SCREEDS)


def test_ramps_hand_calculated() -> None:
    """25 to 45 °C by 5 K a day takes 4 days, 45 to 15 °C by 10 K a day takes 3."""
    curve = heating_programme("cement", 45.0, rise_k_per_day=5.0, fall_k_per_day=10.0, start_c=15.0)
    assert [(time / DAY, flow) for time, flow in curve.points] == [
        (0.0, 15.0),
        (0.0, 25.0),
        (3.0, 25.0),
        (7.0, 45.0),
        (11.0, 45.0),
        (14.0, 15.0),
    ]
    assert curve.days == 14.0
    assert curve.flow_c(0.0) == 25.0
    assert curve.flow_c(5 * DAY) == pytest.approx(35.0)
    assert curve.flow_c(12 * DAY) == pytest.approx(35.0)
    assert curve.flow_c(13 * DAY) == pytest.approx(25.0)
    assert curve.flow_c(99 * DAY) == 15.0
    sudden = heating_programme("cement", 45.0)
    late = HeatingProgramme(screed="cement", earliest_days=21.0, points=((DAY, 18.0), (2 * DAY, 30.0)))
    assert [late.flow_c(time * DAY) for time in (0.5, 1.5, 2.5)] == [18.0, 24.0, 30.0]
    assert [sudden.flow_c(time * DAY) for time in (-1.0, 2.999, 3.0, 6.999, 7.0)] == [20.0, 25.0, 45.0, 45.0, 20.0]


def test_makers_other_times_and_temperatures() -> None:
    curve = heating_programme("calcium sulphate", 50.0, first_c=22.0, first_days=0.5, greatest_days=1.0)
    assert [time / DAY for time, _ in curve.points] == [0.0, 0.0, 0.5, 0.5, 1.5, 1.5]
    assert curve.points[1][1] == 22.0


def test_floor_follows_the_curve() -> None:
    """After four days at one temperature the floor is in its steady state there, after three days as well."""
    section, around = a_section(0.15, 0.0), Around(room_c=18.0, below_c=10.0)
    curve = heating_programme("cement", 45.0, start_c=18.0)
    found = screed_during(section, curve, around=around, after_s=2 * DAY)
    response = found.response
    assert screed_during(section, curve).response.water_c.max() == pytest.approx(45.0)
    first, hottest = (steady(section, water_c=flow, around=around) for flow in (25.0, 45.0))
    days = response.times_s / DAY
    assert days[-1] == pytest.approx(9.0)
    at_first, at_greatest = (int(np.argmin(np.abs(days - day))) for day in (2.98, 6.98))
    assert response.mean_surface_c[at_first] == pytest.approx(first.mean_surface_c, abs=0.01)
    assert response.mean_surface_c[at_greatest] == pytest.approx(hottest.mean_surface_c, abs=0.01)
    assert found.greatest_surface_c == pytest.approx(hottest.peak_surface_c, abs=0.01)
    assert found.warmest_c == pytest.approx(hottest.screed_peak_c, abs=0.05)
    assert 3.0 < found.warmest_at_s / DAY <= 7.0
    assert found.warmest_c < 45.0
    assert response.mean_surface_c[-1] == pytest.approx(
        steady(section, water_c=18.0, around=around).mean_surface_c, abs=0.05
    )
    assert response.heat_in == pytest.approx(response.heat_stored, abs=1.0)


def test_spread_takes_half_of_itself_off() -> None:
    section, curve = a_section(0.15, 0.0), heating_programme("cement", 45.0)
    hot, mean = (screed_during(section, curve, spread_k=spread).response for spread in (0.0, 6.0))
    assert hot.water_c.max() == pytest.approx(45.0)
    assert mean.water_c.max() == pytest.approx(42.0)
    assert mean.mean_surface_c.max() < hot.mean_surface_c.max()


def test_ramp_keeps_the_screed_behind_the_water() -> None:
    """On a ramp of 10 K a day the floor is warmer than before and cooler than it will be."""
    section, curve = a_section(0.15, 0.0), heating_programme("cement", 45.0, rise_k_per_day=10.0)
    response = screed_during(section, curve).response
    ramp = (response.times_s > 3 * DAY) & (response.times_s < 5 * DAY)
    assert (np.diff(response.mean_surface_c[ramp]) > 0).all()
    middle = int(np.argmin(np.abs(response.times_s - 4 * DAY)))
    assert response.water_c[middle] == pytest.approx(35.0, abs=0.25)
    settled = steady(section, water_c=float(response.water_c[middle])).mean_surface_c
    assert settled - 1.5 < response.mean_surface_c[middle] < settled


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: heating_programme("asphalt", 40.0), "cement or calcium sulphate"),
        (lambda: heating_programme("cement", 55.1), "at most 55"),
        (lambda: heating_programme("cement", math.nan), "at most 55"),
        (lambda: heating_programme("cement", 24.0), "must rise"),
        (lambda: heating_programme("cement", 40.0, start_c=26.0), "must rise"),
        (lambda: heating_programme("cement", 40.0, rise_k_per_day=0.0), "more than 0"),
        (lambda: heating_programme("cement", 40.0, fall_k_per_day=-5.0), "more than 0"),
        (lambda: heating_programme("cement", 40.0, first_days=0.0), "more than 0"),
        (lambda: heating_programme("cement", 40.0, greatest_days=math.inf), "more than 0"),
    ],
)
def test_bad_input_is_one_line(make: object, words: str) -> None:
    with pytest.raises(NoSolution, match=words) as error:
        make()  # type: ignore[operator]
    assert "\n" not in str(error.value)


def test_55_degrees_are_allowed() -> None:
    assert heating_programme("cement", 55.0).points[3][1] == 55.0
