"""The heating model as it is handed over: what was laid, set and proved, as property sets, and the documents to it.

heating.ifc stays as it is; the copy has the same GlobalIds, so that both can be held against each other.
Source: IFC4, IfcRelDefinesByProperties, IfcDocumentInformation, IfcDocumentReference, IfcRelAssociatesDocument.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ifcopenshell.util.unit import calculate_unit_scale

from ufh_core.basis.ifc_guid import deterministic_guid
from ufh_core.basis.whole_file import write_whole
from ufh_core.building.model_file import open_model

Fact = tuple[str, str, Any]
"""Name, IFC measure, value in SI."""
PROJECT_SET, CIRCUIT_SET, SPACE_SET = "UFH_Handover", "UFH_AsLaid", "UFH_Drilling"


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A document beside the model: its file, relative, and what it is."""

    file: str
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What is added: to the project, to circuits by number, to spaces by GlobalId; and documents."""

    project: Sequence[Fact]
    circuits: Mapping[str, Sequence[Fact]]
    spaces: Mapping[str, Sequence[Fact]]
    documents: Sequence[Document]


def write_handed_over(heating: Path, out: Path, facts: Facts) -> None:
    """Write the copy of the heating model with the facts.

    Raises: ModelReadError where the heating model cannot be read, OutputError where the copy cannot be written.
    """
    model = open_model(heating).model
    scale = calculate_unit_scale(model)
    (project,) = model.by_type("IfcProject")
    _add_set(model, project, PROJECT_SET, facts.project, scale)
    for circuit in model.by_type("IfcDistributionCircuit"):
        _add_set(model, circuit, CIRCUIT_SET, facts.circuits.get(circuit.Name or "", ()), scale)
    for space in model.by_type("IfcSpace"):
        _add_set(model, space, SPACE_SET, facts.spaces.get(space.GlobalId, ()), scale)
    for document in facts.documents:
        _add_document(model, project, document)
    write_whole(out, model.to_string())


def _add_set(model: Any, owner: Any, name: str, facts: Sequence[Fact], scale: float) -> None:
    rows = [_property(model, *fact, scale) for fact in facts if fact[2] is not None]
    if not rows:
        return
    guid = deterministic_guid(owner.GlobalId, name)
    made = model.create_entity("IfcPropertySet", GlobalId=guid, Name=name, HasProperties=rows)
    relation = deterministic_guid(owner.GlobalId, name, "relation")
    model.create_entity(
        "IfcRelDefinesByProperties", GlobalId=relation, RelatedObjects=[owner], RelatingPropertyDefinition=made
    )


def _property(model: Any, name: str, measure: str, value: Any, scale: float) -> Any:
    own = value / scale if "LengthMeasure" in measure else value
    own = float(f"{own:.9g}") if isinstance(own, float) else own
    return model.create_entity("IfcPropertySingleValue", Name=name, NominalValue=model.create_entity(measure, own))


def _add_document(model: Any, project: Any, document: Document) -> None:
    """A document's description, the reference to its file, and their relation to the project."""
    about = model.create_entity("IfcDocumentInformation", Identification=document.file, Name=document.title)
    made = model.create_entity(
        "IfcDocumentReference", Location=document.file, Identification=document.file, Name=document.title,
        ReferencedDocument=about,
    )  # fmt: skip
    guid = deterministic_guid(project.GlobalId, "document", document.file)
    model.create_entity("IfcRelAssociatesDocument", GlobalId=guid, RelatedObjects=[project], RelatingDocument=made)
