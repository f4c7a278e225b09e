"""The order list: pipe by coils, all else by packs; and what of it goes to which storey.

Packs are shared by storeys, so the whole order is rounded up once, and each storey gets the packs that it and those
before it need together, less what those before it have: deliveries make up the order. What comes to a storey by
itself (ready-mixed screed, or everything where `storeys_apart` in the settings says so) is rounded up there. Pipe is
always cut from coils for the whole building.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

from ufh_core.basis.message import Message
from ufh_core.floor.needs import needs
from ufh_core.floor.types import CoilPlan, Delivery, FloorPart, Need, TakeOffLine
from ufh_core.settings.types import Settings

HAIR = 1e-9


def take_off(
    parts: Sequence[FloorPart], lengths_m: Mapping[str, float], settings: Settings, coils: CoilPlan | None = None
) -> tuple[TakeOffLine, ...]:
    """List what to order for storeys in the order in which they are laid.

    `lengths_m` gives the pipe of each circuit with tails and risers [m] by number. `coils` says what the pipe is cut
    from; without it the order names metres.
    """
    lines = []
    for mine in _by_item(parts, settings).values():
        packs = sum(_packs_of_each(mine, settings))
        net = sum(need.net for _, need in mine)
        lines.append(_line(mine[0][1], net, packs, _note(mine, net, settings)))
    return (*_pipe(lengths_m, coils, settings), *lines)


def deliveries(parts: Sequence[FloorPart], settings: Settings) -> tuple[Delivery, ...]:
    """What to bring to each storey: with the pipe's coils left out, they add up to the order."""
    brought: dict[str, list[TakeOffLine]] = {part.storey: [] for part in parts}
    for mine in _by_item(parts, settings).values():
        for (storey, need), packs in zip(mine, _packs_of_each(mine, settings), strict=True):
            brought[storey].append(_line(need, need.net, packs, need.note if packs else "from packs brought before"))
    return tuple(Delivery(storey=storey, lines=tuple(lines)) for storey, lines in brought.items() if lines)


def _by_item(parts: Sequence[FloorPart], settings: Settings) -> dict[str, list[tuple[str, Need]]]:
    """(storey, need) by item, in the order of the first storey that needs it."""
    found: dict[str, list[tuple[str, Need]]] = defaultdict(list)
    for part in parts:
        for need in needs(part, settings):
            found[need.item].append((part.storey, need))
    return found


def _packs_of_each(mine: Sequence[tuple[str, Need]], settings: Settings) -> list[int]:
    """Packs for each storey in turn."""
    if mine[0][1].apart or settings.order.storeys_apart:
        return [_packs(need, need.net) for _, need in mine]
    packs, needed, there = [], 0.0, 0
    for _, need in mine:
        needed += need.net
        packs.append(_packs(need, needed) - there)
        there += packs[-1]
    return packs


def _packs(need: Need, net: float) -> int:
    return math.ceil(net * (1 + need.spare) / need.pack - HAIR)


def _line(need: Need, net: float, packs: int, note: str) -> TakeOffLine:
    return TakeOffLine(
        item=need.item,
        quantity=round(packs * need.pack, 6),
        unit=need.unit,
        note=note,
        net=net,
        spare=need.spare,
        pack=need.pack,
        packs=packs,
    )


def _note(mine: Sequence[tuple[str, Need]], net: float, settings: Settings) -> str:
    """What the quantity is made of: net, spare, packs, and what else there is to say."""
    need = mine[0][1]
    words = []
    if need.spare > 0 or need.pack_name:
        spare = f", {100 * need.spare:g} % spare for {need.spare_for}" if need.spare > 0 else ""
        words.append(f"{net:.0f} {need.unit}{spare}" if need.unit == "pcs" else f"{net:.2f} {need.unit}{spare}")
    if need.pack_name:
        packs, apart = sum(_packs_of_each(mine, settings)), need.apart or settings.order.storeys_apart
        rounded = (
            (", each storey rounded up" if apart else ", rounded up once for all storeys") if len(mine) > 1 else ""
        )
        words.append(f"{packs} {need.pack_name} of {need.pack:g} {need.unit}{rounded}")
    elif need.apart and len(mine) > 1:
        words.append(f"each storey rounded up to {need.pack:g} {need.unit}")
    elif need.apart:
        words.append(f"rounded up to {need.pack:g} {need.unit}")
    if len(mine) == 1 or len({other.note for _, other in mine}) == 1:
        words.append(need.note)
    return "; ".join(word for word in words if word)


def _pipe(lengths: Mapping[str, float], coils: CoilPlan | None, settings: Settings) -> list[TakeOffLine]:
    total, spare = sum(lengths.values()), settings.pipe.spare
    if total <= 0:
        return []
    pipe = settings.pipe
    size = {"outside": 1000 * pipe.outside_diameter_m, "wall": 1000 * pipe.wall_m}
    note = f"{total:.1f} m laid, {100 * spare:g} % spare; one unbroken piece for each of {len(lengths)} circuits"
    if coils is None or not coils.coils:
        metres = math.ceil(total * (1 + spare) - HAIR)
        item = Message("pipe {outside:g} x {wall:g} mm", **size)
        return [TakeOffLine(item=item, quantity=metres, unit="m", note=note, net=total, spare=spare)]
    left = sum(coil.left_m for coil in coils.coils)
    notes = {0: f"{note}, cut as in the list of coils; {left:.0f} m are left over"}
    counts = sorted(Counter(coil.length_m for coil in coils.coils).items(), reverse=True)
    return [
        TakeOffLine(
            item=Message("pipe {outside:g} x {wall:g} mm, coil of {length:g} m", **size, length=length),
            quantity=count,
            unit="pcs",
            note=notes.get(k, ""),
        )
        for k, (length, count) in enumerate(counts)
    ]
