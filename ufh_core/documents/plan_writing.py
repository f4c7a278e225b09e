"""What is written beside a plan: tables, legend, findings, cautions, title."""

from __future__ import annotations

from ufh_core.basis.findings import Finding, Severity
from ufh_core.design_result import RoomStatus
from ufh_core.documents.finding_groups import grouped
from ufh_core.documents.plan_materials import build_up_block, coil_block, order_block, pour_block, pour_day_block
from ufh_core.documents.storey_view import RoomView, StoreyView
from ufh_core.documents.summary import why_not_carried
from ufh_core.documents.writing import Block, TableColumn, legend, paragraphs, table
from ufh_core.hydraulics.types import CircuitFlow
from ufh_core.words import mark, number, said, say

MOST_FINDINGS = 12
LITRES_PER_MINUTE = 60_000.0
SIGNS = (
    ("flow", mark("flow half of a circuit, arrow with the water")),
    ("return", mark("return half of a circuit")),
    ("turn", mark("half-way along the pipe")),
    ("field", mark("heated field of a circuit, with its number, length of pipe and pitch")),
    ("edge zone", mark("edge zone along an outer wall: runs closer together")),
    ("tail", mark("tails on white ground: the way of pipes to their fields")),
    ("left out", mark("floor without any pipe")),
    ("not heated", mark("room without floor heating")),
    ("failed", mark("to be heated, but not laid by this design")),
    ("attempt", mark("NOT to be laid: best attempt at a floor that could not be laid, breaks a rule")),
    ("manifold", mark("manifold with port numbers; crossed: mixing station; dashed: keep free for service")),
    ("sleeve", mark("pipe through a wall in a sleeve: have each hole agreed")),
    ("joint", mark("movement joint through all of the screed: profile set before pouring, edge strip left whole")),
    ("joint sleeve", mark("sleeve on a pipe that crosses a movement joint")),
    ("fixed", mark("fixed unit, stair or void: no pipe; dashed: movable furniture")),
    ("door", mark("door, drawn shut: which way it opens is not known")),
    ("opening", mark("opening without a door")),
    ("window", mark("window")),
)
_SITE_NOTES = ("joints.", "layout.", "hydraulics.", "floor.", "circuits.", "coordination.")
_WITH_CIRCUITS = frozenset({"flow", "return", "turn", "field", "tail", "left out", "manifold"})
CAUTIONS = (
    mark(
        "Designed by calculation. A competent person checks it against local codes, the makers' instructions and the "
        "site before work starts."
    ),
    mark("One unbroken pipe per circuit: no joint in the floor. A kinked pipe is replaced, not bent back."),
    mark("Check dimensions, fixed units and sanitary ware on site before laying; mark what was laid differently."),
    mark(
        "A pressure test stores energy: step by step, with the mixing station shut off, nobody close to open ends."
        " Keep the pipe under pressure while the screed is laid; protect it from frost."
    ),
    mark(
        "No drilling, nailing or cutting into the finished floor."
        " Water can scald: set the safety stat before first heating."
    ),
    mark(
        "First heating only after the screed has cured; the finish only after its moisture test."
        " Electrical work, structure, fire stopping and gas are for licensed trades."
    ),
)


def blocks(view: StoreyView) -> tuple[Block, ...]:
    """Everything above the title block, in reading order."""
    return (
        _circuit_table(view),
        _manifold_table(view),
        _room_table(view),
        _settle_block(view),
        _findings_block(view),
        _legend(view),
        paragraphs("Cautions", CAUTIONS if view.is_heated else CAUTIONS[:1]),
        build_up_block(view),
        coil_block(view),
        pour_block(view),
        pour_day_block(view),
        order_block(view),
    )


def _circuit_table(view: StoreyView) -> Block:
    columns = (
        TableColumn("circuit", 13), TableColumn("room", 25), TableColumn("pitch mm", 10.2, "right"),
        TableColumn("pipe m", 9.8, "right"), TableColumn("l/min · turns", 15.5, "right"),
        TableColumn("loss kPa", 9, "right"), TableColumn("W", 8.5, "right"),
    )  # fmt: skip
    order = {m.manifold.name: k for k, m in enumerate(view.result.manifolds)}
    lines = [
        (
            c.laid.number,
            ", ".join(view.label_of(room) for room in c.laid.rooms),
            f"{c.laid.pitch_m * 1000:.0f}",
            number(c.laid.length_m, 1),
            _set_to(c.flow),
            number(c.flow.pressure_drop_pa / 1000, 1),
            f"{c.output_w:.0f}",
        )
        for c in sorted(view.result.circuits, key=lambda c: (order.get(c.laid.manifold, 0), c.laid.port))
    ]
    return table("Circuits, in the order of the ports", columns, lines)


def _set_to(flow: CircuitFlow) -> str:
    """The flow on the meter and the turns of the valve from shut, in quarters."""
    return f"{number(flow.volume_flow * LITRES_PER_MINUTE, 2)} · {turns_text(flow)}"


def turns_text(flow: CircuitFlow) -> str:
    """Turns of the balancing valve from shut, in quarters; a dash where its table has no such setting."""
    if flow.valve_turns is None:
        return "–"
    whole, quarters = divmod(round(4 * flow.valve_turns), 4)
    return f"{whole or ''}{('', '¼', '½', '¾')[quarters]}" or "0"


