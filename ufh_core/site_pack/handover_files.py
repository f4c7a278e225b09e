"""handover.pdf and handover.ifc beside the design, both or none."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from ufh_core.basis.errors import OutputError
from ufh_core.basis.progress import Progress, silent
from ufh_core.exchange.handed_over import Document, Fact, Facts, write_handed_over
from ufh_core.output_folder import whole_folder
from ufh_core.records.kinds import AsLaid, FlowReading, Photograph
from ufh_core.records.ledger import FILE as LEDGER
from ufh_core.site_pack.handover import Handover, handover_of
from ufh_core.site_pack.pack_pdf import FILE as PACK
from ufh_core.site_pack.pack_pdf import write_pack_pdf

PDF, IFC, HEATING = "handover.pdf", "handover.ifc", "heating.ifc"


def write_handover(folder: Path, progress: Progress = silent) -> Handover:
    """Write both files into the folder of a design.

    Raises: RecordError, OutputError or ModelReadError, one line; the folder is then as it was.
    """
    progress("reading the records", 0.0)
    found = handover_of(folder)
    if not (folder / HEATING).is_file():
        raise OutputError(f"{folder / HEATING}: not there; run `warmloom design` again")
    with whole_folder(folder) as workshop:
        progress("typesetting the handover file", 0.2)
        write_pack_pdf(found.pack, folder, workshop / PDF, found.drawn)
        progress("writing the model as handed over", 0.7)
        write_handed_over(folder / HEATING, workshop / IFC, facts_of(found, folder))
    return found


def facts_of(found: Handover, folder: Path) -> Facts:
    """What the model is told."""
    spaces: dict[str, list[Fact]] = {
        d.guid: [
            ("DrillingDepthProved", "IfcBoolean", d.most_mm is not None),
            ("GreatestDrillingDepth", "IfcLengthMeasure", None if d.most_mm is None else d.most_mm / 1000),
        ]
        for d in found.depths
    }
    circuits = {c.number: list(_circuit(found, c.number)) for c in found.source.site.circuits}
    documents = tuple(_documents(found, folder))
    return Facts(project=list(_project(found)), circuits=circuits, spaces=spaces, documents=documents)


def _project(found: Handover) -> Iterator[Fact]:
    state = found.source.state
    yield "Complete", "IfcBoolean", not found.lacking
    yield "DesignFingerprint", "IfcIdentifier", found.source.site.fingerprint
    yield "RecordCount", "IfcInteger", len(state.filed)
    yield "LastRecordSHA256", "IfcText", state.chain.last_digest if state.filed else None
    for point in state.points:
        name = "HoldPoint" + "".join(word.capitalize() for word in point.name.split())
        signed = ", ".join(f"{s.role}: {s.filed.line.person}" for s in point.signed if s.filed is not None)
        yield name, "IfcLabel", point.outcome.value if point.asked_for else "not asked for"
        yield f"{name}SignedBy", "IfcText", signed or None


def _circuit(found: Handover, number: str) -> Iterator[Fact]:
    site, state = found.source.site, found.source.state
    yield "DesignedLength", "IfcPositiveLengthMeasure", site.circuit(number).length_m
    laid = [f.record for f in state.filed if isinstance(f.record, AsLaid) and f.record.circuit == number]
    if laid:
        yield "LaidLength", "IfcLengthMeasure", laid[-1].length_m
        yield "ChangeFromDrawing", "IfcText", laid[-1].change
    flows = [f.record for f in state.filed if isinstance(f.record, FlowReading) and f.record.circuit == number]
    if flows:
        yield "MeasuredFlowLitresPerMinute", "IfcReal", flows[-1].measured_l_min
        yield "ValveTurns", "IfcReal", flows[-1].turns
    for point in state.points:
        own = [row for row in point.rows if row.subject == number]
        if own:
            name = "Verdict" + "".join(word.capitalize() for word in point.name.split())
            yield name, "IfcLabel", own[0].outcome.value


def _documents(found: Handover, folder: Path) -> Iterator[Document]:
    yield Document(file=PDF, title=found.pack.title)
    for name, title in ((LEDGER, "Records from site, one line each"), (PACK, "Site pack")):
        if (folder / name).is_file():
            yield Document(file=name, title=title)
    for filed in found.source.state.photographs:
        if isinstance(filed.record, Photograph):
            yield Document(file=filed.record.file, title=filed.record.shows)
