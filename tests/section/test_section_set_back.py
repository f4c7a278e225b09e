"""When to start again after a set-back: against the test's own march, and a room as an exact lumped body."""

import math

import numpy as np
import pytest
from section_cases import a_section

from ufh_core.basis.errors import NoSolution
from ufh_core.section import (
    ROOM_HEAT_CAPACITY,
    STANDING,
    Around,
    Layer,
    PipeInSection,
    RoomStore,
    Section,
    SetBack,
    WaterAt,
    WaterFlowing,
    WaterHeated,
    lead_before_occupation,
    steady,
)
from ufh_core.section.response import water_network
from ufh_core.section.set_back import _least_lead
from ufh_core.section.transient import Stage, march

HOUR = 3600.0
WARM = WaterAt(celsius=35.0)


def lead(hours: float, **changes: object) -> float:
    """Lead [s] of a usual floor in which water of 35 °C ran."""
    values = {"heating": WARM, "away_s": hours * HOUR, **changes}
    return lead_before_occupation(a_section(0.15, 0.1), SetBack(**values))  # type: ignore[arg-type]


def test_lead_is_as_long_as_it_must_be() -> None:
    """Started then, the floor gives 90 % when people return; started a step later, it does not (own march)."""
    section, away, step = a_section(0.15, 0.1), 8 * HOUR, 300.0
    found, wanted = lead(8.0), 0.9 * steady(section, water_c=35.0).heat_flux
    assert HOUR < found < away

    def flux_on_return(lead_s: float) -> float:
        network = water_network(section, WARM)
        still = {"room": (20.0, 20.0), "below": (20.0, 20.0), "supply": (20.0, 20.0)}
        on = still | {"water": (35.0, 35.0)}
        stages = [
            Stage(seconds=1e6, steps=400, given=on),
            Stage(seconds=away - lead_s, steps=round((away - lead_s) / step), given=still),
            Stage(seconds=lead_s, steps=round(lead_s / step), given=on),
        ]
        end = march(network, np.full(network.capacities.size, 20.0), stages).temperatures[-1]
        length = np.diff(network.x)
        surface = np.average(end[network.row(-1)], weights=np.append(length, 0.0) + np.append(0.0, length))
        return 10.8 * (float(surface) - 20.0)

    assert flux_on_return(found) >= wanted
    assert flux_on_return(found - step) < wanted


@pytest.mark.parametrize("least", range(14))
def test_bisection_finds_the_least_lead(least: int) -> None:
    assert _least_lead(lambda lead: lead >= least, 13) == least


def test_lead_depends_on_what_it_should() -> None:
    assert lead(0.5) == 0.0
    short, long = lead(4.0), lead(12.0)
    assert 0 < short < long < lead(12.0, share=0.95)
    assert 0 < lead(12.0, lowered=WaterAt(celsius=30.0)) < long
    assert 0 < lead(12.0, restart=WaterAt(celsius=40.0)) < long
    flowing = WaterFlowing(flow_c=37.5, mass_flow=0.03, length_m=80.0)
    assert lead(12.0, heating=flowing) > long


def quick_floor() -> Section:
    """A floor that stores next to nothing and loses nothing downward."""
    foil = Layer(thickness_m=0.02, conductivity=100.0, heat_capacity_volumetric=1.0)
    pipe = PipeInSection(outside_m=0.016, wall_m=0.001, conductivity=100.0, centre_m=0.01, heat_capacity_volumetric=1.0)
    return Section(pitch_m=0.20, layers=(foil,), pipe=pipe, below_r=None)


def test_room_cools_and_warms_as_a_lumped_body() -> None:
    """Exact: C dθ/dt = −H (θ − θ_e) while away, and to its steady state by H + K after the restart."""
    section, room = quick_floor(), RoomStore(heat_capacity=100e3, outdoor_c=-5.0)
    output = steady(section, water_c=30.0)
    loss = output.heat_flux / 25.0
    away, short = 6 * HOUR, 0.5
    # The water itself (471 J/(m K)) belongs to what cools: it is at the room's temperature when it stands still.
    capacity = 100e3 + math.pi * 0.007**2 * 4.16e6 / 0.20
    # Restart with 40 °C: K (40 − θ) in, loss out.
    k = output.characteristic
    final = (k * 40.0 + loss * -5.0) / (k + loss)

    def on_return(lead_s: float) -> float:
        cooled = -5.0 + 25.0 * math.exp(-loss * (away - lead_s) / capacity)
        return final + (cooled - final) * math.exp(-(k + loss) * lead_s / 100e3)

    asked = SetBack(heating=WaterAt(celsius=30.0), away_s=away, restart=WaterAt(celsius=40.0), room=room, short_k=short)
    found = lead_before_occupation(section, asked, step_s=60.0)
    exact = next(60.0 * n for n in range(360) if on_return(60.0 * n) >= 20.0 - short)
    assert found == pytest.approx(exact, abs=180.0)
    assert HOUR / 2 < found < away


def test_heavy_room_cools_less_and_needs_no_start_where_a_light_one_does() -> None:
    rooms = {name: RoomStore(heat_capacity=value, outdoor_c=-10.0) for name, value in ROOM_HEAT_CAPACITY.items()}
    leads = {name: lead(3.0, room=room) for name, room in rooms.items()}
    assert leads["very light"] > leads["very heavy"]
    assert lead(10.0, room=rooms["medium"], restart=WaterAt(celsius=45.0)) < lead(10.0, room=rooms["medium"])
    assert lead(10.0, room=rooms["medium"], short_k=1.5) < lead(10.0, room=rooms["medium"])
    mild = RoomStore(heat_capacity=165e3, outdoor_c=-30.0)
    assert lead(10.0, room=mild) != lead(10.0, room=RoomStore(heat_capacity=165e3, outdoor_c=10.0))


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: SetBack(heating=WARM, away_s=-1.0), "time of more than 0"),
        (lambda: SetBack(heating=WARM, away_s=HOUR, share=1.0), "share"),
        (lambda: SetBack(heating=WARM, away_s=HOUR, share=0.0), "share"),
        (lambda: SetBack(heating=WARM, away_s=HOUR, short_k=0.0), "shortfall"),
        (lambda: RoomStore(heat_capacity=0.0, outdoor_c=0.0), "heat capacity"),
        (lambda: RoomStore(heat_capacity=1e5, outdoor_c=math.nan), "outdoor"),
        (lambda: lead(1.0, room=RoomStore(heat_capacity=1e5, outdoor_c=20.0)), "nothing to restart"),
        (lambda: lead(1.0, heating=STANDING, room=RoomStore(heat_capacity=1e5, outdoor_c=0.0)), "nothing to restart"),
        (lambda: lead_before_occupation(a_section(), SetBack(heating=WARM, away_s=HOUR), step_s=0.0), "its step"),
    ],
)
def test_bad_input_is_one_line(make: object, words: str) -> None:
    with pytest.raises(NoSolution, match=words) as error:
        make()  # type: ignore[operator]
    assert "\n" not in str(error.value)


def test_power_and_colder_below_are_understood() -> None:
    section, around = a_section(0.15, 0.1), Around(room_c=21.0, below_c=8.0)
    found = lead_before_occupation(section, SetBack(heating=WaterHeated(power_w_m=8.0), away_s=6 * HOUR), around=around)
    assert HOUR < found < 6 * HOUR
