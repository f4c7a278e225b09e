"""Settings of the movement joints."""

from __future__ import annotations

from dataclasses import dataclass

from ufh_core.settings.metadata import CP
from ufh_core.settings.metadata import setting as _set

_BAY = "EN 1264-4 for floors with mineral finishes, from memory; " + CP
_SULPHATE = "a trade association's figure for heated screeds, to be agreed with the maker of the screed"


@dataclass(frozen=True, slots=True, kw_only=True)
class JointSettings:
    """Where the screed is parted. Plans of joints by the building's engineer go before these."""

    greatest_area_m2: float = _set(40.0, "cement: greatest area of a field", _BAY, "m²", 5, 1000)
    greatest_side_m: float = _set(8.0, "cement: longest side of a field", _BAY, "m", 2, 100)
    greatest_ratio: float = _set(
        2.0, "cement under tiles or stone: greatest ratio of a field's length to its width", _BAY, "", 1.5, 10
    )
    ratio_free_side_m: float = _set(
        5.0, "cement: a field no longer than this may be as narrow as it likes", "own rule", "m", 1, 8
    )
    sulphate_side_m: float = _set(20.0, "calcium sulphate: longest side of a field", _SULPHATE, "m", 2, 100)
    sulphate_rigid_side_m: float = _set(
        10.0, "calcium sulphate: longest side under tiles or stone", _SULPHATE, "m", 2, 100
    )
    sulphate_door_side_m: float = _set(
        7.0, "calcium sulphate: a doorway has a joint where a room beside it is longer", _SULPHATE, "m", 0, 100
    )
    sulphate_rigid_door_side_m: float = _set(5.0, "the same under tiles or stone", _SULPHATE, "m", 0, 100)
    rigid_finish_r: float = _set(
        0.03, "finishes of this thermal resistance or less count as tiles or stone", "own rule", "m²K/W", 0, 0.4
    )
    least_corner_leg_m: float = _set(
        0.8, "a re-entrant corner with a shorter wall at it needs no joint", "own rule", "m", 0.1, 3
    )
    difference_k: float = _set(
        3.0, "rooms open to each other are parted where their temperatures differ by this", "own rule", "K", 0.5, 20
    )
    sleeve_m: float = _set(
        0.3, "sleeve on a pipe that crosses a joint, on each side of it", "EN 1264-4, from memory", "m", 0.15, 1
    )
