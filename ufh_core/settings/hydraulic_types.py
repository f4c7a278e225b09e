"""Settings of the water: its limits, valves and what is in it."""

from __future__ import annotations

from dataclasses import dataclass

from ufh_core.heating_water import ANTIFREEZES, SHARES_BY, Fluid, heating_fluid
from ufh_core.settings.metadata import CP
from ufh_core.settings.metadata import setting as _set


@dataclass(frozen=True, slots=True, kw_only=True)
class HydraulicSettings:
    """Flows and pressures."""

    greatest_pressure_drop_pa: float = _set(
        25000.0,
        "greatest pressure drop of a circuit with its valve open",
        "EN 1264-3:2020, 250 mbar",
        "Pa",
        1000,
        60000,
    )
    greatest_velocity: float = _set(0.5, "greatest velocity of the water in the pipe", CP, "m/s", 0.1, 1.5)
    least_mass_flow: float = _set(0.008, "flow below which a circuit cannot be set or vented well", CP, "kg/s", 0, 0.05)
    valve_kv: float = _set(1.2, "Kv of the balancing valve fully open", "generic", "m³/h", 0.2, 5)
    return_valve_kv: float = _set(2.0, "Kv of the actuator valve fully open", "generic", "m³/h", 0.2, 5)
    entry_loss_pa: float = _set(
        3000.0, "pressure drop of manifold bars, entry valves and mixing station", CP, "Pa", 0, 30000
    )
    antifreeze: str = _set(
        "none", "what is in the water against frost; ethylene glycol is poisonous", CP, choices=ANTIFREEZES
    )
    antifreeze_share: float = _set(0.25, "share of the antifreeze, where there is one", CP, "", 0.05, 0.5)
    antifreeze_share_by: str = _set(
        "volume",
        "of what antifreeze_share is a share: of the volumes before mixing, or of the mass",
        CP,
        choices=SHARES_BY,
    )

    @property
    def fluid(self) -> Fluid:
        """What is in the pipes. Raises: NoSolution for a share out of range, which a settings file cannot have."""
        return heating_fluid(self.antifreeze, self.antifreeze_share, self.antifreeze_share_by)
