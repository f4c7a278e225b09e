"""Settings of the water: its limits, valves and what is in it."""

from __future__ import annotations

from dataclasses import dataclass

from ufh_core.heating_water import ANTIFREEZES, SHARES_BY, Fluid, heating_fluid
from ufh_core.settings.metadata import CP, PUMPS
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
    least_velocity: float = _set(0.15, "least velocity that carries air along", CP, "m/s", 0, 0.5)
    least_mass_flow: float = _set(0.008, "flow below which a circuit cannot be set or vented well", CP, "kg/s", 0, 0.05)
    valve_kv: float = _set(1.2, "Kv of the balancing valve fully open", "generic", "m³/h", 0.2, 5)
    return_valve_kv: float = _set(2.0, "Kv of the actuator valve fully open", "generic", "m³/h", 0.2, 5)
    valve_turns: tuple[float, ...] = _set(
        (0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0),
        "turns from shut at which the balancing valve's Kv is known",
        "generic lockshield valve",
        "turns",
        0,
        20,
    )
    valve_turns_kv: tuple[float, ...] = _set(
        (0.05, 0.10, 0.16, 0.23, 0.41, 0.64, 0.91, 1.2),
        "Kv at each of valve_turns; the last is valve_kv",
        "generic lockshield valve",
        "m³/h",
        0.005,
        5,
    )
    flow_meter_kv: float | None = _set(
        None, "Kv of the flow meter on the bar, where it is not in valve_kv", "", "m³/h", 0.2, 5
    )
    limiter_least_pa: float = _set(
        15000.0,
        "least pressure difference over a self-limiting valve that holds its flow",
        "generic",
        "Pa",
        1000,
        60000,
    )
    entry_loss_pa: float = _set(
        3000.0,
        "pressure drop of manifold bars, entry valves and mixing station, as far as it is not given below",
        CP,
        "Pa",
        0,
        30000,
    )
    mixing_valve_kv: float | None = _set(
        None, "Kv of the mixing valve, where it is not in entry_loss_pa", "", "m³/h", 0.5, 20
    )
    primary_loss_pa: float = _set(
        0.0,
        "pressure drop of the primary connection that the manifold's pump must carry too",
        "generic",
        "Pa",
        0,
        60000,
    )
    pump: str = _set("constant pressure", "how the manifold's pump is run", CP, choices=PUMPS)
    pump_pressure_pa: float | None = _set(
        None, "pressure that the pump is set to; without it, its duty's", "", "Pa", 1000, 200000
    )
    pump_rest_share: float = _set(
        0.5, "of a pump with proportional pressure: share of its pressure that is left at no flow", CP, "", 0.1, 1
    )
    pump_curve_m3_h: tuple[float, ...] = _set(
        (0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0), "pump's curve: flows, from 0 on", "generic pump of 6 m", "m³/h", 0, 100
    )
    pump_curve_pa: tuple[float, ...] = _set(
        (58000.0, 57000.0, 53000.0, 45000.0, 34000.0, 20000.0, 4000.0),
        "pump's curve: its pressure at each of pump_curve_m3_h",
        "generic pump of 6 m",
        "Pa",
        0,
        500000,
    )
    fill_c: float = _set(10.0, "temperature of the water when it is filled in", CP, "°C", 5, 30)
    hottest_c: float = _set(
        55.0,
        "hottest water that the safety limit stat lets pass; greatest_flow_c where that is hotter",
        "DIN 18560-2",
        "°C",
        30,
        60,
    )
    static_height_m: float = _set(6.0, "height of the highest pipe over the expansion vessel", "generic", "m", 0, 60)
    safety_valve_pa: float = _set(
        300000.0, "gauge pressure at which the safety valve opens", "3 bar, " + CP, "Pa", 150000, 1000000
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
