"""Water with antifreeze against CoolProp's incompressible mixtures MEG and MPG.

The table's figures were computed with CoolProp once and are kept as data; the grid is compared with the library
itself where it is installed.
"""

from dataclasses import replace

import pytest

from ufh_core.basis.errors import NoSolution
from ufh_core.heating_water import Fluid, heating_fluid, mass_share
from ufh_core.hydraulics import circuit_flow
from ufh_core.settings.types import Settings

ETHYLENE, PROPYLENE = "ethylene glycol", "propylene glycol"
NAMES = {ETHYLENE: "MEG", PROPYLENE: "MPG"}


@pytest.mark.parametrize(
    ("antifreeze", "share", "celsius", "rho", "cp", "mu", "freezes"),
    [
        (ETHYLENE, 0.2, 35.0, 1018.6, 3923.6, 1.132, -8.0),
        (ETHYLENE, 0.3, 40.0, 1028.8, 3775.4, 1.286, -14.6),
        (ETHYLENE, 0.4, 35.0, 1044.2, 3578.7, 1.847, -23.8),
        (PROPYLENE, 0.2, 40.0, 1006.4, 4019.0, 1.169, -7.2),
        (PROPYLENE, 0.3, 35.0, 1016.2, 3897.2, 1.809, -12.8),
        (PROPYLENE, 0.4, 35.0, 1023.3, 3754.9, 2.505, -20.6),
    ],
)
def test_mixtures_published(
    antifreeze: str, share: float, celsius: float, rho: float, cp: float, mu: float, freezes: float
) -> None:
    """Source: CoolProp, INCOMP::MEG and INCOMP::MPG at mass shares; rounding of the table."""
    fluid = heating_fluid(antifreeze, share, "mass")
    assert fluid.density(celsius) == pytest.approx(rho, abs=0.051)
    assert fluid.heat_capacity(celsius) == pytest.approx(cp, abs=0.051)
    assert fluid.viscosity(celsius) * 1000 == pytest.approx(mu, abs=0.001)
    assert fluid.freezing_c == pytest.approx(freezes, abs=0.06)


@pytest.mark.parametrize("antifreeze", [ETHYLENE, PROPYLENE])
@pytest.mark.parametrize("share", [0.03, 0.11, 0.25, 0.37, 0.5])
@pytest.mark.parametrize("celsius", [0.0, 8.5, 27.0, 41.0, 60.0])
def test_mixtures_against_coolprop(antifreeze: str, share: float, celsius: float) -> None:
    """Source: CoolProp 8.0.0 itself, at places between those of the fit too."""
    coolprop = pytest.importorskip("CoolProp.CoolProp", reason="CoolProp is not installed")
    fluid, name = heating_fluid(antifreeze, share, "mass"), f"INCOMP::{NAMES[antifreeze]}[{share}]"
    found = {
        "D": fluid.density(celsius),
        "C": fluid.heat_capacity(celsius),
        "V": fluid.viscosity(celsius),
        "L": fluid.conductivity(celsius),
    }
    for key, value in found.items():
        assert value == pytest.approx(coolprop.PropsSI(key, "T", celsius + 273.15, "P", 2e5, name), rel=1e-5), key
    freezing_k = coolprop.PropsSI("T_FREEZE", "T", 300.0, "P", 2e5, name)
    assert fluid.freezing_c == pytest.approx(freezing_k - 273.15, abs=0.002)


@pytest.mark.parametrize(("antifreeze", "name"), [(ETHYLENE, "AEG"), (PROPYLENE, "APG")])
def test_share_of_the_volume_against_coolprop(antifreeze: str, name: str) -> None:
    """Source: CoolProp's mixtures by volume, AEG and APG (with inhibitors): within 0.7 %, nearer than by mass."""
    coolprop = pytest.importorskip("CoolProp.CoolProp", reason="CoolProp is not installed")
    other = coolprop.PropsSI("D", "T", 313.15, "P", 2e5, f"INCOMP::{name}[0.4]")
    by_volume, by_mass = (heating_fluid(antifreeze, 0.4, by).density(40.0) for by in ("volume", "mass"))
    assert by_volume == pytest.approx(other, rel=7e-3)
    assert abs(by_volume - other) < abs(by_mass - other)
    assert mass_share(antifreeze, 0.4) > 0.4


def test_circuit_with_propylene_glycol_published() -> None:
    """Source: `fluids` with CoolProp's MPG 30 %, 35 °C, 1.5 l/min in 12 mm: Re 1490, laminar, 88.8 Pa/m."""
    own = replace(Settings().hydraulics, antifreeze=PROPYLENE, antifreeze_share=0.3, antifreeze_share_by="mass")
    settings = replace(Settings(), hydraulics=own)
    flow = circuit_flow(1.5e-3 / 60 * own.fluid.density(35.0), 35.0, 1.0, [], settings)
    assert flow.volume_flow == pytest.approx(1.5e-3 / 60)
    assert flow.reynolds == pytest.approx(1490, rel=2e-3)
    assert (flow.regime, flow.pipe_drop_pa) == ("laminar", pytest.approx(88.8, rel=2e-3))


def test_plain_water_is_not_the_limit_of_a_mixture() -> None:
    """Source: IAPWS-95, as in the table of water."""
    assert Fluid().density(40.0) == pytest.approx(992.26, rel=1e-4)
    assert Fluid().heat_capacity(40.0) == pytest.approx(4179.2, rel=2e-4)
    assert Fluid().viscosity(40.0) == pytest.approx(6.527e-4, rel=1e-3)
    assert Fluid().conductivity(40.0) == pytest.approx(0.6285, rel=1e-3)
    assert Fluid().freezing_c == 0.0


@pytest.mark.parametrize(
    ("fluid", "celsius", "words"),
    [
        (Fluid(), 4.9, "water of 4.9 °C is outside the range of 5 to 70 °C"),
        (Fluid(), 70.1, "water of 70.1 °C"),
        (
            heating_fluid(PROPYLENE, 0.3, "mass"),
            60.1,
            "30% propylene glycol of 60.1 °C is outside the range of 0 to 60",
        ),
        (heating_fluid(PROPYLENE, 0.3, "mass"), -5.0, "30% propylene glycol of -5 °C"),
    ],
)
def test_nothing_is_said_beyond_the_fit(fluid: Fluid, celsius: float, words: str) -> None:
    for quantity in (fluid.density, fluid.heat_capacity, fluid.viscosity, fluid.conductivity):
        with pytest.raises(NoSolution, match=words):
            quantity(celsius)


def test_shares_beyond_the_fit_and_names() -> None:
    for share in (0.0, 0.501):
        with pytest.raises(NoSolution, match="of the mass ethylene glycol is"):
            heating_fluid(ETHYLENE, share, "mass")
    assert heating_fluid("none", 0.4, "mass") == Fluid() == heating_fluid("none", 0.4, "volume")
    assert (Fluid().name, Fluid().mass_share) == ("water", 0.0)
    assert heating_fluid(ETHYLENE, 0.3, "mass").name == "water with 30% of its mass ethylene glycol"
