"""What the floors of one storey need, net, item by item, with the packs in which each is sold."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable

from ufh_core.basis.message import Message, note
from ufh_core.floor.fixing import rails_m, staples
from ufh_core.floor.types import FloorPart, Need
from ufh_core.settings.types import Settings


def needs(part: FloorPart, settings: Settings) -> tuple[Need, ...]:
    """All that one storey needs but pipe, which is cut from coils for the whole building."""
    found = (
        *_panels(part, settings),
        *_holders(part, settings),
        *_boards(part, settings),
        *_sheets(part, settings),
        *_strip(part, settings),
        *_screed(part, settings),
        *_manifolds(part),
    )
    return tuple(need for need in found if need.net > 0)


def _panels(part: FloorPart, settings: Settings) -> Iterable[Need]:
    count = part.panels
    if count is None or count.panels == 0:
        return
    floor, order = settings.floor, settings.order
    waste = 1 - count.covered_m2 / (count.panels * floor.panel_length_m * floor.panel_width_m)
    yield Need(
        item=Message(
            "castellated panel {length:.0f} x {width:.0f} mm",
            length=1000 * floor.panel_length_m,
            width=1000 * floor.panel_width_m,
        ),
        net=count.panels,
        unit="pcs",
        pack=order.panels_a_pack,
        pack_name="packs",
        spare=order.panel_spare,
        spare_for="damage",
        note=f"{count.covered_m2:.1f} m² covered, {count.whole} laid whole, {100 * waste:.0f} % in off-cuts",
    )


def _holders(part: FloorPart, settings: Settings) -> Iterable[Need]:
    """Staples or rails where no studs hold the pipe."""
    floor, order = settings.floor, settings.order
    yield Need(
        item=note("staple for pipe"),
        net=round(staples(part.pipe_m, settings)),
        unit="pcs",
        pack=order.staples_a_box,
        pack_name="boxes",
        spare=order.staple_spare,
        spare_for="losses",
        note=f"one for {1000 * floor.staple_spacing_m:.0f} mm of pipe",
    )
    yield Need(
        item=Message("clip rail of {length:g} m", length=order.rail_length_m),
        net=rails_m(part.heated_m2, settings),
        unit="m",
        pack=order.rail_length_m,
        pack_name="rails",
        spare=order.rail_spare,
        spare_for="cutting",
        note=f"across the pipes, a row every {1000 * floor.rail_spacing_m:.0f} mm",
    )


def _boards(part: FloorPart, settings: Settings) -> Iterable[Need]:
    """One item for each thickness of insulation board."""
    by_thickness: dict[int, float] = defaultdict(float)
    for build_up in part.build_ups:
        for layer in build_up.layers:
            if layer.role == "insulation":
                by_thickness[round(1000 * layer.thickness_m)] += part.areas_m2[build_up.room]
    for thickness, area in sorted(by_thickness.items()):
        yield Need(
            item=Message("insulation board {thickness} mm", thickness=thickness),
            net=area,
            unit="m²",
            pack=settings.order.board_m2_a_pack,
            pack_name="packs",
            spare=settings.order.board_spare,
            spare_for="cutting",
        )


def _sheets(part: FloorPart, settings: Settings) -> Iterable[Need]:
    order = settings.order
    for role, name, roll in (
        ("membrane", note("damp-proof membrane"), order.membrane_m2_a_roll),
        ("foil", note("polyethylene foil"), order.foil_m2_a_roll),
    ):
        under = [b for b in part.build_ups if any(layer.role == role for layer in b.layers)]
        yield Need(
            item=name,
            net=sum(part.areas_m2[b.room] for b in under),
            unit="m²",
            pack=roll,
            pack_name="rolls",
            spare=order.sheet_spare,
            spare_for="laps",
        )


def _strip(part: FloorPart, settings: Settings) -> Iterable[Need]:
    yield Need(
        item=note("edge strip"),
        net=sum(build_up.edge_strip_m for build_up in part.build_ups),
        unit="m",
        pack=settings.order.edge_strip_m_a_roll,
        pack_name="rolls",
        spare=settings.order.edge_strip_spare,
        spare_for="cutting",
        note="round the rooms",
    )


def _screed(part: FloorPart, settings: Settings) -> Iterable[Need]:
    """Screed net of studs and pipe, as it is supplied, and what is mixed into it."""
    floor, order = settings.floor, settings.order
    doors = sum(doorway.screed_m3 for doorway in part.doorways)
    volume = sum(build_up.screed_volume_m3 for build_up in part.build_ups) + doors
    of_doors = f", {doors:.2f} m³ of it in doorways" if doors > 0 else ""
    mass = f"net of studs and pipe{of_doors}; {volume * floor.screed_density:.0f} kg as laid"
    screed, spare, why = Message(floor.screed), order.screed_spare, "an uneven base"
    if order.screed_supply == "bags":
        dry, bag = volume * order.screed_dry_kg_m3, order.screed_bag_kg
        bags = f"{volume:.2f} m³ {mass}"
        yield Need(
            item=Message("{screed} screed, bag of {bag:g} kg", screed=screed, bag=bag),
            net=dry, unit="kg", pack=bag, pack_name="bags", spare=spare,
            spare_for=why, note=bags,
        )  # fmt: skip
    else:
        yield Need(
            item=Message("{screed} screed, ready-mixed", screed=screed),
            net=volume, unit="m³", pack=order.screed_step_m3, spare=spare,
            spare_for=why, note=mass, apart=True,
        )  # fmt: skip
    mixed_in = volume * (1 + spare)
    if floor.screed == "cement":
        yield Need(
            item=note("screed additive"), net=mixed_in * order.additive_kg_m3, unit="kg",
            pack=order.additive_kg_a_canister, pack_name="canisters",
            note=f"{order.additive_kg_m3:g} kg/m³ with the spare screed; none where the supplier mixes it in",
        )  # fmt: skip
    yield Need(
        item=note("screed fibres"),
        net=mixed_in * order.fibre_kg_m3, unit="kg", pack=order.fibre_kg_a_bag, pack_name="bags",
        note=f"{order.fibre_kg_m3:g} kg/m³ with the spare screed",
    )  # fmt: skip


def _manifolds(part: FloorPart) -> Iterable[Need]:
    """Manifolds with their cabinets, and what each circuit needs at them."""
    for size, count in sorted(Counter(n for n in part.ports.values() if n > 0).items()):
        item = Message("manifold for {size} circuits with cabinet and mixing station", size=size)
        yield Need(item=item, net=count, unit="pcs", pack=1)
    circuits = sum(part.ports.values())
    yield Need(item=note("pipe connector"), net=2 * circuits, unit="pcs", pack=1, note="two for each circuit")
    yield Need(item=note("valve actuator"), net=circuits, unit="pcs", pack=1, note="one for each circuit")
