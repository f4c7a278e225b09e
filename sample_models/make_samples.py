"""Makes the three sample models next to this script: `python make_samples.py`.

The houses, rooms and figures are invented. Running again writes the same bytes.
"""

from __future__ import annotations

from pathlib import Path

from ifc_elements import (
    box,
    door,
    furniture,
    inner_wall,
    opening,
    outer_walls,
    rooms,
    sanitary,
    slab,
    space,
    straight_stair,
    thing,
    window,
)
from ifc_sketch import FOOT, XY, Floor, Scene, Sketch, mitred
from shapely.geometry import Polygon

TEMPERATURE = "IfcThermodynamicTemperatureMeasure"


def constructions(sketch: Sketch) -> None:
    """Walls, floors and roofs, layer by layer, from outside in or from below up."""
    sketch.layers(
        "Outer wall",
        [("Render", 0.02, 0.87), ("Mineral wool", 0.16, 0.035), ("Brick", 0.205, 0.5), ("Plaster", 0.015, 0.51)],
    )
    sketch.layers("Bearing wall", [("Plaster", 0.0125, 0.51), ("Brick", 0.15, 0.5), ("Plaster", 0.0125, 0.51)])
    sketch.layers(
        "Partition", [("Plasterboard", 0.0125, None), ("Stud and wool", 0.09, None), ("Plasterboard", 0.0125, None)]
    )
    sketch.layers("Ground slab", [("Rigid foam", 0.10, 0.035), ("Concrete", 0.20, 2.3)])
    sketch.layers("Floor slab", [("Concrete", 0.20, 2.3)])
    sketch.layers("Flat roof", [("Concrete", 0.20, 2.3), ("Rigid foam", 0.18, 0.035), ("Roofing felt", 0.01, 0.23)])


def inner_walls(sketch: Sketch, floor: Floor, rows: list[tuple[XY, XY, float]], bottom: float, top: float) -> None:
    """Inner walls by axis and thickness; what stands first runs through."""
    for start, end, thickness in rows:
        inner_wall(
            sketch, floor, start, end, thickness, bottom, top, "Bearing wall" if thickness > 0.15 else "Partition"
        )


