"""Colours for temperatures, from pale to deep: lightness falls evenly, so that it reads in grey as in colour.

Laid out in OKLab, a space whose lightness is as the eye sees it; hue goes from straw over brick to plum.
Source: B. Ottosson 2020, OKLab (matrices from memory; a test holds the order of lightness).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

STEPS = 256
_LIGHTNESS = (0.97, 0.27)
_CHROMA = ((0.0, 0.25, 0.55, 0.8, 1.0), (0.03, 0.10, 0.145, 0.12, 0.07))
_HUE_DEGREES = ((0.0, 0.3, 0.6, 1.0), (100.0, 72.0, 32.0, -40.0))


def palette() -> NDArray[np.uint8]:
    """(256, 3) colours from cold to warm, red, green, blue."""
    share = np.linspace(0.0, 1.0, STEPS)
    lightness = _LIGHTNESS[0] + (_LIGHTNESS[1] - _LIGHTNESS[0]) * share
    chroma = np.interp(share, *_CHROMA)
    hue = np.radians(np.interp(share, *_HUE_DEGREES))
    return _to_screen(np.column_stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)]))


def coloured(values: NDArray[np.float32], low: float, high: float) -> NDArray[np.uint8]:
    """The colours of temperatures between `low` and `high` [°C]; what is not a number is white."""
    known = np.isfinite(values)
    share = np.clip((np.where(known, values, low) - low) / (high - low), 0.0, 1.0)
    picture = palette()[np.rint(share * (STEPS - 1)).astype(int)]
    picture[~known] = 255
    return np.asarray(picture, dtype=np.uint8)


def _to_screen(oklab: NDArray[np.float64]) -> NDArray[np.uint8]:
    """OKLab to sRGB."""
    to_cones = np.array(
        [[1.0, 0.3963377774, 0.2158037573], [1.0, -0.1055613458, -0.0638541728], [1.0, -0.0894841775, -1.2914855480]]
    )
    to_light = np.array(
        [
            [4.0767416621, -3.3077115913, 0.2309699292],
            [-1.2684380046, 2.6097574011, -0.3413193965],
            [-0.0041960863, -0.7034186147, 1.7076147010],
        ]
    )
    light = np.clip((oklab @ to_cones.T) ** 3 @ to_light.T, 0.0, 1.0)
    screen = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
    return np.asarray(np.rint(255 * screen), dtype=np.uint8)
