"""The settings file: read into the scene, written from it."""

from pathlib import Path

import bpy
from bpy_extras.io_utils import ExportHelper, ImportHelper

from ufh_core.basis.errors import OutputError, UfhError
from ufh_core.settings import Settings, changed_settings, read_settings

from ..kept.choices import settings_of, show_settings
from ..kept.staying import with_staying
from .common import Told

SUFFIX = ".toml"


class WARMLOOM_OT_read_settings(Told, bpy.types.Operator, ImportHelper):
    """Read a settings file (TOML). It holds every setting that this panel has no room for; the panel then shows
    the file's figures, and what you change in the panel goes before the file
    """

    bl_idname = "warmloom.read_settings"
    bl_label = "Read settings file"
    bl_options = {"REGISTER", "UNDO"}

    filename_ext = SUFFIX
    filter_glob: bpy.props.StringProperty(default="*.toml", options={"HIDDEN"})
    filepath: bpy.props.StringProperty(name="Settings file", subtype="FILE_PATH")

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Read the file whole or change nothing."""
        record, path = context.scene.warmloom, Path(bpy.path.abspath(self.filepath))
        try:
            settings = read_settings(path)
            text = path.read_text(encoding="utf-8-sig")
        except (UfhError, OSError) as error:
            return self.told(UfhError(str(error)))
        record.settings_path, record.settings_text = str(path), text
        show_settings(record, settings)
        self.report({"INFO"}, f"{path.name}: read; design again to see what it changes")
        return {"FINISHED"}


class WARMLOOM_OT_forget_settings(bpy.types.Operator):
    """Put the basis of design back to its defaults and forget the settings file; rooms' own answers stay"""

    bl_idname = "warmloom.forget_settings"
    bl_label = "Back to the defaults"
    bl_options = {"REGISTER", "UNDO"}

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Show the defaults."""
        record = context.scene.warmloom
        record.settings_path = record.settings_text = ""
        show_settings(record, Settings())
        return {"FINISHED"}


class WARMLOOM_OT_write_settings(Told, bpy.types.Operator, ExportHelper):
    """Write all that was decided here, with rooms' own answers, places of manifolds and circuits that stay, into a
    settings file (TOML) that the command line reads too
    """

    bl_idname = "warmloom.write_settings"
    bl_label = "Write settings file"
    bl_options = {"REGISTER"}

    filename_ext = SUFFIX
    filter_glob: bpy.props.StringProperty(default="*.toml", options={"HIDDEN"})
    filepath: bpy.props.StringProperty(name="Settings file", subtype="FILE_PATH")

    def execute(self, context: bpy.types.Context) -> set[str]:
        """Write the file."""
        path = Path(bpy.path.abspath(self.filepath))
        try:
            record = context.scene.warmloom
            text = changed_settings(with_staying(record, settings_of(record), path))
            path.write_text(text, encoding="utf-8")
        except OSError as error:
            return self.told(OutputError(f"{path}: cannot be written: {error.strerror or error}"))
        except UfhError as error:
            return self.told(error)
        self.report({"INFO"}, f"written to {path}")
        return {"FINISHED"}


CLASSES = (WARMLOOM_OT_read_settings, WARMLOOM_OT_forget_settings, WARMLOOM_OT_write_settings)
