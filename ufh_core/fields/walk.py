"""Growing a loop as a set of lattice faces, and reading its boundary.

The state is a simply connected set of faces without pinch points; the pipe is its boundary. A face
joins only when it brings two new nodes, so neither a ring nor a pinch can arise (Gabriely and
Rimon 2001 walk round spanning trees in the same spirit). A depth-first walk that keeps to the wall
on its left gives the double spiral. Cost: linear in the number of faces.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ufh_core.fields.lattice import Lattice

EAST, NORTH, WEST, SOUTH = 0, 1, 2, 3
TURNS_LEFT = (1, 0, 3)
"""Left, straight on, right: the order that keeps to the wall on the left."""


class Growth:
    """Faces taken so far, with the number of taken faces round every node; flat, with a closed rim."""

    def __init__(self, on: Lattice) -> None:
        """Start with nothing taken."""
        faces = np.pad(on.face, ((1, 2), (1, 1)))
        self.width = int(faces.shape[1])
        self.open = bytearray(faces.astype(np.uint8).tobytes())
        self.count = bytearray(len(self.open) + self.width + 2)
        self.taken = bytearray(len(self.open))
        self.tight: dict[int, list[int]] = {}
        for i, j, q, r in np.argwhere(on.tight).tolist():
            self.tight.setdefault(self.index(i, j), []).append(self.index(i - 1 + q, j - 1 + r))

    def index(self, i: int, j: int) -> int:
        """Flat index of a face or of its south-west node."""
        return (i + 1) * self.width + j + 1

    def cuts(self, face: int) -> bool:
        """Whether taking `face` would leave a turn round a missing face that is too tight."""
        for node in (face, face + 1, face + self.width, face + self.width + 1):
            if self.count[node] == 2 and any(not self.taken[m] and m != face for m in self.tight.get(node, ())):
                return True
        return False

    def take(self, face: int) -> None:
        """Take a face."""
        self.taken[face] = 1
        for node in (face, face + 1, face + self.width, face + self.width + 1):
            self.count[node] += 1

    def give_back(self, face: int) -> None:
        """Give a taken face back."""
        self.taken[face] = 0
        for node in (face, face + 1, face + self.width, face + self.width + 1):
            self.count[node] -= 1


def grow(growth: Growth, planted: list[int], heading: int = WEST) -> None:
    """Walk depth-first from the `planted` faces (last one first), keeping to the wall on the left.

    Ends when nothing more fits. A face may be taken when its two nodes away from where one comes
    are new, so no ring can close and no pinch can form.
    """
    w, closed, count, has_tight = growth.width, growth.open, growth.count, bool(growth.tight)
    steps = (w, 1, -w, -1)
    fresh = ((w, w + 1), (1, w + 1), (0, 1), (0, w))
    stack = [(planted[0], EAST, 1)] + [(face, heading, 0) for face in planted]
    while stack:
        face, towards, option = stack.pop()
        if option < 2:
            stack.append((face, towards, option + 1))
        turned = (towards + TURNS_LEFT[option]) % 4
        other = face + steps[turned]
        a, b = fresh[turned]
        if not closed[other] or count[other + a] or count[other + b] or (has_tight and growth.cuts(other)):
            continue
        growth.take(other)
        stack.append((other, turned, 0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """How a loop grows from its planted faces; `told` says it to the compiled loop, None where that cannot."""

    grow: Callable[[Growth, list[int]], None]
    told: bytes | None = None


COUNTERFLOW = Fill(grow=grow, told=b"")


def loop_from(growth: Growth, start: int) -> list[int]:
    """Corners of the boundary anticlockwise, `start`, which lies on it, first and last."""
    w, taken = growth.width, growth.taken
    steps = (w, 1, -w, -1)
    left_of, right_of = (0, -w, -w - 1, -1), (-1, 0, -w, -w - 1)
    towards = next(d for d in range(4) if taken[start + left_of[d]] and not taken[start + right_of[d]])
    path, node = [start], start
    while True:
        node += steps[towards]
        if node == start:
            return [*path, node]
        for turn in (3, 0, 1):
            ahead = (towards + turn) % 4
            if taken[node + left_of[ahead]] and not taken[node + right_of[ahead]]:
                if ahead != towards:
                    path.append(node)
                towards = ahead
                break
