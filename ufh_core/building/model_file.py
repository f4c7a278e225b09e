"""Opening the architect's file: plain or zipped, checked before and after the parser sees it."""

from __future__ import annotations

import hashlib
import re
import tempfile
import zipfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.util.placement as ifc_placement
import ifcopenshell.util.unit as ifc_unit
import numpy as np
from numpy.typing import NDArray

from ufh_core.basis.errors import ModelReadError
from ufh_core.building.earlier_additions import without_additions
from ufh_core.building.room_choices import NO_CHOICES, ModelChoices, read_choices
from ufh_core.settings.room_choices import PLACES_SET, ROOM_SET

SCHEMA = re.compile(rb"FILE_SCHEMA\s*\(\s*\(\s*'([^']*)'", re.IGNORECASE)
SUPPORTED = re.compile(r"IFC2X3(_\w+)?|IFC4(_\w+)?|IFC4X3(_\w+)?")
HEAD = b"ISO-10303-21;"
TAIL = b"END-ISO-10303-21;"
EXPORT_AGAIN = "export it again as IFC4 or IFC2X3 (.ifc)"
GREATEST_BYTES = 2_000_000_000  # unpacked; a zip that claims more is not a building model


@dataclass(frozen=True, slots=True)
class ModelFile:
    """The open model with what must be known of the file itself; `scale` is metres per length unit.

    `choices` are the answers that an earlier design left in it; `model` is without that design.
    """

    path: Path
    model: Any
    schema: str
    scale: float
    digest: str
    choices: ModelChoices = NO_CHOICES

    def world(self, element: Any) -> NDArray[np.float64] | None:
        """World placement (4, 4) of an element with its lengths in metres; None where it has none that is known."""
        if element.ObjectPlacement is None:
            return None
        try:
            matrix = np.array(ifc_placement.get_local_placement(element.ObjectPlacement), dtype=float)
        except Exception:  # placements along grids and alignments, and broken ones
            return None
        matrix[:3, 3] *= self.scale
        return matrix if np.isfinite(matrix).all() else None

    def of_class(self, *names: str) -> list[Any]:
        """Entities of the classes that this schema has, in file order, each once; rooted ones have a GlobalId."""
        found: dict[int, Any] = {}
        for name in names:
            try:
                found.update((e.id(), e) for e in self.model.by_type(name) if getattr(e, "GlobalId", "none needed"))
            except RuntimeError:  # the schema has no such class
                continue
        return [found[k] for k in sorted(found)]


def open_model(path: Path) -> ModelFile:
    """The model in `path` (.ifc or .ifczip); of a coordinated one, the architect's part and its digest.

    Raises `ModelReadError` with one line that names the file, the fault and the remedy.
    """
    data = _bytes_of(path)
    text = _unzipped(path, data) if data[:4] == b"PK\x03\x04" else data
    _check_text(path, text)
    whole = _parsed(path, text, zipped=text is not data)
    scale = _length_scale(path, whole)
    carries = any(name.encode() in text for name in (ROOM_SET, PLACES_SET))
    choices = read_choices(whole, scale) if carries else NO_CHOICES
    model, earlier = without_additions(whole)
    digest = earlier or hashlib.sha256(data).hexdigest()
    return ModelFile(path, model, str(model.schema), scale, digest, choices)


def _bytes_of(path: Path) -> bytes:
    """The file's bytes, or the reason in words."""
    if path.is_dir():
        raise ModelReadError(f"{path}: is a folder; name one .ifc or .ifczip file in it")
    if not path.exists():
        raise ModelReadError(f"{path}: there is no such file; check the name")
    try:
        data = path.read_bytes()
    except OSError as error:
        raise ModelReadError(f"{path}: cannot be read ({error.strerror}); check its permissions") from None
    if not data.strip():
        raise ModelReadError(f"{path}: is empty; {EXPORT_AGAIN}")
    return data


def _unzipped(path: Path, data: bytes) -> bytes:
    """The one model inside a zip."""
    try:
        with zipfile.ZipFile(path) as archive:
            inside = [i for i in archive.infolist() if i.filename.lower().endswith(".ifc")]
            if len(inside) != 1:
                raise ModelReadError(f"{path}: holds {len(inside)} .ifc files, not one; unpack it and name the model")
            if inside[0].file_size > GREATEST_BYTES:
                raise ModelReadError(f"{path}: its model unpacks to more than 2 GB; {EXPORT_AGAIN}")
            return archive.read(inside[0])
    except (zipfile.BadZipFile, RuntimeError, NotImplementedError, EOFError) as error:
        raise ModelReadError(f"{path}: the zip is damaged or locked ({error}); send it again") from None


def _check_text(path: Path, text: bytes) -> None:
    """That the bytes are a whole STEP file of a schema that is supported."""
    start = text[:4096].lstrip(b"\xef\xbb\xbf \t\r\n")
    if not start.startswith(HEAD[:-1]):
        kind = "an XML or web page" if start[:1] == b"<" else "not an IFC file"
        raise ModelReadError(f"{path}: is {kind} (it does not begin with ISO-10303-21); {EXPORT_AGAIN}")
    if TAIL[:-1] not in text[-4096:]:
        raise ModelReadError(f"{path}: is cut off (END-ISO-10303-21 is missing); copy or export it again")
    named = SCHEMA.search(text[:65536])
    schema = named.group(1).decode("ascii", "replace").upper() if named else "none named"
    if not SUPPORTED.fullmatch(schema):
        raise ModelReadError(f"{path}: its schema ({schema}) is not supported; {EXPORT_AGAIN}")
    if b"DATA;" not in text:
        raise ModelReadError(f"{path}: has no data section; {EXPORT_AGAIN}")


def _parsed(path: Path, text: bytes, *, zipped: bool) -> Any:
    """The parsed model; the parser's own complaint becomes one line."""
    try:
        if not zipped:
            return ifcopenshell.open(str(path))
        with tempfile.TemporaryDirectory() as folder:
            unpacked = Path(folder) / "model.ifc"
            unpacked.write_bytes(text)
            return ifcopenshell.open(str(unpacked))
    except Exception as error:  # the parser raises errors of many kinds
        why = " ".join(str(error).split())[:120] or type(error).__name__
        raise ModelReadError(f"{path}: cannot be parsed ({why}); {EXPORT_AGAIN}") from None


def _length_scale(path: Path, model: Any) -> float:
    """Metres per length unit; a file without units counts as metres (the measure's own default)."""
    if not model.by_type("IfcProject"):
        raise ModelReadError(f"{path}: holds no IfcProject, so it is no building model; {EXPORT_AGAIN}")
    try:
        scale = float(ifc_unit.calculate_unit_scale(model))
    except Exception:  # units may be broken in many ways
        scale = 1.0
    if not 1e-7 < scale < 1e5:
        raise ModelReadError(f"{path}: its length unit is {scale:g} m, which cannot be meant; {EXPORT_AGAIN}")
    return scale
