"""Linear and bilinear reading of tables, with the range kept."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from ufh_core.basis.errors import NoSolution

_SLACK = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """Values over one rising axis."""

    name: str
    at: tuple[float, ...]
    values: tuple[float, ...]

    def read(self, x: float) -> float:
        """Linear between the entries.

        Raises: NoSolution outside the table.
        """
        k, share = _place(self.at, x, self.name)
        return self.values[k] * (1 - share) + self.values[k + 1] * share


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Values over two rising axes, one inner tuple for each row."""

    name: str
    rows: tuple[float, ...]
    columns: tuple[float, ...]
    values: tuple[tuple[float, ...], ...]

    def read(self, row: float, column: float) -> float:
        """Bilinear between the entries.

        Raises: NoSolution outside the table.
        """
        i, down = _place(self.rows, row, self.name)
        j, along = _place(self.columns, column, self.name)
        upper = self.values[i][j] * (1 - along) + self.values[i][j + 1] * along
        lower = self.values[i + 1][j] * (1 - along) + self.values[i + 1][j + 1] * along
        return upper * (1 - down) + lower * down


def _place(axis: tuple[float, ...], x: float, name: str) -> tuple[int, float]:
    """Index of the entry at or before x, and the share of the way to the next."""
    if not axis[0] - _SLACK <= x <= axis[-1] + _SLACK:
        raise NoSolution(f"{x:g} is outside the table over {name}, which goes from {axis[0]:g} to {axis[-1]:g}")
    k = min(max(bisect_right(axis, x) - 1, 0), len(axis) - 2)
    share = (x - axis[k]) / (axis[k + 1] - axis[k])
    return k, min(max(share, 0.0), 1.0)
