"""Bodies of other trades: pipes, ducts, drains, cables, structure, from their models or from the architect's.

Units, placement and georeference are brought into the architect's plan frame. Openings are cut out of bodies
here, because a pipe may lie in an opening of another trade's wall.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.errors import ModelReadError
from ufh_core.basis.frame import LocalFrame
from ufh_core.building.bodies import geometry_settings, has_body, kernel_mesh, parts_of
from ufh_core.building.earlier_additions import PROVENANCE
from ufh_core.building.elements import names_of
from ufh_core.building.furniture_words import is_hearth_name
from ufh_core.building.map_place import MapPlace, between, map_place
from ufh_core.building.model_file import ModelFile, open_model

NO_SOLID = ("IfcFeatureElement", "IfcVirtualElement", "IfcGeographicElement", "IfcCivilElement", "IfcCovering")
"""Elements that are no obstacle: holes and reservations, ground, and layers in which pipes lie."""
IN_BUILDING = ("IfcSanitaryTerminal", "IfcElectricAppliance")
"""Services in the architect's model that stand on the floor as obstacles already."""
FLOOR_TRAPS = ("FLOORTRAP", "FLOORWASTE", "GULLYSUMP", "GULLYTRAP", "WASTETRAP", "ROOFDRAIN")

_TRADES = (
    ("drain", ("IfcWasteTerminal", "IfcStackTerminal")),
    ("duct", ("IfcDuct", "IfcAirTerminal", "IfcDamper")),
    ("pipe", ("IfcPipe", "IfcValve", "IfcPump", "IfcTank")),
    ("cable", ("IfcCable", "IfcJunctionBox", "IfcOutlet", "IfcElectric", "IfcLight", "IfcSwitchingDevice")),
    ("structure", ("IfcWall", "IfcSlab", "IfcColumn", "IfcBeam", "IfcFooting", "IfcPile", "IfcMember", "IfcPlate",
                   "IfcStair", "IfcRamp", "IfcRoof", "IfcCurtainWall", "IfcReinforcing", "IfcChimney")),
)  # fmt: skip
UNSTATED = "unstated"
TRADES = (*(name for name, _ in _TRADES), "other", UNSTATED)
GREATEST_UNSTATED_M2 = 10.0  # own rule: a proxy that covers more of the plan is terrain, a layer or a whole building


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TradeBody:
    """One element's body: `vertices` (n, 3) in the plan frame with world heights [m], `faces` (m, 3).

    `trade` is one of `TRADES`; `model` is the file's name, "" for the architect's.
    """

    ifc_guid: str
    name: str
    ifc_class: str
    trade: str
    model: str
    vertices: NDArray[np.float64]
    faces: NDArray[np.int32]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OtherModel:
    """What was read of one model: bodies, GlobalIds of elements without a readable shape, and its map's system."""

    name: str
    bodies: tuple[TradeBody, ...]
    unread: tuple[str, ...]
    georeferenced: bool
    system: str


def read_other_model(path: Path, architect: ModelFile, frame: LocalFrame) -> OtherModel:
    """The bodies of another trade's model in the plan frame of the architect's.

    Elements that the architect's model has too are left out.

    Raises `ModelReadError` where the file cannot be read, or is a heating model of this tool.
    """
    source = open_model(path)
    if any(s.Name == PROVENANCE for s in source.of_class("IfcPropertySet")):
        raise ModelReadError(f"{path}: is a heating model, not another trade's; name it, or its folder, with --design")
    place, known = map_place(source), {e.GlobalId for e in architect.of_class("IfcElement")}
    elements = [e for e in source.of_class("IfcElement") if _solid(e) and e.GlobalId not in known]
    matrix = between(place, map_place(architect))
    bodies, unread = _bodies(source, elements, (frame, matrix), path.name)
    return OtherModel(name=path.name, bodies=bodies, unread=unread, georeferenced=place is not None, system=_of(place))


