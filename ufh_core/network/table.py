"""What every circuit gets with all circuits open and with some shut, by kind of valve."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ufh_core.basis.message import Message
from ufh_core.hydraulics.types import PumpDuty
from ufh_core.network.branches import limited, needed_pressure
from ufh_core.network.pump import pump_of
from ufh_core.network.solve import entry_of, solve, system_curve
from ufh_core.network.types import Branch, NetworkCase, NetworkTable, Operation
from ufh_core.settings.hydraulic_types import HydraulicSettings

ALL_OPEN = "all open"


def network_table(
    branches: Mapping[str, Branch],
    duty: PumpDuty,
    hydraulics: HydraulicSettings,
    shut: Mapping[str, tuple[str, ...]] | None = None,
) -> NetworkTable:
    """The table of a manifold: all open, and each of the sets `shut` by name, else those of `shut_sets`.

    A controlled pump without a pressure in the settings is set to its duty, which is greater with self-limiting
    valves by what these need. Raises: NoSolution as `solve`.
    """
    entry, self_limiting = entry_of(duty), limited(branches, hydraulics)
    limited_pa = needed_pressure(self_limiting) + duty.entry_pa
    pump = pump_of(hydraulics, duty.pressure_pa, duty.volume_flow)
    limited_pump = pump_of(hydraulics, limited_pa, duty.volume_flow)
    sets = shut_sets(sorted(branches), duty.index_circuit) if shut is None else {ALL_OPEN: (), **shut}
    cases = [
        _case(
            name, those, branches, solve(branches, entry, pump, those), solve(self_limiting, entry, limited_pump, those)
        )
        for name, those in sets.items()
    ]
    all_open = solve(branches, entry, pump)
    return NetworkTable(
        pump=pump.kind,
        flow_share=all_open.mass_flow / entry.mass_flow,
        volume_flow=all_open.volume_flow,
        pressure_pa=all_open.pump_pa,
        duty_pa=duty.pressure_pa,
        self_limiting_duty_pa=limited_pa,
        cases=tuple(cases),
        system_curve=system_curve(branches, entry, duty.circuits_pa),
    )


def shut_sets(numbers: Sequence[str], index_circuit: str) -> dict[str, tuple[str, ...]]:
    """The sets of circuits that are shut, by name; each once."""
    named: dict[tuple[str, ...], str] = {(): ALL_OPEN}
    named.setdefault(tuple(numbers[1::2]), Message("every second circuit shut"))
    named.setdefault(
        tuple(number for number in numbers if number != index_circuit), Message("all but the index circuit shut")
    )
    return {name: shut for shut, name in named.items()}


def _case(
    name: str, shut: tuple[str, ...], branches: Mapping[str, Branch], balancing: Operation, limiting: Operation
) -> NetworkCase:
    return NetworkCase(
        name=name,
        shut=shut,
        balancing=_shares(branches, balancing),
        self_limiting=_shares(branches, limiting),
        pump_pa=balancing.pump_pa,
        gap_pa=max(abs(balancing.gap_pa), abs(limiting.gap_pa)),
    )


def _shares(branches: Mapping[str, Branch], operation: Operation) -> dict[str, float]:
    return {number: operation.flows[number] / branch.design_flow for number, branch in branches.items()}
