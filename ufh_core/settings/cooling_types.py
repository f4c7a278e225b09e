"""Settings of the cooling check."""

from __future__ import annotations

from dataclasses import dataclass

from ufh_core.settings.metadata import CP, ROOM_KINDS
from ufh_core.settings.metadata import setting as _set


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingSettings:
    """What the floor would take up in summer, with the flows of winter, and whether it stays dry."""

    water_c: float | None = _set(
        None, "flow temperature in cooling, for a reversible heat pump; without it nothing is checked", "", "°C", 5, 26
    )
    room_c: float = _set(26.0, "room temperature in cooling", "EN 16798-1, category II, summer", "°C", 20, 32)
    humidity: float = _set(0.55, "relative humidity of the room's air, 0 to 1", CP, "", 0.1, 0.95)
    dew_margin_k: float = _set(1.0, "least distance of the coldest surface from the dew point", CP, "K", 0, 5)
    least_surface_c: float = _set(
        20.0, "coldest mean surface that feet bear, people seated", "EN ISO 7730 (19 °C), from memory", "°C", 15, 26
    )
    not_cooled_kinds: tuple[str, ...] = _set(
        ("bath", "wc", "utility"),
        "kinds of room in which the floor is shut in cooling: moist air",
        CP,
        choices=ROOM_KINDS,
    )
