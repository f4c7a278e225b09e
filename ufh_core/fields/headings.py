"""A lattice seen along the heading of the pair that arrives, and places turned back from there."""

from __future__ import annotations

from collections.abc import Iterable

from ufh_core.fields.lattice import Lattice


def seen_along(of: Lattice, heading: tuple[int, int], mirrored: bool) -> Lattice:
    """The lattice with `heading` turned to (0, 1): u to the right of it (to the left when `mirrored`)."""
    u_sign, v_sign = signs(heading, mirrored)
    us, vs, face, node, tight = of.us, of.vs, of.face, of.node, of.tight
    if heading[0]:
        us, vs, face, node, tight = vs, us, face.T, node.T, tight.transpose(1, 0, 3, 2)
    if u_sign < 0:
        us, face, node, tight = tuple(-u for u in us[::-1]), face[::-1], node[::-1], tight[::-1, :, ::-1]
    if v_sign < 0:
        vs, face, node = tuple(-v for v in vs[::-1]), face[:, ::-1], node[:, ::-1]
        tight = tight[:, ::-1, :, ::-1]
    return Lattice(us=us, vs=vs, face=face, node=node, tight=tight)


def signs(heading: tuple[int, int], mirrored: bool) -> tuple[int, int]:
    """Signs of u and v against the axis that each runs along."""
    right = (heading[1], -heading[0])
    u_sign = right[0] + right[1]
    return (-u_sign if mirrored else u_sign), heading[0] + heading[1]


def back(u: float, v: float, heading: tuple[int, int], mirrored: bool) -> tuple[float, float]:
    """The place (x, y) that `seen_along` shows at (u, v)."""
    return path_back([(u, v)], heading, mirrored)[0]


def path_back(
    path: Iterable[tuple[float, float]], heading: tuple[int, int], mirrored: bool
) -> tuple[tuple[float, float], ...]:
    """The places (x, y) that `seen_along` shows at the (u, v) of a path."""
    u_sign, v_sign = signs(heading, mirrored)
    if heading[0]:
        return tuple((v * v_sign, u * u_sign) for u, v in path)
    return tuple((u * u_sign, v * v_sign) for u, v in path)
