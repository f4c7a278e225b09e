"""The designer's settings: defaults with their sources, checked on reading."""

from ufh_core.settings.changed import changed_settings
from ufh_core.settings.reading import read_settings
from ufh_core.settings.steering import RoomOverride
from ufh_core.settings.types import Settings
from ufh_core.settings.writing import settings_digest, settings_template

__all__ = ["RoomOverride", "Settings", "changed_settings", "read_settings", "settings_digest", "settings_template"]
