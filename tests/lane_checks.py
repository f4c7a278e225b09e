"""What holds for all lanes of a level, whoever led them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import combinations

from shapely.geometry import LineString, Point

from ufh_core.lanes.types import LevelLanes
from ufh_core.zones.territories import Territory

APART_M = 0.1  # middles of two lanes at the default spacing of tails


def keep_the_rules(parts: Sequence[Territory], lanes: LevelLanes, most_ports: int) -> None:
    """A lane to each territory, each from a port of its own, clear of the others, in a site's width."""
    assert not lanes.unreached
    assert sorted(lane.territory for lane in lanes.lanes) == list(range(len(parts)))
    ports = [(lane.manifold, lane.port) for lane in lanes.lanes]
    assert len(ports) == len(set(ports))
    circuits = Counter(manifold for manifold, _ in ports)
    assert sorted(circuits) == list(range(len(lanes.sites))) and max(circuits.values()) <= most_ports
    lines = [LineString(lane.corners) for lane in lanes.lanes]
    assert min(a.distance(b) for a, b in combinations(lines, 2)) > APART_M - 1e-6
    assert all(a.clear_of(b) for a, b in combinations(lanes.sites, 2))
    for lane in lanes.lanes:
        site = lanes.sites[lane.manifold]
        assert site.low - 1e-6 <= lane.corners[0][site.stretch.along] <= site.high + 1e-6
        assert lane.port < len(site.nodes) <= most_ports
        assert parts[lane.territory].floor.buffer(0.05).covers(Point(lane.corners[-1]))
