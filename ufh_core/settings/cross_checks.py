"""Settings that contradict each other though each is within its own range."""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Sequence
from itertools import pairwise

from ufh_core.basis.errors import NoSolution
from ufh_core.heating_water import heating_fluid
from ufh_core.settings.types import Settings

_TOLERANCE_M = 1e-6

MOST_STUDS_OF_LAP = 2
"""Panels that lap by more are bad work (common practice)."""

WIDEST_TURN = 1.5
"""Pitches that a turn-round may be wide: the floor in it is then within 0.75 pitch of the pipe."""


def conflict(settings: Settings) -> str:
    """Say the first contradiction in words, "" where there is none."""
    return next((text for check in _CHECKS if (text := check(settings))), "")


def _pipe(s: Settings) -> str:
    if s.pipe.wall_m >= s.pipe.outside_diameter_m / 2:
        return (
            f"pipe.wall_m: {s.pipe.wall_m:g} m leaves no bore; "
            f"allowed: less than half of pipe.outside_diameter_m ({s.pipe.outside_diameter_m:g} m)"
        )
    return ""


def _pitches(s: Settings) -> str:
    if not s.layout.pitches_m:
        return "layout.pitches_m: the list is empty; give at least one pitch, such as 0.15"
    return next((text for pitch in s.layout.pitches_m if (text := _pitch(s, pitch, "layout.pitches_m"))), "")


def _override_pitches(s: Settings) -> str:
    wanted = ((k, o.pitch_m) for k, o in enumerate(s.rooms.overrides, 1) if o.pitch_m is not None)
    return next((text for k, p in wanted if (text := _pitch(s, p, f"rooms.overrides {k}.pitch_m"))), "")


def _edge_pitch(s: Settings) -> str:
    asked = {s.layout.edge_zone, *(o.edge_zone for o in s.rooms.overrides)} - {None, "none"}
    return _pitch(s, s.layout.edge_zone_pitch_m, "layout.edge_zone_pitch_m") if asked else ""


def _pitch(s: Settings, pitch: float, where: str) -> str:
    """Say why a pitch cannot be laid: off the studs, or too tight to turn round in."""
    stud, least = s.layout.stud_pitch_m, 2 * s.pipe.least_bend_radius_m / WIDEST_TURN
    if s.layout.stud_grid and _off_grid(pitch, stud):
        return f"{where}: {pitch:g} m is not a multiple of layout.stud_pitch_m ({stud:g} m)"
    if pitch < least - _TOLERANCE_M:
        return (
            f"{where}: {pitch:g} m is too tight for a turn-round; "
            f"allowed: at least 2 x pipe.least_bend_radius_m / {WIDEST_TURN:g} ({least:g} m)"
        )
    return ""


def _tails(s: Settings) -> str:
    spacing = s.layout.tail_spacing_m
    if _off_grid(spacing, s.layout.stud_pitch_m):
        return (
            f"layout.tail_spacing_m: {spacing:g} m is not a multiple of layout.stud_pitch_m "
            f"({s.layout.stud_pitch_m:g} m): tails lie between the studs too"
        )
    if spacing < s.pipe.outside_diameter_m:
        return (
            f"layout.tail_spacing_m: {spacing:g} m is less than pipe.outside_diameter_m "
            f"({s.pipe.outside_diameter_m:g} m); pipes would overlap"
        )
    return ""


def _panels(s: Settings) -> str:
    """Say why panels cannot be laid on one grid of studs."""
    stud, lap, least = s.layout.stud_pitch_m, s.floor.panel_lap_m, s.floor.panel_least_piece_m
    if not s.layout.stud_grid:
        return ""
    sides = {"panel_length_m": s.floor.panel_length_m, "panel_width_m": s.floor.panel_width_m}
    for where, side in sides.items():
        if _off_grid(side, stud):
            return f"floor.{where}: {side:g} m is not a multiple of layout.stud_pitch_m ({stud:g} m)"
    if lap > MOST_STUDS_OF_LAP * stud + _TOLERANCE_M:
        return (
            f"floor.panel_lap_m: {lap:g} m is more than {MOST_STUDS_OF_LAP} studs of layout.stud_pitch_m ({stud:g} m); "
            f"allowed: up to {MOST_STUDS_OF_LAP * stud:g} m"
        )
    if least > min(sides.values()) / 3:
        return (
            f"floor.panel_least_piece_m: {least:g} m is too much of the panel; "
            f"allowed: up to a third of its shorter side ({min(sides.values()) / 3:.3g} m)"
        )
    return ""


def _water(s: Settings) -> str:
    flow, greatest = s.output.flow_c, s.output.greatest_flow_c
    if flow is not None and flow > greatest:
        return f"output.flow_c: {flow:g} °C is over output.greatest_flow_c ({greatest:g} °C)"
    if s.output.spread_k > s.output.greatest_spread_k:
        return (
            f"output.spread_k: {s.output.spread_k:g} K is over "
            f"output.greatest_spread_k ({s.output.greatest_spread_k:g} K)"
        )
    return ""


