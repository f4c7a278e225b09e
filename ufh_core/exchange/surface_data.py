"""The surface field of a storey as arrays, for a modelling host or a script: one compressed NumPy archive.

Names in it: `surface_c` and `limit_c` [°C] by row (from the lowest y) and column (from the lowest x), NaN where
there is no heated floor; `room_index` of the same shape, the place in `rooms` (GlobalIds) or -1; `cell_m`;
`corner_m`, the outer corner of the first cell in the plan frame; `plan_to_storey`, the 3 x 3 matrix from
there to the storey's own placement; `storey`, its GlobalId. The middle of a cell in the storey's placement is
`plan_to_storey @ (corner_m[0] + (column + 0.5) cell_m, corner_m[1] + (row + 0.5) cell_m, 1)`.
"""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import numpy as np

from ufh_core.basis.errors import OutputError
from ufh_core.building.storey_frame import plan_to_storey
from ufh_core.design_result import Design, StoreyDesign


def write_surface_data(design: Design, storey: StoreyDesign, out: Path) -> None:
    """Write the field of `storey`. Raises: OutputError where it has none or the file cannot be written."""
    field = storey.surface
    if field is None:
        raise OutputError("nothing is laid on the storey: there are no surface temperatures to write")
    own = next(s for s in design.building.storeys if s.ifc_guid == storey.storey)
    whole = BytesIO()
    np.savez_compressed(
        whole,
        surface_c=field.surface_c,
        limit_c=field.limit_c,
        room_index=field.room_index,
        rooms=np.array(field.floors),
        cell_m=np.array(field.cell_m),
        corner_m=np.array(field.corner),
        plan_to_storey=plan_to_storey(design.building, own),
        storey=np.array(storey.storey),
    )
    try:
        out.write_bytes(whole.getvalue())
    except OSError as error:
        why = error.strerror or type(error).__name__
        raise OutputError(f"{out}: cannot be written ({why}); check the folder and free space") from None
