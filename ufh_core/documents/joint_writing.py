"""What is written beside a joint plan: fields in the order of pouring, joints with their reasons, sleeves, rules."""

from __future__ import annotations

from collections import Counter

from ufh_core.documents.plan_materials import pour_block
from ufh_core.documents.storey_view import StoreyView
from ufh_core.documents.writing import Block, TableColumn, legend, paragraphs, table
from ufh_core.words import mark, number, said

SIGNS = (
    ("field", mark("field of screed, poured in one go; the hatching tells neighbours apart")),
    ("joint", mark("movement joint through all of the screed and the finish, with its number")),
    ("sleeve", mark("sleeve on a pipe that crosses a joint")),
    ("pipe", mark("pipe, for the place only: it is laid by the floor heating plan")),
)
RULES = (
    mark(
        "Edge strip round every wall, column and fixed unit, whole, from the base to over the finish; cut off only "
        "after the finish is laid."
    ),
    mark(
        "Joint profiles are set before pouring, plumb, down to the insulation; no pipe but those shown crosses one, "
        "each in its sleeve, which must not move while pouring."
    ),
    mark(
        "Pipes stay under pressure while the screed is laid. Fields are poured in the order of their numbers, so that "
        "nobody walks over fresh screed; keep off until it bears."
    ),
    mark("Joints go on through the finish at the same place. Who lays the finish gets this sheet."),
    mark(
        "Designed by calculation. A competent person checks it against local codes, the screed maker's instructions "
        "and the site before work starts."
    ),
)


def joint_blocks(view: StoreyView) -> tuple[Block, ...]:
    """All blocks above the title, in reading order."""
    return (pour_block(view), _joints(view), _sleeves(view), legend(SIGNS), paragraphs("Rules of the work", RULES))


def _joints(view: StoreyView) -> Block:
    """One row for each joint by its number on the plan."""
    columns = (TableColumn("joint", 12), TableColumn("m", 10, "right"), TableColumn("for", 30), TableColumn("in", 39))
    rows = [
        (
            f"J{k}",
            number(joint.line.length, 2),
            said(joint.reason.value),
            ", ".join(view.label_of(room) for room in joint.rooms),
        )
        for k, joint in enumerate(view.result.joints.joints, 1)
    ]
    return table("Movement joints", columns, rows)


def _sleeves(view: StoreyView) -> Block:
    """How many sleeves go on which circuit at which joint."""
    counts = Counter((crossing.joint, crossing.circuit) for crossing in view.result.joints.crossings)
    by_joint: dict[int, list[str]] = {}
    for (joint, circuit), count in sorted(counts.items()):
        by_joint.setdefault(joint, []).append(f"{circuit} {count}x")
    columns = (TableColumn("joint", 12), TableColumn("sleeves", 14, "right"), TableColumn("on circuits", 65))
    rows = [
        (f"J{joint + 1}", f"{sum(counts[at] for at in counts if at[0] == joint)}", ", ".join(named))
        for joint, named in by_joint.items()
    ]
    return table("Sleeves at joints", columns, rows)
