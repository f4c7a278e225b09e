"""The file's header, in the form that the public validation service accepts.

Source: buildingSMART, IFC header policy: originating system as company, application and version between
" - "; a registered view in the description; author and organisation not empty.
"""

from __future__ import annotations

import os
from datetime import UTC, datetime
from typing import Any

import ifcopenshell

VIEWS = {"IFC4": "ReferenceView_V1.2", "IFC4X3": "ReferenceView"}
NOT_STATED = "not stated"
MOST_DIGITS = 12  # of seconds that are still a date


def write_header(file: Any, source: Any, version: str) -> None:
    """Fill the header; the architect's author and organisation stay."""
    file.header.file_description.description = (f"ViewDefinition [{VIEWS[file.schema]}]",)
    name = file.header.file_name
    name.name = "heating.ifc"
    name.time_stamp = written_at().strftime("%Y-%m-%dT%H:%M:%S")
    name.author = stated(source.header.file_name.author)
    name.organization = stated(source.header.file_name.organization)
    name.preprocessor_version = f"IfcOpenShell {ifcopenshell.version}"
    name.originating_system = f"Warmloom - Warmloom - {version}"
    name.authorization = NOT_STATED


def written_at() -> datetime:
    """Now, or the time in SOURCE_DATE_EPOCH [s since 1970], with which a second run gives the same bytes.

    Source: Reproducible Builds project, specification of SOURCE_DATE_EPOCH.
    """
    stated = os.environ.get("SOURCE_DATE_EPOCH", "")
    usable = stated.isdecimal() and len(stated) < MOST_DIGITS
    return datetime.fromtimestamp(int(stated), UTC) if usable else datetime.now(UTC)


def stated(names: Any) -> tuple[str, ...]:
    """The names that say something."""
    try:
        said = tuple(str(n) for n in names or () if str(n).strip())
    except (TypeError, RuntimeError):  # a header written against its own form
        said = ()
    return said or (NOT_STATED,)
