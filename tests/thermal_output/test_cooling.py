"""Floors in cooling: output against a section in two dimensions, dew point against humid-air properties."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from section_cases import a_section

from ufh_core.basis.errors import NoSolution
from ufh_core.floor.types import FloorSection
from ufh_core.section import Around, steady
from ufh_core.thermal_output.characteristic import characteristic
from ufh_core.thermal_output.cooling import cooled_floor, cooling_characteristic, dew_point

FLOOR = FloorSection(
    pitch_m=0.15, cover_m=0.045, screed_conductivity=1.2, finish_r=0.0, pipe_diameter_m=0.016, pipe_wall_m=0.002,
    pipe_conductivity=0.35, r_below=1.42,
)  # fmt: skip


@pytest.mark.parametrize("pitch", [0.10, 0.15, 0.20, 0.30])
@pytest.mark.parametrize("finish", [0.0, 0.05, 0.10, 0.15])
def test_the_conversion_agrees_with_conduction_in_two_dimensions(pitch: float, finish: float) -> None:
    """Own reference: the section solver with 6.5 W/(m²K) at the surface and colder water, within the band in which
    EN 1264-2 itself agrees with it (8 % at R = 0.00 and 5 % from 0.05 on, to 200 mm; 12 and 8 % at 300 mm)."""
    wide = pitch > 0.25
    band = (0.12 if wide else 0.08) if finish == 0 else (0.08 if wide else 0.05)
    section = replace(a_section(pitch, finish), room_film_r=1 / 6.5)
    solved = -steady(section, water_c=16.0, around=Around(room_c=26.0)).heat_flux / 10.0
    assert cooling_characteristic(replace(FLOOR, pitch_m=pitch, finish_r=finish)) == pytest.approx(solved, rel=band)


def test_a_film_of_heating_gives_the_heating_s_characteristic(monkeypatch: pytest.MonkeyPatch) -> None:
    """With 10.8 W/(m²K) nothing is converted: K_H by EN 1264-2 at R = 0 and 0.15, and between by resistances."""
    monkeypatch.setattr("ufh_core.thermal_output.cooling.COOLED_FLOOR_FILM", 10.8)
    for finish in (0.0, 0.15):
        floor = replace(FLOOR, finish_r=finish)
        assert cooling_characteristic(floor) == pytest.approx(characteristic(floor))
    assert cooling_characteristic(replace(FLOOR, finish_r=0.05)) == pytest.approx(
        characteristic(replace(FLOOR, finish_r=0.05)), rel=0.02
    )


def test_water_warms_as_the_log_mean_has_it() -> None:
    """EN 1264-2's log mean, turned round: q = K Δθ, and m c (θ_R − θ_V) = q A; by hand."""
    floor = cooled_floor(FLOOR, 20.0, 0.05, 17.0, 26.0)
    rise = floor.return_c - floor.flow_c
    mean = rise / math.log((26.0 - 17.0) / (26.0 - floor.return_c))
    assert floor.heat_flux == pytest.approx(cooling_characteristic(FLOOR) * mean)
    assert floor.taken_w == pytest.approx(0.05 * 4190 * rise)
    assert floor.mean_surface_c == pytest.approx(26.0 - floor.heat_flux / 6.5)
    assert 17.0 < floor.coldest_surface_c < floor.mean_surface_c < 26.0
    assert floor.coldest_surface_c == pytest.approx(26.0 - cooling_characteristic(FLOOR) * 9.0 / 6.5)


def test_more_water_takes_more_and_none_takes_nothing() -> None:
    taken = [cooled_floor(FLOOR, 20.0, flow, 17.0, 26.0).taken_w for flow in (0.0, 0.01, 0.05, 5.0)]
    assert taken[0] == 0.0
    assert taken == sorted(taken)
    assert taken[-1] == pytest.approx(cooling_characteristic(FLOOR) * 9.0 * 20.0, rel=0.01)
    assert cooled_floor(FLOOR, 20.0, 0.05, 27.0, 26.0).taken_w == 0.0


def test_cooling_takes_less_than_heating_gives() -> None:
    """The film at a cooled floor is 6.5 against 10.8 W/(m²K): 18 to 31 % less at usual pitches."""
    for pitch in (0.10, 0.15, 0.20):
        for finish in (0.0, 0.10):
            floor = replace(FLOOR, pitch_m=pitch, finish_r=finish)
            assert 0.69 < cooling_characteristic(floor) / characteristic(floor) < 0.83


@pytest.mark.parametrize(("air_c", "humidity"), [(20.0, 0.5), (26.0, 0.55), (30.0, 0.3), (24.0, 0.95), (10.0, 0.6)])
def test_dew_point_against_humid_air_properties(air_c: float, humidity: float) -> None:
    """CoolProp's humid air (ASHRAE RP-1485)."""
    humid = pytest.importorskip("CoolProp.HumidAirProp")
    exact = humid.HAPropsSI("D", "T", air_c + 273.15, "P", 101325.0, "R", humidity) - 273.15
    assert dew_point(air_c, humidity) == pytest.approx(exact, abs=0.1)


def test_dew_point_of_saturated_air_is_its_temperature_and_nonsense_is_refused() -> None:
    assert dew_point(26.0, 1.0) == pytest.approx(26.0)
    assert dew_point(20.0, 0.5) == pytest.approx(9.27, abs=0.02)  # psychrometric chart at sea level: 9.3 °C
    for air_c, humidity in ((20.0, 0.0), (20.0, 1.1), (-5.0, 0.5), (70.0, 0.5)):
        with pytest.raises(NoSolution, match="no dew point"):
            dew_point(air_c, humidity)
