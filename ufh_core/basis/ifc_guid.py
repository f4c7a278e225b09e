"""GlobalIds that are the same on every run: a name-based UUID in IFC's 22-character writing.

Source: RFC 9562 (UUID version 5); ISO 16739, IfcGloballyUniqueId (base 64 with its own alphabet).
"""

from __future__ import annotations

import string
import uuid

_DIGITS = string.digits + string.ascii_uppercase + string.ascii_lowercase + "_$"
_NAMESPACE = uuid.uuid5(uuid.NAMESPACE_DNS, "warmloom.ifc-guid")


def deterministic_guid(*parts: str) -> str:
    """Make the GlobalId that belongs to `parts`, e.g. the architect's GlobalId and the role of the new element.

    The parts are told apart: ("a", "bc") and ("ab", "c") give different ids.

    >>> deterministic_guid("2XQ$n5SLP5MBLyL442paFx", "room") == deterministic_guid("2XQ$n5SLP5MBLyL442paFx", "room")
    True
    """
    written = "".join(f"{len(part)}:{part}" for part in parts)
    return ifc_base64(uuid.uuid5(_NAMESPACE, written))


def ifc_base64(value: uuid.UUID) -> str:
    """Write a UUID as 22 characters: the number's base-64 digits, so the first is one of 0 to 3.

    >>> ifc_base64(uuid.UUID(int=0))
    '0000000000000000000000'
    """
    number = value.int
    characters = []
    for _ in range(22):
        number, digit = divmod(number, 64)
        characters.append(_DIGITS[digit])
    return "".join(reversed(characters))