def bungalow() -> Sketch:
    """A bungalow with an L-shaped living room and a kitchen with an island (IFC4, mm)."""
    scene = Scene(
        name="bungalow", schema="IFC4", unit_m=0.001, prefix="MILLI", turn_deg=23.0, north_deg=-31.0,
        origin=(48.25, 112.6, 1.35), project="Sample bungalow", building="Bungalow",
    )  # fmt: skip
    sketch = Sketch(scene)
    constructions(sketch)
    floor = sketch.storey("Ground floor", 0.0, [(0.0, 0.0), (15.0, 0.0), (15.0, 9.2), (0.0, 9.2)])
    outer_walls(sketch, floor, 0.40, -0.15, 2.65, "Outer wall", 0.19)
    thick, thin = 0.175, 0.115
    walls = [
        ((3.4, 4.65), (3.4, 9.2), thick), ((3.4, 4.65), (15.0, 4.65), thick), ((3.4, 6.05), (15.0, 6.05), thin),
        ((6.0, 0.0), (6.0, 4.65), thick), ((8.6, 0.0), (8.6, 4.65), thin), ((11.8, 0.0), (11.8, 4.65), thin),
        ((7.6, 6.05), (7.6, 9.2), thin), ((9.6, 6.05), (9.6, 9.2), thin), ((11.1, 6.05), (11.1, 9.2), thin),
        ((13.3, 6.05), (13.3, 9.2), thin),
    ]  # fmt: skip
    inner_walls(sketch, floor, walls, -0.15, 2.65)
    _bungalow_openings(sketch, floor)
    found = rooms(sketch, floor, 2.5, [
        ("1", "Living and dining", (2.0, 2.0)), ("2", "Kitchen", (5.0, 8.0)), ("3", "Hall", (10.0, 5.4)),
        ("4", "Bathroom", (7.3, 2.0)), ("5", "Bedroom 1", (10.0, 2.0)), ("6", "Bedroom 2", (13.5, 2.0)),
        ("7", "Entrance", (8.6, 7.5)), ("8", "WC", (10.3, 7.5)), ("9", "Utility", (12.2, 7.5)), ("10", "Store", (14.2, 7.5)),
    ])  # fmt: skip
    terrace = Polygon([(0.6, -3.4), (5.6, -3.4), (5.6, -0.4), (0.6, -0.4)])
    space(sketch, floor, "11", "Terrace", terrace, 2.5, external=True)
    for number, celsius in (("4", 24.0), ("5", 18.0), ("6", 20.0)):
        sketch.describe(found[number], "Pset_SpaceThermalRequirements", SpaceTemperature=(TEMPERATURE, celsius))
    sketch.describe(found["1"], "Pset_ThermalLoadAggregate", TotalHeatingLoad=("IfcPowerMeasure", 1850.0))
    sketch.describe(found["2"], "Pset_ThermalLoadAggregate", TotalHeatingLoad=("IfcPowerMeasure", 330.0))
    sketch.describe(found["4"], "Pset_ThermalLoadAggregate", TotalHeatingLoad=("IfcPowerMeasure", 400.0))
    sketch.describe(sketch.building, "Pset_OutsideDesignCriteria", HeatingDryBulb=(TEMPERATURE, -11.0))
    _bungalow_things(sketch, floor)
    edge = mitred(floor.ring, 0.40)
    slab(sketch, floor, "Ground slab", edge, -0.15, 0.30, "BASESLAB", "Ground slab", 0.31)
    slab(sketch, floor, "Roof", edge, 3.04, 0.39, "ROOF", "Flat roof")
    return sketch


def _bungalow_openings(sketch: Sketch, floor: Floor) -> None:
    door(sketch, floor, (8.6, 9.4), 1.01, 2.1, 1.4)
    opening(sketch, floor, (8.6, 6.05), 1.2, 2.2)
    opening(sketch, floor, (3.4, 7.6), 1.6, 2.2)
    for at in ((4.7, 4.65), (7.3, 4.65), (9.4, 4.65), (12.6, 4.65), (5.6, 6.05), (12.2, 6.05), (13.3, 7.6)):
        door(sketch, floor, at)
    door(sketch, floor, (10.35, 6.05), 0.76)
    door(sketch, floor, (2.6, -0.2), 1.8, 2.2, 1.1)
    for at, width in (
        ((5.0, -0.2), 1.2),
        ((7.3, -0.2), 0.9),
        ((10.2, -0.2), 1.6),
        ((13.4, -0.2), 1.6),
        ((5.5, 9.4), 1.8),
    ):
        window(sketch, floor, at, width)
    for at, width, u_value in (
        ((1.7, 9.4), 1.6, 1.1),
        ((-0.2, 2.3), 2.0, None),
        ((10.35, 9.4), 0.6, None),
        ((12.2, 9.4), 0.9, None),
    ):
        window(sketch, floor, at, width, u_value=u_value)
    window(sketch, floor, (15.2, 5.35), 0.8, u_value=None)


