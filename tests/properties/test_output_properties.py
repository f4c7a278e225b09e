"""What must hold for every heated floor, whatever its figures."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ufh_core.building.types import RoomKind
from ufh_core.floor.types import FloorSection
from ufh_core.settings.types import Settings
from ufh_core.thermal_output import characteristic, design_outputs, laid_outputs, limit_flux
from ufh_core.thermal_output.surface import surface_flux
from ufh_core.thermal_output.types import LaidField, RoomRequest
from ufh_core.thermal_output.water_side import (
    WATER_HEAT,
    flow_overtemperature,
    log_mean_overtemperature,
    spread,
    upward_resistance,
)

sections = st.builds(
    FloorSection,
    pitch_m=st.floats(0.05, 0.45),
    cover_m=st.floats(0.03, 0.15),
    screed_conductivity=st.floats(1.0, 2.0),
    finish_r=st.floats(0.0, 0.15),
    pipe_diameter_m=st.floats(0.010, 0.025),
    pipe_wall_m=st.floats(0.001, 0.003),
    pipe_conductivity=st.floats(0.2, 0.5),
    r_below=st.floats(0.9, 4.0),
)
requests = st.builds(
    RoomRequest,
    room=st.just("room"),
    kind=st.sampled_from(RoomKind),
    indoor_c=st.floats(15.0, 24.0),
    demand_w=st.floats(0.0, 4000.0),
    heatable_area_m2=st.floats(0.5, 60.0),
    finish_r=st.floats(0.0, 0.25),
    r_below=st.floats(0.9, 4.0),
    below_c=st.floats(-10.0, 24.0),
)


@given(sections, st.floats(0.005, 0.10))
def test_wider_pitch_gives_less(section: FloorSection, wider: float) -> None:
    assert characteristic(replace(section, pitch_m=section.pitch_m + wider)) < characteristic(section)


@given(sections, st.floats(0.005, 0.2))
def test_more_finish_gives_less(section: FloorSection, more: float) -> None:
    assert characteristic(replace(section, finish_r=section.finish_r + more)) < characteristic(section)


@given(sections, st.floats(0.05, 0.5))
def test_better_pipe_wall_gives_more(section: FloorSection, better: float) -> None:
    better_wall = replace(section, pipe_conductivity=section.pipe_conductivity + better)
    assert characteristic(better_wall) > characteristic(section)


@given(sections)
def test_less_than_its_layers_let_through(section: FloorSection) -> None:
    """A floor of pipes gives no more than one whose whole pipe plane is as warm as the water (within 15 %)."""
    assert 0 < characteristic(section) < 1.15 / upward_resistance(section)


@given(sections, st.floats(3.0, 8.0))
def test_limit_rises_with_the_surface_allowed(section: FloorSection, limit_k: float) -> None:
    lower, higher = limit_flux(section, limit_k)[0], limit_flux(section, limit_k + 1)[0]
    assert lower < higher <= surface_flux(limit_k + 1) * (1 + 1e-9)


@given(st.floats(1.0, 60.0), st.floats(0.01, 0.95))
def test_log_mean_inverts(flow_k: float, share: float) -> None:
    sigma = share * flow_k
    mean = log_mean_overtemperature(flow_k, sigma)
    assert flow_k - sigma < mean < flow_k
    assert flow_overtemperature(mean, sigma) == pytest.approx(flow_k, rel=1e-6)
    assert spread(flow_k, mean) == pytest.approx(sigma, rel=1e-5)


@settings(max_examples=60, deadline=None)
@given(st.lists(requests, min_size=1, max_size=5))
def test_storey_keeps_its_rules(rooms: list[RoomRequest]) -> None:
    rooms = [replace(room, room=f"r{k}") for k, room in enumerate(rooms)]
    rules = Settings()
    storey = design_outputs(rooms, rules)
    assert storey == design_outputs(rooms, rules)
    assert storey.flow_c <= rules.output.greatest_flow_c + 1e-9
    for room in rooms:
        output = storey.rooms[room.room]
        assert output.heat_flux <= output.limit_flux * (1 + 1e-9)
        assert output.output_w + output.shortfall_w >= room.demand_w - 1.0
        assert output.spread_k <= rules.output.greatest_spread_k + 1e-6 or output.heat_flux == pytest.approx(
            output.limit_flux
        )
        carried_w = output.mass_flow * WATER_HEAT * (output.flow_c - output.return_c)
        assert carried_w == pytest.approx(output.output_w + output.downward_flux * output.heated_area_m2, rel=1e-6)
        assert (output.shortfall_w > 0) == bool(output.advice)
        assert output.return_c >= room.indoor_c
        assert output.peak_surface_c >= output.mean_surface_c >= room.indoor_c


@settings(max_examples=60, deadline=None)
@given(requests, st.lists(st.tuples(st.floats(0.5, 20.0), st.sampled_from((0.15, 0.2, 0.3))), min_size=1, max_size=4))
def test_circuits_add_up_to_their_room(room: RoomRequest, parts: list[tuple[float, float]]) -> None:
    fields = [LaidField(circuit=f"c{k}", room="room", area_m2=a, pitch_m=t) for k, (a, t) in enumerate(parts)]
    laid = laid_outputs([room], fields, 40.0, Settings())
    circuits = laid.circuits.values()
    output = laid.rooms["room"]
    assert sum(c.output_w for c in circuits) == pytest.approx(output.output_w, rel=1e-9)
    for circuit in circuits:
        carried_w = circuit.mass_flow * WATER_HEAT * (circuit.flow_c - circuit.return_c)
        assert carried_w == pytest.approx(circuit.output_w + circuit.downward_w, rel=1e-6)
        assert circuit.return_c == pytest.approx(output.return_c)