def _temperatures(s: Settings) -> str:
    outdoor = s.heat_demand.outdoor_c
    named = [("rooms.indoor_default_c", s.rooms.indoor_default_c)]
    named += [(f"rooms.indoor_c.{kind}", value) for kind, value in s.rooms.indoor_c.items()]
    told_apart = ((f"rooms.overrides {k}.indoor_c", o.indoor_c) for k, o in enumerate(s.rooms.overrides, 1))
    named += [(where, value) for where, value in told_apart if value is not None]
    for where, indoor in named:
        if indoor <= outdoor:
            return f"{where}: {indoor:g} °C is not above heat_demand.outdoor_c ({outdoor:g} °C)"
    return ""


def _surfaces(s: Settings) -> str:
    if s.output.edge_limit_k < s.output.occupied_limit_k:
        return (
            f"output.edge_limit_k: {s.output.edge_limit_k:g} K is below "
            f"output.occupied_limit_k ({s.output.occupied_limit_k:g} K)"
        )
    return ""


def _manifold(s: Settings) -> str:
    for where, height in (
        ("flow_bar_height_m", s.manifold.flow_bar_height_m),
        ("return_bar_height_m", s.manifold.return_bar_height_m),
    ):
        if height > s.manifold.cabinet_height_m:
            return (
                f"manifold.{where}: {height:g} m is above the cabinet's top; "
                f"allowed: up to manifold.cabinet_height_m ({s.manifold.cabinet_height_m:g} m)"
            )
    if abs(s.manifold.flow_bar_height_m - s.manifold.return_bar_height_m) < 0.05:
        return "manifold.return_bar_height_m: the bars overlap; keep it 0.05 m or more from manifold.flow_bar_height_m"
    return ""


def _places(s: Settings) -> str:
    names = [place.name for place in s.manifold.places]
    for k, name in enumerate(names):
        if name in names[:k]:
            return f'manifold.places {k + 1}.name: "{name}" is the name of place {names.index(name) + 1} too'
    for k, override in enumerate(s.rooms.overrides, 1):
        if override.manifold is not None and override.manifold not in names:
            near = difflib.get_close_matches(override.manifold, names, n=1, cutoff=0.5)
            hint = f'did you mean "{near[0]}"?' if near else "names of places: " + (", ".join(names) or "none given")
            return f'rooms.overrides {k}.manifold: no place "{override.manifold}" in [[manifold.places]]; {hint}'
    return ""


def _antifreeze(s: Settings) -> str:
    own = s.hydraulics
    try:
        heating_fluid(own.antifreeze, own.antifreeze_share, own.antifreeze_share_by)
    except NoSolution as error:
        return f"hydraulics.antifreeze_share: {error}"
    return ""


def _valve_table(s: Settings) -> str:
    turns, kvs = s.hydraulics.valve_turns, s.hydraulics.valve_turns_kv
    if len(turns) != len(kvs) or len(kvs) < 2:
        return (
            f"hydraulics.valve_turns_kv: {len(kvs)} values for {len(turns)} of hydraulics.valve_turns; "
            "give two or more, as many of each"
        )
    if not (_rising(turns) and _rising(kvs)):
        return "hydraulics.valve_turns and valve_turns_kv: each value must be greater than the one before it"
    if abs(kvs[-1] - s.hydraulics.valve_kv) > 1e-9:
        return (
            f"hydraulics.valve_turns_kv: ends with {kvs[-1]:g} m³/h, but hydraulics.valve_kv, the valve fully open, "
            f"is {s.hydraulics.valve_kv:g} m³/h; give both for your valve"
        )
    if math.floor(4 * turns[-1]) < math.ceil(4 * turns[0]):
        return "hydraulics.valve_turns: there is no quarter turn between the first and the last"
    return ""


def _pump_curve(s: Settings) -> str:
    flows, pressures = s.hydraulics.pump_curve_m3_h, s.hydraulics.pump_curve_pa
    if len(flows) != len(pressures) or len(flows) < 2:
        return (
            f"hydraulics.pump_curve_pa: {len(pressures)} values for {len(flows)} of hydraulics.pump_curve_m3_h; "
            "give two or more, as many of each"
        )
    if flows[0] != 0 or not _rising(flows):
        return "hydraulics.pump_curve_m3_h: must begin with 0, and each value be greater than the one before it"
    if pressures[0] <= 0:
        return "hydraulics.pump_curve_pa: a pump without pressure at no flow moves nothing"
    if any(after > before for before, after in pairwise(pressures)):
        return "hydraulics.pump_curve_pa: a pump's pressure never rises with its flow"
    return ""


def _vessel(s: Settings) -> str:
    # the sums of hydraulics.expansion with a heavy fluid of 1100 kg/m³ and some pressure to work with
    least, valve = s.hydraulics.static_height_m * 10_800 + 100_000, s.hydraulics.safety_valve_pa
    if valve < least:
        return (
            f"hydraulics.safety_valve_pa: {valve:g} Pa is too little for {s.hydraulics.static_height_m:g} m of "
            f"hydraulics.static_height_m; allowed: at least {least:.0f} Pa"
        )
    return ""


def _rising(values: Sequence[float]) -> bool:
    return all(after > before for before, after in pairwise(values))


def _off_grid(length: float, step: float) -> bool:
    return abs(length / step - round(length / step)) > 1e-6 or round(length / step) < 1


_CHECKS: tuple[Callable[[Settings], str], ...] = (
    _pipe,
    _pitches,
    _override_pitches,
    _edge_pitch,
    _tails,
    _panels,
    _water,
    _temperatures,
    _surfaces,
    _manifold,
    _places,
    _antifreeze,
    _valve_table,
    _pump_curve,
    _vessel,
)