def _bungalow_things(sketch: Sketch, floor: Floor) -> None:
    furniture(sketch, floor, "Kitchen units", box(3.5, 8.58, 4.02, 0.6), 0.9)
    furniture(sketch, floor, "Tall kitchen unit", box(6.92, 6.2, 0.6, 1.2), 2.1)
    furniture(sketch, floor, "Kitchen island", box(4.4, 7.0, 1.8, 0.75), 0.9)
    furniture(sketch, floor, "Dining table", box(1.0, 6.2, 1.0, 2.0), 0.75)
    furniture(sketch, floor, "Sofa", box(0.4, 0.5, 0.95, 2.4), 0.8)
    furniture(sketch, floor, "Bed", box(9.4, 0.1, 1.6, 2.05), 0.5)
    furniture(sketch, floor, "Wardrobe", box(14.35, 1.4, 0.6, 2.4), 2.2)
    sanitary(sketch, floor, "BATH", "Bath", box(6.1, 0.02, 1.75, 0.75), 0.56)
    sanitary(sketch, floor, "SHOWER", "Shower tray", box(6.1, 3.64, 0.9, 0.9), 0.06)
    sanitary(sketch, floor, "WASHHANDBASIN", "Basin", box(8.05, 2.2, 0.48, 0.9), 0.85)
    sanitary(sketch, floor, "TOILETPAN", "WC pan", box(8.0, 1.2, 0.53, 0.37), 0.4)
    sanitary(sketch, floor, "TOILETPAN", "WC pan", box(10.2, 8.64, 0.37, 0.53), 0.4)
    sanitary(sketch, floor, "WASHHANDBASIN", "Basin", box(9.68, 7.3, 0.36, 0.5), 0.85)
    furniture(sketch, floor, "Utility units", box(11.2, 8.58, 2.0, 0.6), 0.9)


def bay_house() -> Sketch:
    """A two-storey house with a stair and a bay at 45 degrees (IFC4X3, m)."""
    scene = Scene(
        name="bay-house", schema="IFC4X3", unit_m=1.0, prefix=None, turn_deg=-38.0, north_deg=14.0,
        origin=(1204.5, -388.75, 0.0), project="Sample house with a bay", building="House",
    )  # fmt: skip
    sketch = Sketch(scene)
    constructions(sketch)
    bay: list[XY] = [(0.0, 0.0), (1.2, 0.0), (2.2, -1.0), (3.9, -1.0), (4.9, 0.0), (9.0, 0.0), (9.0, 8.8), (0.0, 8.8)]
    _house_below(sketch, sketch.storey("Ground floor", 0.0, bay))
    _house_above(sketch, sketch.storey("First floor", 3.0, [(0.0, 0.0), (9.0, 0.0), (9.0, 8.8), (0.0, 8.8)]))
    return sketch


def _house_below(sketch: Sketch, floor: Floor) -> None:
    outer_walls(sketch, floor, 0.40, -0.15, 2.65, "Outer wall", 0.24)
    walls = [
        ((5.5, 0.0), (5.5, 8.8), 0.175), ((0.0, 4.7), (5.5, 4.7), 0.115), ((5.5, 3.0), (9.0, 3.0), 0.115),
        ((5.5, 7.1), (7.1, 7.1), 0.115), ((7.1, 7.1), (7.1, 8.8), 0.115),
    ]  # fmt: skip
    inner_walls(sketch, floor, walls, -0.15, 2.65)
    for at in ((5.5, 4.0), (5.5, 6.0), (6.6, 3.0), (2.0, 4.7)):
        door(sketch, floor, at)
    door(sketch, floor, (6.3, 7.1), 0.76)
    door(sketch, floor, (7.9, 9.0), 1.01, 2.1, 1.3)
    door(sketch, floor, (-0.2, 7.4), 0.95, 2.1, 1.3)
    for at, width in (
        ((1.56, -0.64), 0.9),
        ((3.05, -1.2), 1.4),
        ((4.54, -0.64), 0.9),
        ((7.4, -0.2), 1.4),
        ((2.4, 9.0), 1.8),
    ):
        window(sketch, floor, at, width, 1.4, 0.8, 0.95)
    window(sketch, floor, (6.3, 9.0), 0.5, u_value=None)
    found = rooms(sketch, floor, 2.5, [
        ("0.1", "Living room", (2.5, 2.0)), ("0.2", "Kitchen and dining", (2.5, 7.0)), ("0.3", "Study", (7.5, 1.5)),
        ("0.4", "Hall", (6.5, 5.0)), ("0.5", "WC", (6.2, 8.2)),
    ])  # fmt: skip
    sketch.describe(found["0.3"], "Pset_SpaceHVACDesign", TemperatureSetPoint=(TEMPERATURE, 21.0))
    furniture(sketch, floor, "Kitchen units", box(4.78, 6.7, 0.6, 2.08), 0.9)
    furniture(sketch, floor, "Kitchen units", box(2.9, 8.18, 1.86, 0.6), 0.9)
    furniture(sketch, floor, "Desk", box(5.65, 0.1, 1.6, 0.75), 0.74)
    sanitary(sketch, floor, "TOILETPAN", "WC pan", box(6.1, 8.25, 0.37, 0.53), 0.4)
    sanitary(sketch, floor, "WASHHANDBASIN", "Basin", box(5.6, 7.3, 0.36, 0.5), 0.85)
    straight_stair(sketch, floor, 8.02, 0.96, 7.0, 0.25, 0.1875, 15)
    edge = mitred(floor.ring, 0.40)
    slab(sketch, floor, "Ground slab", edge, -0.15, 0.30, "BASESLAB", "Ground slab")
    bay_roof = [edge[1], edge[2], edge[3], edge[4], (4.9, 0.0), (1.2, 0.0)]
    slab(sketch, floor, "Bay roof", bay_roof, 3.04, 0.39, "ROOF", "Flat roof", 0.21)


