"""Growing a loop as a set of lattice faces, and reading its boundary.

The state is a simply connected set of faces without pinch points; the pipe is its boundary. A face
joins only when it brings two new nodes, so neither a ring nor a pinch can arise (Gabriely and
Rimon 2001 walk round spanning trees in the same spirit). A depth-first walk that keeps to the wall
on its left gives the double spiral. Cost: linear in the number of faces.
"""

from __future__ import annotations

from ufh_core.circuits.field_lattice import Lattice

Node = tuple[int, int]
EAST, NORTH, WEST, SOUTH = 0, 1, 2, 3
STEPS = ((1, 0), (0, 1), (-1, 0), (0, -1))
TURNS_LEFT = (1, 0, 3)
"""Left, straight on, right: the order that keeps to the wall on the left."""


class Growth:
    """Faces taken so far, with the number of taken faces round every node."""

    def __init__(self, on: Lattice) -> None:
        """Start with nothing taken."""
        self.width = len(on.vs) + 1  # one spare column, so that steps over the edge meet closed faces
        cells = (len(on.us) + 2) * self.width
        self.open = bytearray(cells)
        self.count = bytearray(cells)
        self.taken: set[int] = set()
        self.steps = (self.width, 1, -self.width, -1)
        self.tight: dict[int, list[int]] = {}
        for i, j in zip(*on.face.nonzero(), strict=True):
            self.open[self.index(int(i), int(j))] = 1
        for i, j, q, r in zip(*on.tight.nonzero(), strict=True):
            missing = self.index(int(i) - 1 + int(q), int(j) - 1 + int(r))
            self.tight.setdefault(self.index(int(i), int(j)), []).append(missing)

    def index(self, i: int, j: int) -> int:
        """Flat index of a face or of its south-west node; row and column 0 are spare."""
        return (i + 1) * self.width + j + 1

    def nodes(self, face: int) -> tuple[int, int, int, int]:
        """South-west, south-east, north-west, north-east."""
        return face, face + self.width, face + 1, face + self.width + 1

    def new_nodes(self, face: int, towards: int) -> tuple[int, int]:
        """The two nodes of `face` away from where one comes, stepping `towards` it."""
        sw, se, nw, ne = self.nodes(face)
        return ((se, ne), (nw, ne), (sw, nw), (sw, se))[towards]

    def may_take(self, face: int, towards: int) -> bool:
        """Whether the face is free, brings two new nodes and leaves no turn that cuts an obstacle."""
        if not self.open[face] or face in self.taken:
            return False
        a, b = self.new_nodes(face, towards)
        if self.count[a] or self.count[b]:
            return False
        return not self.tight or not any(self._cuts(node, face) for node in self.nodes(face) if node in self.tight)

    def _cuts(self, node: int, face: int) -> bool:
        """Whether taking `face` leaves three faces round `node` and a turn there that is too tight."""
        if self.count[node] != 2:
            return False
        return any(missing not in self.taken and missing != face for missing in self.tight[node])

    def take(self, face: int) -> None:
        """Take a face."""
        self.taken.add(face)
        for node in self.nodes(face):
            self.count[node] += 1

    def drop(self, face: int) -> None:
        """Give a face back."""
        self.taken.discard(face)
        for node in self.nodes(face):
            self.count[node] -= 1


def grow(growth: Growth, heading: int = WEST) -> None:
    """Walk depth-first from the last taken face, keeping to the wall on the left, until nothing more fits."""
    first = sorted(growth.taken, reverse=True)
    stack = [(first[0], EAST, 1)] + [(face, heading, 0) for face in first]
    while stack:
        face, towards, option = stack.pop()
        if option == 3:
            continue
        stack.append((face, towards, option + 1))
        turned = (towards + TURNS_LEFT[option]) % 4
        other = face + growth.steps[turned]
        if growth.may_take(other, turned):
            growth.take(other)
            stack.append((other, turned, 0))


def boundary(growth: Growth) -> dict[int, int]:
    """Next node of every node on the boundary, anticlockwise."""
    follows: dict[int, int] = {}
    east, north, west, south = growth.steps
    for face in growth.taken:
        sw, se, nw, ne = growth.nodes(face)
        for side, start, end in ((south, sw, se), (east, se, ne), (north, ne, nw), (west, nw, sw)):
            if face + side not in growth.taken:
                follows[start] = end
    return follows


def loop_from(growth: Growth, start: int) -> list[int]:
    """Nodes of the boundary anticlockwise from `start` and back to it."""
    follows = boundary(growth)
    path = [start]
    while True:
        path.append(follows[path[-1]])
        if path[-1] == start or len(path) > len(follows) + 1:
            return path
