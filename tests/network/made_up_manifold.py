"""A small manifold for tests: a laminar circuit, one in transition, and two turbulent ones."""

from ufh_core.hydraulics import balance, circuit_flow, circuit_pipe
from ufh_core.hydraulics.pipe import CircuitPipe
from ufh_core.hydraulics.types import CircuitFlow, PumpDuty
from ufh_core.network import Branch, branches_of
from ufh_core.settings.types import Settings

SETTINGS = Settings()
LOOPS = {"M1.01": (0.010, 25.0), "M1.02": (0.0138, 60.0), "M1.03": (0.022, 75.0), "M1.04": (0.030, 95.0)}


def manifold(
    loops: dict[str, tuple[float, float]], settings: Settings = SETTINGS
) -> tuple[dict[str, Branch], PumpDuty]:
    """Balanced exactly, each valve at its Kv."""
    flows, pipes, duty = circuits(loops, settings)
    return branches_of(flows, pipes, settings.hydraulics), duty


def circuits(
    loops: dict[str, tuple[float, float]], settings: Settings
) -> tuple[dict[str, CircuitFlow], dict[str, CircuitPipe], PumpDuty]:
    flows = {n: circuit_flow(m, 36.0, length, [], settings) for n, (m, length) in loops.items()}
    balanced, duty = balance(flows, {n: length for n, (_, length) in loops.items()}, settings)
    return balanced, {n: circuit_pipe(36.0, length, [], settings) for n, (_, length) in loops.items()}, duty