def _house_above(sketch: Sketch, floor: Floor) -> None:
    outer_walls(sketch, floor, 0.40, -0.15, 2.65, "Outer wall", None)
    walls = [
        ((5.5, 0.0), (5.5, 8.8), 0.175), ((0.0, 4.7), (5.5, 4.7), 0.115), ((5.5, 2.3), (9.0, 2.3), 0.115),
        ((5.5, 7.1), (9.0, 7.1), 0.115),
    ]  # fmt: skip
    inner_walls(sketch, floor, walls, -0.15, 2.65)
    for at in ((5.5, 4.0), (5.5, 6.0), (6.6, 2.3), (6.6, 7.1)):
        door(sketch, floor, at)
    for at, width in (
        ((1.5, -0.2), 1.4),
        ((4.0, -0.2), 1.4),
        ((7.4, -0.2), 1.2),
        ((2.6, 9.0), 1.8),
        ((9.2, 7.95), 0.8),
        ((9.2, 4.6), 1.0),
    ):
        window(sketch, floor, at, width, u_value=0.95)
    found = rooms(sketch, floor, 2.5, [
        ("1.1", "Bedroom 1", (2.5, 2.0)), ("1.2", "Bedroom 2", (2.5, 7.0)), ("1.3", "Bedroom 3", (7.5, 1.2)),
        ("1.4", "Landing", (6.5, 5.0)), ("1.5", "Bathroom", (7.0, 8.0)),
    ])  # fmt: skip
    sketch.describe(found["1.5"], "Pset_SpaceHVACDesign", TemperatureSetPoint=(TEMPERATURE, 24.0))
    furniture(sketch, floor, "Wardrobe", box(0.02, 2.0, 0.6, 2.0), 2.2)
    furniture(sketch, floor, "Bed", box(1.8, 0.1, 1.8, 2.05), 0.5)
    sanitary(sketch, floor, "BATH", "Bath", box(7.2, 8.03, 1.75, 0.75), 0.56)
    sanitary(sketch, floor, "SHOWER", "Shower tray", box(8.08, 7.17, 0.9, 0.85), 0.06)
    sanitary(sketch, floor, "WASHHANDBASIN", "Basin", box(5.6, 8.2, 0.48, 0.5), 0.85)
    sanitary(sketch, floor, "TOILETPAN", "WC pan", box(6.4, 8.25, 0.37, 0.53), 0.4)
    thing(sketch, floor, "IfcRailing", "Balustrade", box(7.94, 3.35, 0.05, 3.65), 0.9, PredefinedType="GUARDRAIL")
    edge = mitred(floor.ring, 0.40)
    stairwell = box(7.99, 3.25, 1.01, 3.75)
    slab(sketch, floor, "First floor slab", edge, -0.15, 0.20, "FLOOR", "Floor slab", hole=stairwell)
    slab(sketch, floor, "Roof", edge, 3.04, 0.39, "ROOF", "Flat roof", 0.18)


