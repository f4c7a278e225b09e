"""Tables of EN 1264-2 for pipes in screed (types A and C), as data.

Each table names its source. The standard itself was not at hand: values are as transcribed in public
sources that agree with each other, and should be compared with a bought copy.

S1: a public Modelica library for building simulation, which cites the tables by number.
S2: a public transcription of ISO 11855-2:2021, tables A.2 to A.6.
S3: a public transcription of a textbook's tables 4.1 to 4.15.
"""

from __future__ import annotations

from ufh_core.thermal_output.interpolation import Curve, Grid

FINISH_R = (0.0, 0.05, 0.10, 0.15)  # R_λB [m² K/W]

A_T = Curve(name="finish resistance R_λB", at=FINISH_R, values=(1.23, 1.188, 1.156, 1.134))
"""Pitch factor a_T. Source: EN 1264-2, by S1, S2, S3."""

_PITCHES = (0.05, 0.075, 0.10, 0.15, 0.20, 0.225, 0.30, 0.375)  # T [m]

A_U = Grid(
    name="pitch T and finish resistance R_λB",
    rows=_PITCHES,
    columns=FINISH_R,
    values=(
        (1.069, 1.056, 1.043, 1.037),
        (1.066, 1.053, 1.041, 1.035),
        (1.063, 1.050, 1.039, 1.0335),
        (1.057, 1.046, 1.035, 1.0305),
        (1.051, 1.041, 1.0315, 1.0275),
        (1.048, 1.038, 1.0295, 1.026),
        (1.0395, 1.031, 1.024, 1.021),
        (1.030, 1.0221, 1.0181, 1.015),
    ),
)
"""Cover factor a_U over T and R_λB. Source: EN 1264-2, by S1, S2, S3 (one more has 1.022, 1.018 in the last row)."""

A_D = Grid(
    name="pitch T and finish resistance R_λB",
    rows=_PITCHES,
    columns=FINISH_R,
    values=(
        (1.013, 1.013, 1.012, 1.011),
        (1.021, 1.019, 1.016, 1.014),
        (1.029, 1.025, 1.022, 1.018),
        (1.040, 1.034, 1.029, 1.024),
        (1.046, 1.040, 1.035, 1.030),
        (1.049, 1.043, 1.038, 1.033),
        (1.053, 1.049, 1.044, 1.039),
        (1.056, 1.051, 1.046, 1.042),
    ),
)
"""Pipe diameter factor a_D over T and R_λB. Source: EN 1264-2, by S1, S2, S3."""

_COVER_R = (0.01, 0.0208, 0.0292, 0.0375, 0.0458, 0.0542, 0.0625, 0.0708, 0.0792)  # s_u/λ_E [m² K/W]

B_G = Grid(
    name="pitch T and cover resistance s_u/λ_E",
    rows=_PITCHES,
    columns=_COVER_R,
    values=(
        (85.0, 91.5, 96.8, 100, 100, 100, 100, 100, 100),
        (75.3, 83.5, 89.9, 96.3, 99.5, 100, 100, 100, 100),
        (66.0, 75.4, 82.9, 89.3, 95.5, 98.8, 100, 100, 100),
        (51.0, 61.1, 69.2, 76.3, 82.7, 87.5, 91.8, 95.1, 97.8),
        (38.5, 48.2, 56.2, 63.1, 69.1, 74.5, 81.3, 86.4, 90.0),
        (33.0, 42.5, 49.5, 56.5, 62.0, 67.5, 75.3, 81.6, 86.1),
        (20.5, 26.8, 31.6, 36.4, 41.5, 47.5, 57.5, 65.3, 72.4),
        (11.5, 13.7, 15.5, 18.2, 21.5, 27.5, 40.0, 49.1, 58.3),
    ),
)
"""Limit curve B_G for s_u/λ_E ≤ 0.0792. Source: EN 1264-2, by S1, S3 (S2 has a slip, 51.5 for 41.5)."""

N_G = Grid(
    name="pitch T and cover resistance s_u/λ_E",
    rows=(0.05, 0.075, 0.10, 0.15, 0.20, 0.225, 0.2625, 0.30, 0.3375, 0.375),
    columns=_COVER_R,
    values=(
        (0.008, 0.005, 0.002, 0, 0, 0, 0, 0, 0),
        (0.024, 0.021, 0.018, 0.011, 0.002, 0, 0, 0, 0),
        (0.046, 0.043, 0.041, 0.033, 0.014, 0.005, 0, 0, 0),
        (0.088, 0.085, 0.082, 0.076, 0.055, 0.038, 0.024, 0.014, 0.006),
        (0.131, 0.130, 0.129, 0.123, 0.105, 0.083, 0.057, 0.040, 0.028),
        (0.155, 0.154, 0.153, 0.146, 0.130, 0.110, 0.077, 0.056, 0.041),
        (0.197, 0.196, 0.196, 0.190, 0.173, 0.150, 0.110, 0.083, 0.062),
        (0.254, 0.253, 0.253, 0.245, 0.228, 0.195, 0.145, 0.114, 0.086),
        (0.322, 0.321, 0.321, 0.310, 0.293, 0.260, 0.187, 0.148, 0.115),
        (0.422, 0.421, 0.421, 0.405, 0.385, 0.325, 0.230, 0.183, 0.142),
    ),
)
"""Limit curve exponent n_G for s_u/λ_E ≤ 0.0792. Source: EN 1264-2, by S1 alone."""

_COVER_TO_PITCH = (0.173, 0.20, 0.25, 0.30, 0.35, 0.40, 0.45, 0.50, 0.55, 0.60, 0.65, 0.70, 0.75)  # s_u/T [-]

B_G_THICK = Curve(
    name="cover to pitch s_u/T",
    at=_COVER_TO_PITCH,
    values=(27.5, 40, 57.5, 69.5, 78.2, 84.4, 88.3, 91.6, 94.0, 96.3, 98.6, 99.8, 100),
)
"""Limit curve B_G for s_u/λ_E > 0.0792. Source: EN 1264-2, by S1, S3 (S2 has 84.5 for 84.4)."""

N_G_THICK = Curve(
    name="cover to pitch s_u/T",
    at=_COVER_TO_PITCH,
    values=(0.320, 0.230, 0.145, 0.097, 0.067, 0.048, 0.033, 0.023, 0.015, 0.009, 0.005, 0.002, 0),
)
"""Limit curve exponent n_G for s_u/λ_E > 0.0792. Source: EN 1264-2, by S1 alone."""

PEAK_OVER_MEAN = Grid(
    name="pitch T and finish resistance R_λB",
    rows=(0.05, 0.10, 0.15, 0.20, 0.25, 0.30),
    columns=FINISH_R,
    values=(
        (0.0, 0.0, 0.0, 0.0),
        (0.06, 0.03, 0.02, 0.01),
        (0.30, 0.19, 0.12, 0.07),
        (0.74, 0.48, 0.33, 0.23),
        (1.34, 0.91, 0.65, 0.48),
        (2.07, 1.45, 1.07, 0.81),
    ),
)
"""Highest less mean surface temperature [K] at q = 50 W/m².

Source: own two-dimensional steady finite-element study (16 x 2 mm pipe on the insulation, 45 mm of screed
of 1.2 W/(m K), finish of 0.23 W/(m K), film 10.8 W/(m² K)); the first row is its limit at close pitch.
"""