def _manifold_table(view: StoreyView) -> Block:
    columns = (
        TableColumn("", 9), TableColumn("in", 26), TableColumn("ports", 11, "right"),
        TableColumn("flow °C", 11, "right"), TableColumn("back °C", 11, "right"), TableColumn("l/min", 11, "right"),
        TableColumn("pump kPa", 12, "right"),
    )  # fmt: skip
    lines = [
        (
            m.manifold.name,
            view.label_of(m.manifold.room),
            str(len(m.manifold.ports)),
            number(m.flow_c, 1),
            number(m.return_c, 1),
            number(m.pump.volume_flow * LITRES_PER_MINUTE, 1),
            number(m.pump.pressure_pa / 1000, 1),
        )
        for m in view.result.manifolds
    ]
    return table("Manifolds", columns, lines)


def _room_table(view: StoreyView) -> Block:
    columns = (
        TableColumn("room", 31), TableColumn("m²", 10, "right"), TableColumn("°C", 8, "right"),
        TableColumn("needs W", 11.5, "right"), TableColumn("gets W", 11.5, "right"), TableColumn("", 19),
    )  # fmt: skip
    return table("Rooms", columns, [_room_line(room) for room in view.rooms])


def _room_line(room: RoomView) -> tuple[str, ...]:
    demand, output = room.result.demand, room.result.output
    status = {
        RoomStatus.HEATED: "",
        RoomStatus.SHORT: say("short {missing:.0f} W", missing=output.shortfall_w) if output else say("short"),
        RoomStatus.NOT_HEATED: say("not heated"),
        RoomStatus.FAILED: say("not laid"),
    }[room.result.status]
    return (
        room.room.label,
        number(room.room.outline.area, 1),
        f"{demand.indoor_c:.0f}" if demand else "",
        f"{demand.demand_w:.0f}" if demand else "",
        f"{room.result.heat_w:.0f}" if output else "",
        status,
    )


def _settle_block(view: StoreyView) -> Block:
    """Why rooms are not, or not fully, heated."""
    rank = {RoomStatus.FAILED: 0, RoomStatus.SHORT: 1, RoomStatus.NOT_HEATED: 2}
    open_rooms = [room for room in view.rooms if room.result.status in rank]
    open_rooms.sort(key=lambda room: rank[room.result.status])
    return paragraphs("Rooms without full heating, and why", [_why(room) for room in open_rooms])


def _why(room: RoomView) -> str:
    output = room.result.output
    word = {
        RoomStatus.FAILED: say("not laid"),
        RoomStatus.SHORT: say("short by {missing:.0f} W", missing=output.shortfall_w) if output else say("short"),
        RoomStatus.NOT_HEATED: say("not heated"),
    }[room.result.status]
    reasons = [why_not_carried(room.result)]
    if output is not None and room.result.status is RoomStatus.SHORT:
        reasons.append(output.advice)
    return f"{room.room.label}: {word}" + "".join(f"; {said(reason)}" for reason in dict.fromkeys(reasons) if reason)


def _findings_block(view: StoreyView) -> Block:
    """Findings of one kind as one; short rooms stand in a block of their own, notes on the calculation elsewhere."""
    told = [f for f in view.findings if f.code != "output.short" and _is_for_site(f)]
    labels = {room.room.ifc_guid: room.room.label for room in view.rooms}
    groups = grouped(told, labels)
    shown = groups[:MOST_FINDINGS]
    texts = [say("ERROR: {text}", text=g.text) if g.severity is Severity.ERROR else g.text for g in shown]
    rest = len(told) - sum(group.count for group in shown)
    rest += sum(not _is_for_site(finding) for finding in view.findings)
    if rest and view.is_heated:
        texts.append(say("{rest} more, see design.json", rest=rest))
    return paragraphs("Found in the model and the design", texts)


def _is_for_site(finding: Finding) -> bool:
    """Whether who lays the floor should read it: all but notes on the model and the calculation."""
    return finding.severity is not Severity.NOTE or finding.code.startswith(_SITE_NOTES)


def _signs_used(view: StoreyView) -> set[str]:
    """The signs that are on this plan."""
    openings = {opening.kind for opening in view.storey.openings}
    statuses = {room.result.status for room in view.rooms if room.shown}
    used = {
        "not heated": RoomStatus.NOT_HEATED in statuses,
        "failed": RoomStatus.FAILED in statuses,
        "attempt": any(failed.best_attempt is not None for failed in view.result.failed),
        "sleeve": any(circuit.laid.sleeves for circuit in view.result.circuits),
        "joint": bool(view.result.joints.joints),
        "joint sleeve": bool(view.result.joints.crossings),
        "edge zone": any(field.edge for circuit in view.result.circuits for field in circuit.laid.fields),
        "fixed": bool(view.storey.obstacles),
        "door": "door" in openings,
        "window": "window" in openings,
        "opening": bool(openings - {"door", "window"}),
    }
    return {sign for sign, there in used.items() if there} | (_WITH_CIRCUITS if view.result.circuits else set())


def _legend(view: StoreyView) -> Block:
    used = _signs_used(view)
    return legend([(sign, meaning) for sign, meaning in SIGNS if sign in used])