SOUTH = [0.0, 7.2, 10.4, 13.8, 17.2, 20.6, 25.0, 29.4, 31.7, 34.0]
NORTH = [3.2, 5.6, 9.2, 12.6, 16.0, 19.4, 22.2, 26.8, 29.0, 30.6]


def health_centre() -> Sketch:
    """A health centre of 25 rooms along a corridor 2 m wide (IFC2X3, feet)."""
    scene = Scene(
        name="health-centre", schema="IFC2X3", unit_m=FOOT, prefix=None, turn_deg=11.0, north_deg=62.0,
        origin=(-260.0, 75.5, 12.192), project="Sample health centre", building="Health centre",
    )  # fmt: skip
    sketch = Sketch(scene)
    constructions(sketch)
    floor = sketch.storey("Level 1", 0.0, [(0.0, 0.0), (34.0, 0.0), (34.0, 13.2), (0.0, 13.2)])
    outer_walls(sketch, floor, 0.40, -0.16, 3.0, "Outer wall", 0.21)
    walls = [((0.0, 5.7), (34.0, 5.7), 0.15), ((0.0, 7.85), (34.0, 7.85), 0.15)]
    walls += [((x, 0.0), (x, 5.7), 0.115) for x in SOUTH[1:-1]] + [((x, 7.85), (x, 13.2), 0.115) for x in NORTH]
    walls += [
        ((3.2, 10.6), (5.6, 10.6), 0.115),
        ((5.6, 10.6), (9.2, 10.6), 0.115),
        ((29.0, 10.6), (30.6, 10.6), 0.115),
        ((7.4, 7.85), (7.4, 10.6), 0.115),
    ]
    inner_walls(sketch, floor, walls, -0.16, 3.0)
    _centre_openings(sketch, floor)
    _centre_rooms(sketch, floor)
    _centre_things(sketch, floor)
    edge = mitred(floor.ring, 0.40)
    slab(sketch, floor, "Ground slab", edge, -0.16, 0.30, "BASESLAB", "Ground slab", 0.28)
    slab(sketch, floor, "Roof", edge, 3.39, 0.39, "ROOF", "Flat roof", 0.17)
    return sketch


def _centre_openings(sketch: Sketch, floor: Floor) -> None:
    opening(sketch, floor, (4.2, 5.7), 2.4, 2.4)
    opening(sketch, floor, (1.6, 7.85), 1.8, 2.4)
    door(sketch, floor, (1.6, 13.4), 1.6, 2.1, 1.6)
    door(sketch, floor, (34.2, 6.775), 1.01, 2.1, 1.6)
    door(sketch, floor, (32.3, 13.4), 1.01, 2.1)
    for x in (8.8, 12.1, 15.5, 18.9, 22.8, 27.2, 30.5, 32.8):
        door(sketch, floor, (x, 5.7), 1.01, 2.1)
    for x in (4.4, 10.9, 14.3, 17.7, 20.8, 24.5, 27.9, 32.3):
        door(sketch, floor, (x, 7.85), 1.01, 2.1)
    for x in (6.4, 8.3, 29.8):
        door(sketch, floor, (x, 7.85), 0.885, 2.1)
    for at in ((3.2, 11.8), (9.2, 11.8), (29.0, 11.8)):
        door(sketch, floor, at, 0.885, 2.1)
    for x in (2.2, 5.2, 8.8, 12.1, 15.5, 18.9, 22.8, 27.2, 30.5):
        window(sketch, floor, (x, -0.2), 1.5)
    for x in (10.9, 14.3, 17.7, 20.8, 24.5):
        window(sketch, floor, (x, 13.4), 1.5, u_value=None)


