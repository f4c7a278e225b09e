"""Settings of the order: packs in which things are sold, and what is ordered to spare."""

from __future__ import annotations

from dataclasses import dataclass

from ufh_core.settings.metadata import CP
from ufh_core.settings.metadata import setting as _set

SCREED_SUPPLIES = ("ready-mixed", "bags")
_AS_SOLD = "ask the supplier; this default is generic"
_SHEET = CP + "; the product's data sheet goes first"


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderSettings:
    """Packs and spare. Pipe has its own: pipe.coil_lengths_m and pipe.spare."""

    panel_spare: float = _set(0.02, "share of panels to spare for damage", CP, "", 0, 0.3)
    panels_a_pack: int = _set(10, "castellated panels in a pack", _AS_SOLD, "", 1, 100)
    board_spare: float = _set(0.05, "share of insulation boards to spare for cutting", CP, "", 0, 0.3)
    board_m2_a_pack: float = _set(5.0, "insulation boards in a pack", _AS_SOLD, "m²", 0.1, 50)
    sheet_spare: float = _set(0.10, "share of foil and membrane for laps", "EN 1264-4, from memory", "", 0, 0.5)
    foil_m2_a_roll: float = _set(100.0, "foil on a roll", _AS_SOLD, "m²", 1, 1000)
    membrane_m2_a_roll: float = _set(50.0, "damp-proof membrane on a roll", _AS_SOLD, "m²", 1, 1000)
    edge_strip_spare: float = _set(0.05, "share of edge strip to spare for cutting", CP, "", 0, 0.3)
    edge_strip_m_a_roll: float = _set(25.0, "edge strip on a roll", _AS_SOLD, "m", 1, 500)
    staple_spare: float = _set(0.05, "share of staples to spare", CP, "", 0, 0.5)
    staples_a_box: int = _set(300, "staples in a box", _AS_SOLD, "", 1, 10000)
    rail_spare: float = _set(0.05, "share of clip rail to spare for cutting", CP, "", 0, 0.5)
    rail_length_m: float = _set(2.0, "length of a clip rail", _AS_SOLD, "m", 0.2, 10)
    screed_supply: str = _set("ready-mixed", "how the screed comes", CP, choices=SCREED_SUPPLIES)
    screed_spare: float = _set(0.05, "share of screed to spare, as for an uneven base", CP, "", 0, 0.3)
    screed_step_m3: float = _set(0.25, "ready-mixed screed is ordered in steps of this", _AS_SOLD, "m³", 0.01, 2)
    screed_bag_kg: float = _set(40.0, "dry screed in a bag", _AS_SOLD, "kg", 5, 1500)
    screed_dry_kg_m3: float = _set(1850.0, "dry screed from bags for a cubic metre laid", _SHEET, "kg/m³", 1000, 2400)
    additive_kg_m3: float = _set(
        2.0, "additive in cement screed over pipes; 0 where the supplier mixes it in", _SHEET, "kg/m³", 0, 20
    )
    additive_kg_a_canister: float = _set(10.0, "additive in a canister", _AS_SOLD, "kg", 0.5, 1000)
    fibre_kg_m3: float = _set(0.0, "fibres in the screed; 0 for none", _SHEET, "kg/m³", 0, 40)
    fibre_kg_a_bag: float = _set(0.9, "fibres in a bag", _AS_SOLD, "kg", 0.1, 50)
    storeys_apart: bool = _set(
        False, "each storey's packs are rounded up by themselves, as where storeys are ordered or built apart", CP
    )
    poured_m2_a_day: float = _set(
        150.0, "screed that one crew lays in a day", CP + "; flowing screed: several times", "m²", 10, 5000
    )
    pumped_m3_a_day: float = _set(
        15.0, "screed that one pump brings in a day", CP + "; flowing screed: several times", "m³", 1, 500
    )
    lorry_m3: float = _set(6.0, "ready-mixed screed on a lorry", CP + "; " + _AS_SOLD, "m³", 0.5, 15)
