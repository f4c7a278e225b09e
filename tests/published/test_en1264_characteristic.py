"""EN 1264-2 characteristic and limits against values from outside.

Sources: [textbook] a public transcription of a textbook's table 4.1 (a_B), [S4] Göbel, Schmitt, Mehrfeld,
Müller, "Underfloor heating system model for building performance simulations", 14th International Modelica
Conference 2021, doi 10.3384/ecp21181343. What is marked `regression` was computed from the same formulas
by a separate calculation: it guards against slips, it does not prove the standard's figures.
"""

import math

import pytest

from ufh_core.basis.errors import NoSolution
from ufh_core.floor.types import FloorSection
from ufh_core.thermal_output import characteristic, flow_temperature, limit_flux, mean_surface_overtemperature, tables
from ufh_core.thermal_output.characteristic import finish_factor
from ufh_core.thermal_output.surface import peak_over_mean, surface_flux
from ufh_core.thermal_output.water_side import (
    downward_flux,
    log_mean_overtemperature,
    mass_flow,
    spread,
    spread_by_series,
)


def section(**changes: float) -> FloorSection:
    """16 x 2 mm PE-X under 45 mm of cement screed."""
    base = {
        "pitch_m": 0.15,
        "cover_m": 0.045,
        "screed_conductivity": 1.2,
        "finish_r": 0.10,
        "pipe_diameter_m": 0.016,
        "pipe_wall_m": 0.002,
        "pipe_conductivity": 0.35,
        "r_below": 1.42,
    }
    return FloorSection(**{**base, **changes})


@pytest.mark.parametrize(
    ("screed", "published"),
    [
        (2.0, (1.196, 0.833, 0.640, 0.519)),
        (1.5, (1.122, 0.797, 0.618, 0.505)),
        (1.2, (1.058, 0.764, 0.598, 0.491)),
        (1.0, (1.000, 0.734, 0.579, 0.478)),
    ],
)
def test_finish_factor_published(screed: float, published: tuple[float, ...]) -> None:
    """Source: [textbook] table 4.1 of a_B; two entries are rounded differently there, so 0.001."""
    for finish_r, value in zip((0.0, 0.05, 0.10, 0.15), published, strict=True):
        found = finish_factor(section(screed_conductivity=screed, finish_r=finish_r))
        assert found == pytest.approx(value, abs=0.0011)


def test_basic_characteristic_published() -> None:
    """Source: EN 1264-2: 100 W/m² at 9 K and 175 W/m² at 15 K."""
    assert surface_flux(9.0) == pytest.approx(100.007, rel=1e-5)
    assert surface_flux(15.0) == pytest.approx(175.414, rel=1e-5)
    assert mean_surface_overtemperature(surface_flux(7.3)) == pytest.approx(7.3)


RETURNS = [  # T [m], D [m], λ_R, θ_R room 1, θ_R room 2
    (0.100, 0.017, 0.35, 31.7469, 24.6475),
    (0.200, 0.017, 0.35, 34.7039, 25.8719),
    (0.350, 0.017, 0.35, 40.2089, 28.1598),
    (0.350, 0.025, 0.35, 38.2983, 27.3649),
    (0.350, 0.017, 0.22, 41.5912, 28.7351),
]


@pytest.mark.parametrize(("pitch", "diameter", "conductivity", "first_c", "second_c"), RETURNS)
def test_returns_published(pitch: float, diameter: float, conductivity: float, first_c: float, second_c: float) -> None:
    """Source: [S4], ten return temperatures of two rooms (20 °C, 50 and 33 1/3 W/m², σ 5 K in the first).

    D, λ_E and the second flux are inferred: the values that reproduce all ten. The paper uses the
    standard's series for the spread of the second room.
    """
    k_h = characteristic(
        section(cover_m=0.060, pitch_m=pitch, pipe_diameter_m=diameter, pipe_conductivity=conductivity)
    )
    flow_c = flow_temperature(20.0, 50.0 / k_h, 5.0)
    assert flow_c - 5.0 == pytest.approx(first_c, abs=0.002)
    second = flow_c - spread_by_series(flow_c - 20.0, 100.0 / 3 / k_h)
    assert second == pytest.approx(second_c, abs=0.002)


