"""Random sections of floors: no heat gets lost, nothing is warmer than the water, more resistance gives less heat."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ufh_core.section import Around, Layer, PipeInSection, Section, WaterAt, steady, step_response


@st.composite
def sections(draw: st.DrawFn) -> Section:
    """Pipes of all sizes, on their insulation or over it, under screed and perhaps a covering."""
    outside = draw(st.sampled_from([0.010, 0.014, 0.016, 0.017, 0.020, 0.025]))
    gap = draw(st.sampled_from([0.0, 0.0001, 0.0005, 0.003, 0.01, 0.03]))
    cover = draw(st.sampled_from([0.01, 0.03, 0.045, 0.1]))
    insulation = draw(st.sampled_from([0.005, 0.03, 0.05, 0.2]))
    layers = [
        Layer(thickness_m=insulation, conductivity=draw(st.floats(0.02, 0.06)), heat_capacity_volumetric=3e4),
        Layer(thickness_m=gap + outside + cover, conductivity=draw(st.floats(0.8, 2.5)), heat_capacity_volumetric=2e6),
    ]
    if draw(st.booleans()):
        covering = draw(st.floats(0.05, 1.5))
        layers.append(Layer(thickness_m=0.012, conductivity=covering, heat_capacity_volumetric=1.5e6))
    pipe = PipeInSection(
        outside_m=outside,
        wall_m=draw(st.floats(0.001, 0.0025)),
        conductivity=draw(st.floats(0.2, 0.5)),
        centre_m=insulation + gap + outside / 2,
        film=draw(st.sampled_from([200.0, 1500.0, float("inf")])),
    )
    pitch = draw(st.floats(outside + 0.004, 0.5))
    below = draw(st.sampled_from([None, 0.17, 1.0]))
    return Section(pitch_m=pitch, layers=tuple(layers), pipe=pipe, below_r=below)


@settings(max_examples=40, deadline=None)
@given(section=sections(), room=st.floats(5.0, 24.0), over=st.floats(1.0, 40.0))
def test_steady_floor(section: Section, room: float, over: float) -> None:
    found = steady(section, water_c=room + over, around=Around(room_c=room))
    given_off = (found.heat_flux + found.downward_flux) * section.pitch_m
    assert given_off == pytest.approx(found.linear_output * over, rel=1e-7)
    assert room < found.least_surface_c <= found.mean_surface_c <= found.peak_surface_c
    assert found.peak_surface_c < found.screed_peak_c < room + over * (1 + 1e-4)
    finer = steady(section, water_c=room + over, around=Around(room_c=room), cells=14)
    assert finer.heat_flux == pytest.approx(found.heat_flux, rel=4e-3)


@settings(max_examples=25, deadline=None)
@given(section=sections())
def test_more_resistance_gives_less_heat(section: Section) -> None:
    found = steady(section, water_c=35.0).characteristic
    assert steady(replace(section, finish_r=0.05), water_c=35.0).characteristic < found
    thin_walled = replace(section.pipe, wall_m=0.0005)
    assert steady(replace(section, pipe=thin_walled), water_c=35.0).characteristic > found
    laminar = replace(section.pipe, film=100.0)
    assert steady(replace(section, pipe=laminar), water_c=35.0).characteristic < found
    assert steady(replace(section, pitch_m=section.pitch_m * 1.2), water_c=35.0).characteristic < found


@settings(max_examples=15, deadline=None)
@given(section=sections(), water=st.floats(25.0, 55.0))
def test_heating_up_keeps_its_balance_and_its_bounds(section: Section, water: float) -> None:
    response = step_response(section, WaterAt(celsius=water), seconds=40000.0, step_s=100.0)
    assert response.heat_in == pytest.approx(response.heat_stored, rel=1e-5, abs=1.0)
    assert response.heat_flux.min() > -0.01 * response.final_flux
    assert response.heat_flux.max() < 1.001 * response.final_flux
    assert response.mean_surface_c.min() > 19.95
    assert response.peak_surface_c.max() < water
