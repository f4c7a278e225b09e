"""What is to be ordered for movement joints: joint strip, sleeves on the pipes that cross."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ufh_core.basis.message import Message
from ufh_core.floor.types import TakeOffLine
from ufh_core.joints.types import StoreyJoints
from ufh_core.settings.types import Settings

CUTTING_SPARE = 0.05  # common practice


def joint_order(storeys: Sequence[StoreyJoints], settings: Settings) -> tuple[TakeOffLine, ...]:
    """Lines of the order for the joints of all storeys."""
    lengths = [joint.line.length for storey in storeys for joint in storey.joints]
    sleeves = [crossing.sleeve.length for storey in storeys for crossing in storey.crossings]
    lines = []
    if lengths:
        note = f"{sum(lengths):.1f} m in {len(lengths)} joints, {100 * CUTTING_SPARE:g} % for cutting"
        groups = [[j.line.length for j in s.joints] for s in storeys] if settings.order.storeys_apart else [lengths]
        metres = sum(math.ceil(sum(group) * (1 + CUTTING_SPARE) - 1e-9) for group in groups)
        lines.append(TakeOffLine(item=Message("movement joint strip"), quantity=metres, unit="m", note=note))
    if sleeves:
        long = 2000 * settings.joints.sleeve_m
        note = f"one for each pipe that crosses a movement joint, {long / 2:g} mm on each side of it"
        lines.append(
            TakeOffLine(
                item=Message("joint sleeve {long:g} mm", long=long), quantity=len(sleeves), unit="pcs", note=note
            )
        )
    return tuple(lines)
