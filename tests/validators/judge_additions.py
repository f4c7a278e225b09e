"""The judge on a coordinated model: `python judge_additions.py JUDGE.py ARCHITECT.ifc COORDINATED.ifc [CHECK...]`.

Imports nothing of the project. The judge takes every thermal zone of a file for a heated field, and in IFC2X3, which
has no zones, whole rooms. In a coordinated model both miss: the architect may have zones of his own (a gross volume),
and our fields stand in IFC2X3 as annotations. So the judge's one reading of zones is given exactly the fields that were
added: elements whose GlobalId the architect's file does not have. All checks are the judge's own: all hard ones, or
those named (`H9`). Its metrics, which decide nothing, are left to its run on heating.ifc.
"""

from __future__ import annotations

import importlib.util
import sys
from typing import Any

HEATED_FIELD = "HEATED FIELD"


def load_judge(path: str) -> Any:
    """The judge as a module."""
    spec = importlib.util.spec_from_file_location("judge", path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["judge"] = module  # its dataclasses look themselves up
    spec.loader.exec_module(module)
    return module


def added_fields(model: Any, architect: Any) -> list[Any]:
    """Heated fields of a file that its architect's does not hold."""
    if model.schema == "IFC2X3":
        fields = [a for a in model.by_type("IfcAnnotation") if a.ObjectType == HEATED_FIELD]
    else:
        fields = [z for z in model.by_type("IfcSpatialZone") if z.PredefinedType == "THERMAL"]
    own = {e.GlobalId for e in architect.by_type("IfcProduct")}
    return [f for f in fields if f.GlobalId not in own]


def main(judge_path: str, architect_path: str, coordinated_path: str, *checks: str) -> int:
    """The judge's exit status on what was added."""
    judge = load_judge(judge_path)
    architect = judge.open_model(architect_path)

    def read_zones(model: Any, origin: Any) -> list[Any]:
        return [judge.Zone(judge.label(f), *judge.footprint(f, model, origin)) for f in added_fields(model, architect)]

    judge.read_zones = read_zones
    judge.soft_metrics = lambda *_: []
    judge.HARD_CHECKS = [c for c in judge.HARD_CHECKS if not checks or c[0] in checks]
    return int(judge.main([architect_path, coordinated_path]))


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
