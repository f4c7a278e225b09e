"""U-values of elements of which the model says nothing, by the building's age."""

from __future__ import annotations

from dataclasses import replace

from ufh_core.settings.types import HeatDemandSettings

# W/(m² K), typical of central Europe; common practice, from memory: a survey or the building's papers come first.
# The years are those in which rules of thermal insulation changed. "from-2002" holds the settings' own defaults.
TYPICAL_U: dict[str, dict[str, float]] = {
    "before-1977": {"u_wall": 1.4, "u_window": 2.8, "u_door": 3.5, "u_roof": 1.0, "u_ground": 1.2},
    "1977-1994": {"u_wall": 0.8, "u_window": 2.7, "u_door": 3.0, "u_roof": 0.45, "u_ground": 0.8},
    "1995-2001": {"u_wall": 0.5, "u_window": 1.8, "u_door": 2.5, "u_roof": 0.3, "u_ground": 0.5},
    "from-2002": {},
}


def with_age(settings: HeatDemandSettings) -> HeatDemandSettings:
    """Put the typical U-values of the building's age in the place of those that the designer has not changed.

    >>> with_age(HeatDemandSettings(building_age="1977-1994", u_roof=0.3)).u_wall
    0.8
    """
    usual = HeatDemandSettings()
    typical = TYPICAL_U[settings.building_age]
    unchanged = {name: u for name, u in typical.items() if getattr(settings, name) == getattr(usual, name)}
    return replace(settings, **unchanged)  # type: ignore[arg-type]