def _centre_rooms(sketch: Sketch, floor: Floor) -> None:
    names = ["Waiting room", "Reception", "Consulting 1", "Consulting 2", "Consulting 3", "Treatment 1", "Treatment 2"]
    names += ["Clean utility", "Dirty utility"]
    rows = [(f"1{k:02d}", name, (SOUTH[k] + 1.0, 3.0)) for k, name in enumerate(names)]
    rows += [
        ("120", "Corridor", (17.0, 6.8)),
        ("121", "Entrance lobby", (1.0, 9.0)),
        ("122", "Accessible WC", (4.4, 9.0)),
    ]
    rows += [("123", "Cleaner's store", (4.4, 12.0)), ("124", "WC 1", (6.4, 9.0)), ("125", "WC 2", (8.3, 9.0))]
    rows += [
        ("126", "Records store", (8.0, 12.0)),
        ("127", "Office", (11.0, 9.0)),
        ("128", "Consulting 4", (14.0, 9.0)),
    ]
    rows += [
        ("129", "Consulting 5", (17.0, 9.0)),
        ("130", "Blood tests", (21.0, 9.0)),
        ("131", "Staff room", (24.0, 9.0)),
    ]
    rows += [
        ("132", "Staff changing", (28.0, 9.0)),
        ("133", "Staff WC", (29.8, 9.0)),
        ("134", "Staff shower", (29.8, 12.0)),
    ]
    rows += [("135", "Plant room", (32.0, 9.0))]
    found = rooms(sketch, floor, 2.8, rows)
    for number in ("102", "103", "104", "128", "129"):
        sketch.describe(found[number], "Pset_SpaceThermalRequirements", SpaceTemperatureMin=(TEMPERATURE, 294.15))
    for number in ("105", "106"):
        sketch.describe(found[number], "Pset_SpaceThermalRequirements", SpaceTemperatureMin=(TEMPERATURE, 295.15))
    sketch.describe(found["127"], "Pset_ThermalLoadAggregate", TotalHeatingLoad=("IfcPowerMeasure", 640.0))


def _centre_things(sketch: Sketch, floor: Floor) -> None:
    thing(sketch, floor, "IfcColumn", "Column", box(3.45, 2.7, 0.3, 0.3), 3.0, -0.16)
    furniture(sketch, floor, "Reception counter", box(7.4, 3.4, 0.7, 2.0), 1.1)
    for x in SOUTH[2:5]:
        furniture(sketch, floor, "Desk", box(x + 0.2, 0.3, 0.8, 1.6), 0.74)
        sanitary(sketch, floor, "WASHHANDBASIN", "Basin", box(x + 2.75, 4.2, 0.55, 0.45), 0.85)
    for x in SOUTH[5:7]:
        furniture(sketch, floor, "Fitted cupboards", box(x + 0.1, 0.02, 4.1, 0.6), 0.9)
        furniture(sketch, floor, "Couch", box(x + 1.8, 2.2, 0.7, 1.9), 0.8)
    furniture(sketch, floor, "Fitted cupboards", box(22.3, 12.58, 4.4, 0.6), 0.9)
    for x, y in ((4.9, 9.9), (6.5, 9.95), (8.4, 9.95), (29.7, 9.95)):
        sanitary(sketch, floor, "TOILETPAN", "WC pan", box(x, y, 0.37, 0.53), 0.4)
    sanitary(sketch, floor, "SHOWER", "Shower tray", box(29.6, 12.2, 0.92, 0.98), 0.06)
    furniture(sketch, floor, "Lockers", box(27.0, 12.6, 1.9, 0.5), 1.8)


if __name__ == "__main__":
    for made in (bungalow(), bay_house(), health_centre()):
        made.write(Path(__file__).parent)
