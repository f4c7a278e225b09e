"""Time of the surface field, beside a general finite-element library on a mesh of as many cells.

`python tests/benchmarks/bench_surface_field.py` prints, for a room of 30 m² and a storey of ten, the whole
field's time and, in the same run, what scikit-fem (`pip install scikit-fem`; left out where it is missing)
needs to assemble and directly solve conduction and sinks alone, bilinear squares, with the field's own heat
as loads: that is without the water, which it does not know. The greatest difference of both solutions is told.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from shapely.geometry import box

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from surface_field.floors import SECTION, floor, pipe

from ufh_core.basis.pipe_axis import Point, rounded
from ufh_core.surface_field import FloorPipe, RoomFloor, surface_field
from ufh_core.surface_field.cells import cells_of
from ufh_core.surface_field.section import plane_section
from ufh_core.surface_field.stations import stations_of

CELL_M = 0.025
WIDE_M, DEEP_M = 6.0, 5.0


def snake(west: float, south: float) -> list[Point]:
    """To and fro over a room at 0.15 m."""
    corners: list[Point] = []
    for k in range(32):
        y = south + 0.15 + 0.15 * k
        corners += [(west + 0.15, y), (west + WIDE_M - 0.15, y)][:: 1 if k % 2 == 0 else -1]
    return corners


def storey(count: int) -> tuple[list[RoomFloor], list[FloorPipe]]:
    floors, pipes = [], []
    for k in range(count):
        west, south = (k % 5) * (WIDE_M + 0.1), (k // 5) * (DEEP_M + 0.1)
        floors.append(floor(box(west, south, west + WIDE_M, south + DEEP_M), room=f"r{k}", below_c=10.0))
        axis = rounded(snake(west, south), 0.07)
        pipes.append(pipe(axis, mass_flow=0.05, number=f"M1.{k:02d}", room=f"r{k}"))
    return floors, pipes


def timed(work: Callable[[], object], runs: int = 3) -> float:
    """Least time of some runs [s]."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def finite_elements() -> tuple[float, float]:
    """(time [s], greatest difference to cells' temperatures [K]) for one room, heat given."""
    import skfem
    from skfem.helpers import dot, grad

    floors, pipes = storey(1)
    plane = plane_section(SECTION, CELL_M)
    cells = cells_of(floors, CELL_M)
    stations = stations_of(pipes, floors, cells, [plane.plane_conductance])
    heat = stations.shares.T @ (stations.length * 8.0)  # 8 W/m
    stiff = skfem.BilinearForm(lambda u, v, _: plane.plane_conductance * dot(grad(u), grad(v)))
    sink = skfem.BilinearForm(lambda u, v, _: (plane.up + plane.down) * u * v)
    across, up = np.linspace(0, WIDE_M, 241), np.linspace(0, DEEP_M, 201)
    found = {}

    def work() -> None:
        basis = skfem.Basis(skfem.MeshQuad.init_tensor(across, up), skfem.ElementQuad1())
        matrix = stiff.assemble(basis) + sink.assemble(basis)
        x, y = np.rint(basis.doflocs / CELL_M).astype(int)
        node = np.zeros((201, 241), dtype=int)
        node[y, x] = np.arange(len(x))
        column, row = np.rint(cells.middles.T / CELL_M - 0.5).astype(int)
        corners = np.stack([node[row + i, column + j] for i in (0, 1) for j in (0, 1)])
        load = sum(np.bincount(corner, heat / 4, len(x)) for corner in corners)
        found["t"] = skfem.solve(matrix, load)[corners].mean(axis=0)

    seconds = timed(work, 2)
    from scipy.sparse import diags
    from scipy.sparse.linalg import spsolve

    from ufh_core.surface_field.cells import conduction

    conductance = np.full(len(cells.room), plane.plane_conductance)
    ours = spsolve((conduction(cells, conductance) + diags((plane.up + plane.down) * cells.area)).tocsc(), heat)
    return seconds, float(np.abs(ours - found["t"]).max() / np.ptp(found["t"]))


def main() -> None:
    times = {}
    for count in (1, 10):
        floors, pipes = storey(count)
        times[count] = timed(lambda floors=floors, pipes=pipes: surface_field(floors, pipes))
        cells = cells_of(floors, CELL_M)
        length = sum(p.axis.length_m for p in pipes)
        print(f"{count:2d} x 30 m², {len(cells.room)} cells, {length:.0f} m of pipe: {times[count]:.2f} s")
    try:
        seconds, off = finite_elements()
    except ImportError:
        print("scikit-fem is not installed: no comparison")
        return
    print(f"scikit-fem, 30 m², same cells, without water: {seconds:.2f} s, {seconds / times[1]:.1f} times ours")
    print(f"greatest difference of temperatures: {100 * off:.2f} % of their range")


if __name__ == "__main__":
    main()