def architects_services(architect: ModelFile, frame: LocalFrame) -> tuple[TradeBody, ...]:
    """The bodies of pipes, ducts, drains and cables that the architect's own model holds, and of its proxies."""
    services = architect.of_class("IfcDistributionElement")
    taken = {e.id() for e in architect.of_class(*IN_BUILDING)}
    wanted = [e for e in services if e.id() not in taken and not _terminal_2x3(e) and _solid(e)]
    return (*_bodies(architect, wanted, (frame, np.eye(4)), "")[0], *_unstated(architect, frame))


def _unstated(architect: ModelFile, frame: LocalFrame) -> Iterator[TradeBody]:
    """The architect's proxies: bodies of which the model does not say what they are. Hearths are obstacles already."""
    proxies = architect.of_class("IfcBuildingElementProxy")
    wanted = [p for p in proxies if _solid(p) and not is_hearth_name(*names_of(p))]
    for body in _bodies(architect, wanted, (frame, np.eye(4)), "")[0]:
        if np.prod(np.ptp(body.vertices[:, :2], axis=0)) <= GREATEST_UNSTATED_M2:
            yield replace(body, trade=UNSTATED)


def _of(place: MapPlace | None) -> str:
    return place.system if place is not None else ""


def _terminal_2x3(element: Any) -> bool:
    """Whether an element is one of IFC2X3's fixtures, which are read as obstacles or hang on walls."""
    types = [t for r in getattr(element, "IsDefinedBy", None) or () if r.is_a("IfcRelDefinesByType")
             for t in (r.RelatingType,) if t is not None]  # fmt: skip
    fixture = any(t.is_a("IfcSanitaryTerminalType") or t.is_a("IfcLightFixtureType") for t in types)
    return element.is_a() == "IfcFlowTerminal" and (fixture or not types)


def _solid(element: Any) -> bool:
    """Whether an element is a body that others must keep clear of."""
    kinds = (getattr(element, "PredefinedType", None), element.ObjectType)  # IFC2X3 has only the latter
    reserved = any((kind or "").upper().replace(" ", "") == "PROVISIONFORVOID" for kind in kinds)
    return has_body(element) and not reserved and not any(element.is_a(kind) for kind in NO_SOLID)


def trade_of(ifc_class: str, predefined: str = "", of_type: str = "") -> str:
    """The trade of an element by its class, predefined type, and the class of its type (IFC2X3)."""
    if predefined in FLOOR_TRAPS:
        return "drain"
    for text in (of_type, ifc_class):
        for trade, starts in _TRADES:
            if any(text.startswith(start) for start in starts):
                return trade
    return "other"


def _trade(element: Any) -> str:
    """The trade of an element."""
    relations = [*(getattr(element, "IsTypedBy", None) or ()), *(getattr(element, "IsDefinedBy", None) or ())]
    kinds = [r.RelatingType for r in relations if r.is_a("IfcRelDefinesByType") and r.RelatingType is not None]
    own = getattr(element, "PredefinedType", None) or ""
    typed = next((getattr(k, "PredefinedType", None) or "" for k in kinds), "")
    return trade_of(element.is_a(), own if own not in ("", "NOTDEFINED") else typed, kinds[0].is_a() if kinds else "")


def _bodies(
    source: ModelFile, elements: Sequence[Any], into: tuple[LocalFrame, NDArray[np.float64]], model: str
) -> tuple[tuple[TradeBody, ...], tuple[str, ...]]:
    """(bodies, GlobalIds of elements without a readable one). Wholes whose parts have bodies are their parts."""
    frame, matrix = into
    settings = geometry_settings()
    settings.set("disable-opening-subtractions", False)
    settings.set("use-world-coords", True)
    taken = {p.id() for e in elements for p in parts_of(e)}
    found, unread = [], []
    for element in elements:
        mesh = kernel_mesh(settings, element)
        if mesh is None or not len(mesh[1]):
            if element.id() not in taken:
                unread.append(element.GlobalId)
            continue
        world = mesh[0] @ matrix[:3, :3].T + matrix[:3, 3]
        found.append(
            TradeBody(
                ifc_guid=element.GlobalId,
                name=element.Name or "",
                ifc_class=element.is_a(),
                trade=_trade(element),
                model=model,
                vertices=frame.to_local(world),
                faces=mesh[1],
            )
        )
    return tuple(found), tuple(unread)