STRENGTHS = {  # regression: K_H [W/(m² K)] at R 0, 0.05, 0.10, 0.15
    0.10: (6.4274, 4.7153, 3.7353, 3.1004),
    0.15: (5.5396, 4.1671, 3.3682, 2.8344),
    0.20: (4.7978, 3.6936, 3.0402, 2.5912),
    0.25: (4.1621, 3.2771, 2.7468, 2.3714),
    0.30: (3.6164, 2.9104, 2.4842, 2.1723),
}
RAISED_PIPE = {  # pipe 10 mm over the insulation, R_ins 2.0: finite elements over EN 1264-2 [%]
    0.10: (-3.8, -0.1, 1.8, 2.9),
    0.15: (-2.9, 1.3, 3.1, 4.0),
    0.20: (-2.9, 1.6, 3.3, 4.3),
    0.30: (-2.4, 1.8, 2.8, 3.4),
}


@pytest.mark.parametrize("pitch", STRENGTHS)
def test_characteristic_regression(pitch: float) -> None:
    for finish_r, value in zip(tables.FINISH_R, STRENGTHS[pitch], strict=True):
        assert characteristic(section(pitch_m=pitch, finish_r=finish_r)) == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize(
    ("pitch", "finish_r", "series"),
    [
        (0.10, 0.0, 6.1476),
        (0.10, 0.10, 3.7833),
        (0.15, 0.0, 5.3295),
        (0.15, 0.10, 3.4372),
        (0.20, 0.0, 4.5977),
        (0.20, 0.10, 3.0957),
        (0.30, 0.0, 3.4686),
        (0.30, 0.10, 2.4945),
    ],
)
def test_characteristic_near_heat_conduction(pitch: float, finish_r: float, series: float) -> None:
    """Source: an independent Fourier-series solution of the heat conduction, pipe 10 mm over the insulation: 5 %."""
    assert characteristic(section(pitch_m=pitch, finish_r=finish_r)) == pytest.approx(series, rel=0.05)


LIMITS = {  # regression: q_G [W/m²] at 9 K and R 0, 0.05, 0.10, 0.15
    0.10: (97.7, 98.7, 99.5, 100.0),
    0.15: (94.7, 96.9, 98.6, 100.0),
    0.20: (90.6, 94.0, 96.6, 98.7),
    0.25: (84.4, 88.8, 92.2, 95.1),
    0.30: (77.0, 82.6, 87.0, 90.9),
}
LIMIT_OVERTEMPERATURES = {  # regression: Δθ_H,G [K]; the last of 0.10 m before q_G is held to 100.007 W/m²
    0.10: (15.20, 20.94, 26.64, 32.30),
    0.20: (18.88, 25.44, 31.76, 38.10),
    0.30: (21.29, 28.39, 35.01, 41.83),
}


@pytest.mark.parametrize("pitch", LIMITS)
def test_limit_flux_regression(pitch: float) -> None:
    for finish_r, value in zip(tables.FINISH_R, LIMITS[pitch], strict=True):
        assert limit_flux(section(pitch_m=pitch, finish_r=finish_r), 9.0)[0] == pytest.approx(value, abs=0.06)


@pytest.mark.parametrize("pitch", LIMIT_OVERTEMPERATURES)
def test_limit_overtemperature_regression(pitch: float) -> None:
    for finish_r, value in zip(tables.FINISH_R, LIMIT_OVERTEMPERATURES[pitch], strict=True):
        assert limit_flux(section(pitch_m=pitch, finish_r=finish_r), 9.0)[1] == pytest.approx(value, abs=0.05)


