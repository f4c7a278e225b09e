"""Figures as a designer reads them; 0 is what was not designed."""

from __future__ import annotations

LITRES_A_MINUTE = 60_000.0


def watts(value_w: float) -> str:
    """A power [W]."""
    return f"{value_w:.0f} W" if value_w else "–"


def pitch(value_m: float) -> str:
    """A pitch, from m to mm."""
    return f"{1000 * value_m:.0f} mm" if value_m else "–"


def finish(r_value: float) -> str:
    """A finish by its thermal resistance [m²K/W]."""
    return f"R {r_value:.2f}" if r_value else "–"


def length(value_m: float) -> str:
    """A length of pipe [m]."""
    return f"{value_m:.1f} m"


def flow(value: float) -> str:
    """A flow, from m³/s to l/min."""
    return f"{value * LITRES_A_MINUTE:.2f} l/min"


def kilopascal(value_pa: float) -> str:
    """A pressure, from Pa to kPa."""
    return f"{value_pa / 1000:.1f} kPa"


def wrapped(text: str, width: int) -> list[str]:
    """A text in lines of at most so many letters, broken between words."""
    lines = [""]
    for word in text.split():
        if lines[-1] and len(lines[-1]) + len(word) >= width:
            lines.append(word)
        else:
            lines[-1] = f"{lines[-1]} {word}".strip()
    return lines
