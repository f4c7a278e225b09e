"""Every word of the setting-out page in one table; each is said in the language of the page."""

from __future__ import annotations

from ufh_core.words import say as say_text

WORDS: dict[str, str] = {
    "title": "Setting out",
    "intro": "Tap a circuit on the plan, or pick it in the list, and its card opens. All marks are metres of pipe, "
    "counted from the end that goes into the flow bar.",
    "cautions": "Cautions",
    "more cautions": "All cautions are at the end of the page.",
    "caution 1": "Designed by calculation. A competent person checks it against local codes, the makers' instructions "
    "and the site before a pipe is laid.",
    "caution 2": "No joint in the floor. Never bend tighter than {radius} on the pipe's axis; a kinked pipe is "
    "replaced, not bent back.",
    "caution 3": "Where wall, unit, shaft or joint stands elsewhere than on the plan, stop and ask: the marks no "
    "longer hold.",
    "caution 4": "Under pressure test nobody near who need not be; no drilling, no nails from the first pipe on.",
    "plan": "Plan: {storey}",
    "plan hint": "Drag to move, pinch or use the buttons to zoom. Solid is the way in, dashed the way back, "
    "violet a movement joint.",
    "zoom in": "Zoom in",
    "zoom out": "Zoom out",
    "whole plan": "Whole plan",
    "room": "Room",
    "manifold": "Manifold",
    "every": "all",
    "circuits": "Circuits",
    "all cards": "Show all cards",
    "none": "No circuit has both.",
    "coil print": "Metres printed on the pipe at the cut end",
    "coil down": "the print counts down",
    "coil print hint": "Then every mark of this card is shown as the print that you should read there.",
    "read": "print {value}",
    "circuit": "Circuit {number}",
    "circuit in": "Circuit {number}, {rooms}",
    "length": "Pipe from bar to bar",
    "cut": "Cut to",
    "coil": "Coil",
    "coil text": "no. {coil}, {length} long, cut {cut} of {cuts}, after {before}",
    "no coil": "none is long enough, see the order",
    "rises": "Down to the floor",
    "steps": "Steps",
    "mark": "mark",
    "start": "Manifold {manifold}, port {port} from the left as seen from the room, flow bar. Down into {room}.",
    "run": "Straight for {run}{walls}{bend}.",
    "then": "; then bend {bend}",
    "then against": "; then bend {bend} against {studs}",
    "doorway": "Through the doorway into {to}{jambs}.",
    "open side": "Over into {to}; no door between.",
    "wall sleeve": "Through the wall into {to}, in a sleeve{walls}.",
    "joint": "Movement joint: the pipe lies in a sleeve here, {run} long. Push it on before you lay on.",
    "field": "The field in {room} begins{walls}. Pitch {pitch}.",
    "gap": "Go on inwards. Leave {gap} from axis to axis to the run beside; the way back comes into the middle.",
    "gap differs": "Go on inwards. The gap is not the same everywhere: lay by the plan and the list of bends.",
    "turn-round": "Turn-round: from here the pipe runs back{turn}{walls}.",
    "turn": ", {gap} from axis to axis",
    "half-way": "Half of the pipe in this field lies{walls}.",
    "field end": "The field in {room} is full.",
    "end": "Port {port}, return bar.",
    "unknown": "a wall or doorway",
    "gap to": "{gap} from the wall {side}",
    "left": "on the left",
    "right": "on the right",
    "ahead": "ahead",
    "behind": "behind",
    "jambs": ", {left} from the left jamb, {right} from the right",
    "and": " and ",
    "one stud": "1 stud",
    "studs": "{count} studs",
    "checks": "Marks to check on the way",
    "check walls": "axis to the bare wall, looking along the pipe",
    "bends": "Every bend ({count})",
    "bend before": "straight before it",
    "bend turn": "bend",
    "bend left": "left {degrees}°",
    "bend right": "right {degrees}°",
    "bend studs": "against",
    "count": "How to count studs",
    "count text": "The pipe lies between studs. Studs to a wall, or between two runs, are those that stand "
    "between them on a straight line across. At the least radius of {radius} a bend of 90° lies against {quarter}, "
    "a turn of 180° round {half}, all on its inner side.",
    "count over": "The axis of such a bend passes {off} from the centre of the stud in its corner. Keep that stud on "
    "the outer side of the pipe, as the panel's maker shows; never go round it more tightly.",
    "count figure": "A bend of 90 degrees and a turn of 180 degrees between studs",
    "no studs": "No stud grid in this design: measure in millimetres, and hold every bend as the plan shows it.",
    "nothing": "No circuit was laid.",
    "foot": "Design {digest}, {software}.",
}
"""Texts by key; names in braces are filled in."""


def say(key: str, **values: object) -> str:
    """The text of a key with its values, in the language that is spoken."""
    return say_text(WORDS[key], **values)
