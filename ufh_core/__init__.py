"""Warm-water floor heating in screed, designed from an architect's IFC model.

The rooms of this package lie along the data's way: building, heat demand, floor, thermal
output, zones, circuits, hydraulics, and then the doors out: exchange and documents.
`ufh_core.design.design_building` is the only place that calls them in turn.
"""

__version__ = "0.1.0"
