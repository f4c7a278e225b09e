"""Content, expansion and the vessel for it."""

from dataclasses import replace

import pytest

from ufh_core.basis.errors import NoSolution
from ufh_core.heating_water import Fluid, heating_fluid
from ufh_core.hydraulics import balance, circuit_flow, vessel
from ufh_core.hydraulics.expansion import expansion_volume
from ufh_core.settings.types import Settings

SETTINGS = Settings()


def with_hydraulics(**changes: object) -> Settings:
    return replace(SETTINGS, hydraulics=replace(SETTINGS.hydraulics, **changes))


@pytest.mark.parametrize(("hottest", "share"), [(40.0, 0.0075), (50.0, 0.0117), (60.0, 0.0168), (70.0, 0.0224)])
def test_water_from_10_degrees_on(hottest: float, share: float) -> None:
    """Source: density of water by IAPWS-95 (999.7 at 10 °C; 992.2, 988.0, 983.2, 977.8), from memory."""
    assert expansion_volume(0.5, 10.0, hottest, Fluid()) == pytest.approx(0.5 * share, abs=0.5 * 0.0002)


def test_antifreeze_expands_more() -> None:
    mixture = heating_fluid("ethylene glycol", 0.4, "mass")
    assert expansion_volume(1.0, 10.0, 55.0, mixture) > 1.3 * expansion_volume(1.0, 10.0, 55.0, Fluid())


def test_cooler_than_at_filling_is_an_error() -> None:
    with pytest.raises(NoSolution, match="does not expand"):
        expansion_volume(1.0, 20.0, 15.0, Fluid())


def test_vessel_by_hand() -> None:
    """Source: EN 12828, from memory; by hand: 400 l, 10 to 55 °C, 10 m of height, safety valve of 3 bar.

    999.7/985.7 − 1 = 1.42 %: 5.68 l; reserve 3 l; p_0 = 0.981 + 0.3 = 1.281 bar; p_e = 2.5 bar;
    8.68 · 3.5/1.219 = 24.9 l.
    """
    got = vessel(0.4, with_hydraulics(static_height_m=10.0))
    assert got.content_m3 == 0.4
    assert got.expansion_m3 * 1000 == pytest.approx(5.68, abs=0.03)
    assert got.reserve_m3 == 0.003
    assert got.pre_pressure_pa == pytest.approx(1.281e5, rel=1e-3)
    assert got.final_pressure_pa == 2.5e5
    assert got.vessel_m3 * 1000 == pytest.approx(24.9, abs=0.1)


def test_least_pressures_and_reserves() -> None:
    assert vessel(0.1, with_hydraulics(static_height_m=1.0)).pre_pressure_pa == 0.7e5
    assert vessel(2.0, SETTINGS).reserve_m3 == pytest.approx(0.010)
    high = vessel(0.4, with_hydraulics(safety_valve_pa=600000.0))
    assert high.final_pressure_pa == pytest.approx(540000.0)


def test_hottest_is_the_flow_temperature_where_that_is_hotter() -> None:
    warm = replace(SETTINGS, output=replace(SETTINGS.output, greatest_flow_c=60.0))
    assert vessel(0.4, warm).expansion_m3 == pytest.approx(expansion_volume(0.4, 10.0, 60.0, Fluid()))
    assert vessel(0.4, SETTINGS).expansion_m3 == pytest.approx(expansion_volume(0.4, 10.0, 55.0, Fluid()))


def test_safety_valve_without_room() -> None:
    with pytest.raises(NoSolution, match="leaves no room") as error:
        vessel(0.4, with_hydraulics(static_height_m=50.0))
    assert "\n" not in str(error.value)


def test_duty_holds_its_expansion() -> None:
    flows = {"M1.01": circuit_flow(0.03, 36.0, 80.0, [], SETTINGS)}
    _, duty = balance(flows, {"M1.01": 80.0}, SETTINGS)
    assert duty.expansion_m3 == pytest.approx(expansion_volume(duty.water_content_m3, 10.0, 55.0, Fluid()))
