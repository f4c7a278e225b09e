"""The designer's settings: defaults with their sources, checked on reading."""

from ufh_core.settings.types import Settings

__all__ = ["Settings"]
