"""What the floor itself adds to a dwelling: `python tests/benchmarks/bench_floor.py [COUNT] [MODEL.ifc...]`.

Panels, joints, screed, coils, take-off and build-up, in seconds of the processor, beside the layout of the same run:
first the bundled dwellings (or MODELs) as a design calls these parts, then 10 (or COUNT) random dwellings, laid and
then given their floors. Run by hand; asserts nothing.
"""

# ruff: noqa: E402 (the plans stand in the folder above)

import sys
import time
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import Any
from unittest.mock import patch

sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2])]

import plan_sketch

from ufh_core.building.read import read_building
from ufh_core.circuits.level_brief import LevelBrief
from ufh_core.circuits.level_layout import lay_level
from ufh_core.design import design_building
from ufh_core.floor import coil_plan, design_build_up, take_off
from ufh_core.floor.types import FloorPart, PanelCount
from ufh_core.joints.doorways import ScreedRoom
from ufh_core.joints.storey import planned_joints
from ufh_core.panels import storey_panels
from ufh_core.panels.types import PanelPlan
from ufh_core.samples import sample_model
from ufh_core.settings.types import Settings
from ufh_core.storeys.doorway_floors import doorway_floors

FIRST = 6000  # not the dwellings of the tests
PARTS = {
    "panels": ("storeys.storey.storey_panels", "storeys.storey.panel_findings"),
    "joints": ("storeys.storey.joints_of", "storeys.storey.parted_levels", "storeys.storey.crossed_joints"),
    "screed": ("storeys.storey.with_pipe", "storeys.storey.doorway_floors", "design.pour_plan", "design.pour_days"),
    "coils": ("design._coils",),
    "take-off": ("design.floor_parts", "design.take_off", "design.deliveries"),
    "build-up": ("storeys.asked.design_build_up", "storeys.asked.pipe_levels", "storeys.storey.floor_findings"),
}
LAYOUT = "storeys.storey.lay_as_wished"


class Times:
    """Seconds of the processor by part."""

    def __init__(self) -> None:
        self.of: dict[str, float] = defaultdict(float)

    def timed(self, part: str, work: Callable[..., Any]) -> Callable[..., Any]:
        """The same work, its time kept."""

        def run(*args: Any, **named: Any) -> Any:
            start = time.process_time()
            result = work(*args, **named)
            self.of[part] += time.process_time() - start
            return result

        return run

    def told(self, name: str) -> None:
        """One line: each part, their sum, and its ratio to the layout."""
        floor = sum(self.of[part] for part in PARTS)
        parts = "  ".join(f"{part} {self.of[part]:.2f}" for part in PARTS)
        print(f"{name:<22}{parts}  in all {floor:.2f} s, {100 * floor / self.of['layout']:.0f} % of the layout")


def a_model(path: Path) -> None:
    """A whole design with the clock at the floor's parts."""
    times, settings = Times(), Settings()
    building = read_building(path, settings)
    started = []
    for part, names in [*PARTS.items(), ("layout", (LAYOUT,))]:
        for name in names:
            module, _, function = f"ufh_core.{name}".rpartition(".")
            work = getattr(sys.modules[module], function)
            started.append(patch(f"{module}.{function}", times.timed(part, work)))
    for each in started:
        each.start()
    design_building(building, settings)
    for each in started:
        each.stop()
    times.told(path.stem)


def a_random_dwelling(seed: int) -> PanelPlan:
    """Lay a dwelling, then give it its floor."""
    times, settings, storey = Times(), Settings(), plan_sketch.random_dwelling(seed)
    level, rooms = plan_sketch.level(storey), [room.ifc_guid for room in storey.rooms]
    brief = LevelBrief(level=level, pitches=dict.fromkeys(rooms, 0.15), settings=settings)
    circuits = times.timed("layout", lay_level)(brief).circuits
    axes, lengths = [c.axis for c in circuits], {c.number: c.length_m for c in circuits}
    screeds = [
        ScreedRoom(room=r.ifc_guid, outline=r.outline, heated=True, indoor_c=20.0, finish_r=0.1) for r in storey.rooms
    ]
    joints = times.timed("joints", planned_joints)(storey, screeds, settings)
    build = times.timed("build-up", design_build_up)
    build_ups = tuple(build(room, "ground", settings, 0.1) for room in storey.rooms)
    doors = times.timed("screed", doorway_floors)([level], rooms, joints.fields, axes, settings)
    plan = times.timed("panels", storey_panels)([level], rooms, axes, settings)
    coils = times.timed("coils", coil_plan)(lengths, settings.pipe.coil_lengths_m, settings.pipe.spare)
    part = FloorPart(
        storey="S",
        build_ups=build_ups,
        areas_m2={room.ifc_guid: room.outline.area for room in storey.rooms},
        doorways=doors,
        pipe_m=sum(lengths.values()),
        panels=PanelCount(panels=plan.panels, whole=0, covered_m2=plan.covered_m2),
    )
    times.timed("take-off", take_off)([part], lengths, settings, coils)
    times.told(f"random dwelling {seed}")
    return plan


def main() -> None:
    """Time all."""
    words = sys.argv[1:]
    count = int(words.pop(0)) if words and words[0].isdigit() else 10
    for path in [Path(word) for word in words] or [Path(sample_model(name)) for name in ("bungalow", "bay-house")]:
        a_model(path)
    plans = [a_random_dwelling(seed) for seed in range(FIRST, FIRST + count)]
    large = [share.waste for plan in plans for share in plan.rooms if share.covered_m2 > 12]
    ratio = max(plan.panels * plan.size.covers_m2 / plan.covered_m2 for plan in plans)
    print(
        f"panels: {len(large)} rooms above 12 m² lose up to {100 * max(large):.1f} %, dwellings {ratio:.3f} of the area"
    )


if __name__ == "__main__":
    main()