@pytest.mark.parametrize(("pitch", "band"), [(0.10, 0.02), (0.15, 0.02), (0.20, 0.06), (0.30, 0.12)])
def test_limit_flux_near_heat_conduction(pitch: float, band: float) -> None:
    """Source: own finite-element study, flux at which the surface's peak is 9 K, film corrected to 11.1."""
    study = {
        0.10: (95.9, 96.5, 96.9, 97.0),
        0.15: (91.2, 93.5, 94.8, 95.7),
        0.20: (83.8, 88.0, 90.8, 92.6),
        0.30: (67.2, 74.0, 79.0, 82.8),
    }
    for finish_r, peak_flux in zip(tables.FINISH_R, study[pitch], strict=True):
        found = limit_flux(section(pitch_m=pitch, finish_r=finish_r), 9.0)[0]
        assert peak_flux * 100.0 / 97.2 == pytest.approx(found, rel=band)


def test_edge_zone_allows_more() -> None:
    q_edge, overtemperature = limit_flux(section(finish_r=0.0), 15.0)
    assert limit_flux(section(finish_r=0.0), 9.0)[0] < q_edge <= surface_flux(15.0)
    assert q_edge == pytest.approx(characteristic(section(finish_r=0.0)) * overtemperature)


def test_limit_curves_meet_where_the_tables_meet() -> None:
    """Both forms of the limit table agree at T 0.375 m where s_u/λ_E passes 0.0792 (λ_E 1.2): within 3 %."""
    below = limit_flux(section(pitch_m=0.375, cover_m=0.0950), 9.0)[0]
    above = limit_flux(section(pitch_m=0.375, cover_m=0.0951), 9.0)[0]
    assert above == pytest.approx(below, rel=0.03)


@pytest.mark.parametrize("cover", [0.045, 0.080])
def test_wide_pitch_continues_at_the_last_of_the_table(cover: float) -> None:
    """Where the standard's rule for T > 0.375 m starts, K_H and (with s_u/T ≤ 0.173 or not) q_G stay close."""
    last, next_ = (section(pitch_m=pitch, cover_m=cover) for pitch in (0.375, 0.3751))
    assert characteristic(next_) == pytest.approx(characteristic(last), rel=1e-3)
    assert limit_flux(next_, 9.0)[0] >= limit_flux(last, 9.0)[0] * 0.998
    assert characteristic(section(pitch_m=0.45)) == pytest.approx(characteristic(section(pitch_m=0.375)) * 0.375 / 0.45)


def test_wide_pitch_under_thick_screed_hand_calculated() -> None:
    """T 0.45 m under 120 mm (s_u/T 0.2667): the limit goes back towards that of an even surface."""
    thinned = limit_flux(section(pitch_m=0.375, cover_m=0.12), 9.0)[0] * 0.375 / 0.45
    expected = 100.007 - (100.007 - thinned) * math.exp(-20 * (0.12 / 0.45 - 0.173) ** 2)
    assert limit_flux(section(pitch_m=0.45, cover_m=0.12), 9.0)[0] == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize("pitch", [0.15, 0.30])
def test_limit_scales_with_the_surface_allowed(pitch: float) -> None:
    """Source: EN 1264-2: φ = ((θ_F,max − θ_i)/9)^1.1 multiplies the limit flux."""
    at_nine = limit_flux(section(pitch_m=pitch, finish_r=0.0), 9.0)[0]
    assert limit_flux(section(pitch_m=pitch, finish_r=0.0), 15.0)[0] == pytest.approx(at_nine * (15 / 9) ** 1.1)


def test_finish_beyond_the_table_hand_calculated() -> None:
    """Own extension: 1/K_H at 0.20 as much over that at 0.15 as that is over that at 0.10 m² K/W."""
    at_010, at_015 = 1 / 3.3682, 1 / 2.8344
    assert characteristic(section(finish_r=0.20)) == pytest.approx(1 / (2 * at_015 - at_010), rel=2e-4)


def test_thick_screed_adds_its_resistance() -> None:
    """Source: EN 1264-2, s_u* 0.100 m at T ≤ 0.200 m."""
    thick, thickest = characteristic(section(cover_m=0.13)), characteristic(section(cover_m=0.10))
    assert 1 / thick - 1 / thickest == pytest.approx(0.03 / 1.2)


