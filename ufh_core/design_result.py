"""The design: the frozen sum of all results."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from ufh_core.basis.findings import Finding
from ufh_core.building.types import Building
from ufh_core.circuits.types import FailedRoom, LaidCircuit, Manifold
from ufh_core.floor.types import BuildUp, CoilPlan, Delivery, DoorwayFloor, TakeOffLine
from ufh_core.heat_demand.types import RoomDemand
from ufh_core.hydraulics.types import CircuitFlow, ExpansionVessel, PumpDuty
from ufh_core.joints.pours import Pour, PourDay
from ufh_core.joints.types import StoreyJoints
from ufh_core.network.types import NetworkTable
from ufh_core.panels.types import PanelPlan
from ufh_core.settings.types import Settings
from ufh_core.surface_field.types import SurfaceField
from ufh_core.thermal_output.cooling import CooledFloor
from ufh_core.thermal_output.types import RoomOutput

__all__ = [
    "Answer",
    "CircuitDesign",
    "Design",
    "ManifoldDesign",
    "RoomDesign",
    "RoomStatus",
    "StoreyDesign",
    "TakeOffLine",
    "WarmUp",
]


class RoomStatus(StrEnum):
    """What became of a room."""

    HEATED = "heated"
    NOT_HEATED = "not_heated"
    SHORT = "short"
    FAILED = "failed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What became of one decision of the designer: `key` of the settings, what was asked, why not if not followed."""

    key: str
    asked: str
    followed: bool
    remark: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmUp:
    """How long a floor's heat upward takes to follow its water at an even room temperature [s]: 63.2 % and 90 %."""

    time_constant_s: float
    to_90_percent_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomDesign:
    """A room with its status; `demand`, `output`, `build_up` and `warm_up` are None where it is not heated.

    `cooling` is None where the check is not asked for, or the room's floor is shut in summer.
    `tail_output_w` is what tails that cross it give to it, `bare_loss_w` what its floor without pipe takes from it;
    `output` covers the rest of the demand.
    `answers` says what became of the designer's own decisions for the room.
    """

    room: str
    status: RoomStatus
    reason: str = ""
    demand: RoomDemand | None = None
    output: RoomOutput | None = None
    build_up: BuildUp | None = None
    heated_area_m2: float = 0.0
    tail_output_w: float = 0.0
    bare_loss_w: float = 0.0
    warm_up: WarmUp | None = None
    cooling: CooledFloor | None = None
    answers: tuple[Answer, ...] = ()

    @property
    def heat_w(self) -> float:
        """Heat [W] that the room gets from its floor: fields and tails, less what floor without pipe takes."""
        return self.tail_output_w - self.bare_loss_w + (self.output.output_w if self.output else 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class CircuitDesign:
    """A circuit as laid with its heat and its water. Heat [W], temperatures [°C]."""

    laid: LaidCircuit
    flow: CircuitFlow
    output_w: float
    downward_w: float
    flow_c: float
    return_c: float
    valve_setting: str  # what to set on the valve or meter, in words: "1.4 l/min, 1.75 turns"


@dataclass(frozen=True, slots=True, kw_only=True)
class ManifoldDesign:
    """A manifold with its flow temperature [°C] and pump; `network` is None where no circuit of it has a flow."""

    manifold: Manifold
    flow_c: float
    return_c: float
    pump: PumpDuty
    network: NetworkTable | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreyDesign:
    """What was designed on one storey, in the order of the building's rooms.

    `failed` are rooms, or parts of them, without a pipe, with the best attempt at one; `surface` is the
    floor's temperature over the plan, None where nothing is laid; `panels` is None where the system has no studs.
    `findings` are those of its layout, which the whole design lists with all others.
    """

    storey: str  # GlobalId
    rooms: tuple[RoomDesign, ...]
    manifolds: tuple[ManifoldDesign, ...]
    circuits: tuple[CircuitDesign, ...]
    failed: tuple[FailedRoom, ...] = ()
    surface: SurfaceField | None = None
    panels: PanelPlan | None = None
    joints: StoreyJoints = field(default_factory=StoreyJoints)
    doorways: tuple[DoorwayFloor, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """Everything that was read, assumed and designed.

    `vessel` is None where no water runs, `coils` where no coil is long enough.
    `deliveries` divides the order by storey, `pours` are the fields of screed in the order in which they are laid.
    """

    building: Building
    settings: Settings
    storeys: tuple[StoreyDesign, ...]
    findings: tuple[Finding, ...]
    take_off: tuple[TakeOffLine, ...]
    software_version: str
    settings_digest: str
    vessel: ExpansionVessel | None = None
    coils: CoilPlan | None = None
    deliveries: tuple[Delivery, ...] = ()
    pours: tuple[Pour, ...] = ()
    pour_days: tuple[PourDay, ...] = ()

    @property
    def nothing_missing(self) -> bool:
        """Whether every room that should be heated is carried and nothing is left out or clashes."""
        rooms_fine = all(
            room.status in (RoomStatus.HEATED, RoomStatus.NOT_HEATED) for s in self.storeys for room in s.rooms
        )
        return rooms_fine and not any(f.severity == "error" for f in self.findings)
