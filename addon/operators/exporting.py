"""The files: models, results, plans and lists into a folder."""

from pathlib import Path
from typing import Any

import bpy

from ufh_core.basis.errors import UfhError
from ufh_core.design_files import Extras

from ..work import desk
from .common import BACKGROUND, Working, designed_of, taker


class WARMLOOM_OT_write_files(Working, bpy.types.Operator):
    """Write the design into a folder, all of it or nothing: heating.ifc for the other trades, design.json, plans of
    pipes and panels for the fitter, floors, surface temperatures, pump and heat demand, the pages for the site
    """

    bl_idname = "warmloom.write_files"
    bl_label = "Write files"
    bl_options = {"REGISTER"}

    directory: bpy.props.StringProperty(
        name="Folder", description="Folder for the files; empty for the one in the panel", subtype="DIR_PATH"
    )
    written = ""
    background: bpy.props.BoolProperty(name="In the background", description=BACKGROUND, default=True)

    def order(self, context: bpy.types.Context) -> desk.Order:
        """The files of the design that the scene shows."""
        record = context.scene.warmloom
        designed, folder = designed_of(record), self._folder(record)
        extras = Extras(
            panel_parts=record.panel_parts,
            merge=record.merge,
            bcf_version="" if record.issues == "none" else record.issues,
            earlier_bcf=folder / "coordination.bcf",
            records_in=folder,
        )
        arguments = {"design": designed.design, "model": designed.reading.path, "folder": folder, "extras": extras}

        def take(found: bpy.types.Scene, names: Any) -> None:
            found.warmloom.folder = str(folder)
            self.written = f"{len(names)} files written to {folder}"

        return desk.Order(title="writing the files", task="write", arguments=arguments, take=taker(context.scene, take))

    def done(self, _context: bpy.types.Context) -> str:
        """Where they are."""
        return self.written

    def _folder(self, record: Any) -> Path:
        named = self.directory or record.folder
        if not named:
            raise UfhError("no folder was named; choose one under Export")
        if named.startswith("//") and not bpy.data.filepath:
            raise UfhError(f"{named}: is beside a .blend that was never saved; save it first, or name a whole path")
        return Path(bpy.path.abspath(named))


CLASSES = (WARMLOOM_OT_write_files,)