ROOMS = [  # regression: θ_i, q, T, R_λB, R_u, Δθ_H, θ_F,m, θ_V needed at σ 5
    (20.0, 50.0, 0.15, 0.10, 1.42, 14.845, 24.79, 37.485),
    (20.0, 60.0, 0.15, 0.05, 1.42, 14.398, 25.66, 37.043),
    (18.0, 40.0, 0.20, 0.10, 0.92, 13.157, 21.91, 33.815),
    (18.0, 30.0, 0.20, 0.05, 1.42, 8.122, 21.01, 28.877),
    (24.0, 70.0, 0.10, 0.02, 1.42, 12.488, 30.51, 39.155),
]


@pytest.mark.parametrize(("indoor", "q", "pitch", "finish_r", "r_below", "over", "surface", "flow"), ROOMS)
def test_rooms_regression(
    indoor: float, q: float, pitch: float, finish_r: float, r_below: float, over: float, surface: float, flow: float
) -> None:
    k_h = characteristic(section(pitch_m=pitch, finish_r=finish_r, r_below=r_below))
    assert q / k_h == pytest.approx(over, abs=0.001)
    assert indoor + mean_surface_overtemperature(q) == pytest.approx(surface, abs=0.006)
    assert flow_temperature(indoor, q / k_h, 5.0) == pytest.approx(flow, abs=0.001)


@pytest.mark.parametrize(
    ("over", "indoor", "series", "exact"),
    [(14.845, 20, 4.198, 4.198), (13.157, 18, 10.401, 10.412), (8.122, 18, 16.353, 16.566), (12.488, 24, 1.093, 1.093)],
)
def test_spreads_regression(over: float, indoor: float, series: float, exact: float) -> None:
    flow_k = 37.043 - indoor
    assert spread_by_series(flow_k, over) == pytest.approx(series, abs=0.003)
    assert spread(flow_k, over) == pytest.approx(exact, abs=0.003)
    assert log_mean_overtemperature(flow_k, spread(flow_k, over)) == pytest.approx(over)


@pytest.mark.parametrize(("below_c", "kg_h"), [(20.0, 239.62), (10.0, 263.82)])
def test_mass_flow_regression(below_c: float, kg_h: float) -> None:
    """20 m² at 60 W/m², σ 5 K, R_u 1.42: EN 1264-3 with the downward loss."""
    down = downward_flux(section(), 60.0, 20.0, below_c)
    assert mass_flow(20.0 * (60.0 + down), 5.0) * 3600 == pytest.approx(kg_h, abs=0.02)


def test_peak_estimate() -> None:
    """Source: own finite-element study, 50 W/m²; scaled with the flux, carried on over 0.30 m."""
    assert peak_over_mean(0.20, 0.05, 50.0) == pytest.approx(0.48)
    assert peak_over_mean(0.30, 0.0, 25.0) == pytest.approx(2.07 / 2)
    assert peak_over_mean(0.35, 0.0, 50.0) == pytest.approx(2.07 + 0.73)
    assert peak_over_mean(0.30, 0.30, 50.0) == pytest.approx(0.81)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"pitch_m": 0.04}, "pitch"),
        ({"cover_m": 0.005}, "screed over the pipe"),
        ({"pipe_diameter_m": 0.035}, "pipe diameter"),
        ({"pipe_wall_m": 0.008}, "pipe wall"),
        ({"finish_r": -0.01}, "finish resistance"),
        ({"pitch_m": math.nan}, "pitch"),
    ],
)
def test_out_of_range_is_one_line(changes: dict[str, float], words: str) -> None:
    with pytest.raises(NoSolution, match=words) as error:
        characteristic(section(**changes))
    assert "\n" not in str(error.value)


def test_no_limit_curve_for_hardly_any_screed() -> None:
    with pytest.raises(NoSolution, match="use more cover"):
        limit_flux(section(cover_m=0.012, screed_conductivity=1.6), 9.0)
