"""A drawn sheet as files: SVG, PDF to scale and DXF, all from the one drawing."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from ufh_core.basis.errors import OutputError
from ufh_core.documents.dxf_drawing import without_clock
from ufh_core.documents.framed_page import Plan
from ufh_core.documents.plan_pdf import write_plan_pdf
from ufh_core.documents.plan_svg import plan_elements, write_text

ALL_KINDS = (".svg", ".pdf", ".dxf")


def write_sheet(plan: Plan, stem: Path, kinds: Iterable[str] = ALL_KINDS) -> None:
    """Write a sheet as `stem` with each ending of `kinds`; the same sheet gives the same bytes.

    The DXF is the neutral drawing itself, sheet and all: mm of the building, or of the paper where it has no scale.
    Raises: OutputError where a file cannot be written.
    """
    drawing = plan_elements(plan)
    for kind in kinds:
        path = Path(f"{stem}{kind}")
        if kind == ".svg":
            write_text(drawing, path)
        elif kind == ".pdf":
            write_plan_pdf(plan, drawing, path)
        else:
            _write_dxf(plan, path)


def _write_dxf(plan: Plan, path: Path) -> None:
    drawing = plan.document
    drawing.classes.add_required_classes(drawing.dxfversion)  # ezdxf adds them from a set, in any order
    drawing.classes.classes = dict(sorted(drawing.classes.classes.items()))
    try:
        with without_clock():
            drawing.saveas(path)
    except OSError as error:
        raise OutputError(f"{path}: the drawing cannot be written ({error.strerror}); choose another folder") from error
