"""Pictures of the host's scene for tests: from above without perspective, by the host's own solid renderer."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

bpy = pytest.importorskip("bpy", reason="the host's module bpy is not installed")

HIGH_M = 50.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """Pixels (height, width, 3), 0 to 1 as on the screen, the first row at the top, and where they lie in plan."""

    pixels: NDArray[np.float64]
    west: float
    north: float
    metre_px: float

    def place(self, x: float, y: float) -> tuple[int, int]:
        """Row and column of a point of the plan."""
        return int((self.north - y) * self.metre_px), int((x - self.west) * self.metre_px)

    def at(self, x: float, y: float) -> NDArray[np.float64]:
        """The colour at a point of the plan."""
        return self.pixels[self.place(x, y)]


def picture_from_above(
    path: Path, box: tuple[float, float, float, float], metre_px: float, *, colours: str = "MATERIAL", flat: bool = True
) -> Picture:
    """Render the plan from west, south to east, north [m] to a PNG, and read it back."""
    west, south, east, north = box
    scene = bpy.context.scene
    width, height = round((east - west) * metre_px), round((north - south) * metre_px)
    camera = bpy.data.cameras.new("from above")
    camera.type, camera.clip_end = "ORTHO", 2 * HIGH_M
    camera.ortho_scale = max(width, height) / metre_px
    eye = bpy.data.objects.new("from above", camera)
    eye.location = ((west + east) / 2, (south + north) / 2, HIGH_M)
    scene.collection.objects.link(eye)
    scene.camera = eye
    _set_up(scene, width, height, path, colours, flat)
    bpy.ops.render.render(write_still=True)
    bpy.data.objects.remove(eye)
    bpy.data.cameras.remove(camera)
    return Picture(pixels=_read(path), west=west, north=north, metre_px=metre_px)


def _set_up(scene: bpy.types.Scene, width: int, height: int, path: Path, colours: str, flat: bool) -> None:
    """The solid renderer with the colours of the objects themselves."""
    scene.render.engine = "BLENDER_WORKBENCH"
    scene.render.resolution_x, scene.render.resolution_y, scene.render.resolution_percentage = width, height, 100
    scene.render.filepath, scene.render.image_settings.file_format = str(path), "PNG"
    scene.render.film_transparent, scene.render.dither_intensity = False, 0.0
    scene.view_settings.view_transform = "Standard"
    shading = scene.display.shading
    shading.light, shading.color_type = "FLAT" if flat else "STUDIO", colours
    shading.background_type = "VIEWPORT"
    shading.background_color = (1.0, 1.0, 1.0)
    shading.show_cavity = shading.show_object_outline = not flat
    scene.world = scene.world or bpy.data.worlds.new("paper")
    scene.world.color = (1.0, 1.0, 1.0)


def _read(path: Path) -> NDArray[np.float64]:
    """The pixels of a file."""
    image = bpy.data.images.load(str(path))
    width, height = image.size
    pixels = np.empty(width * height * 4, dtype=np.float32)
    image.pixels.foreach_get(pixels)
    bpy.data.images.remove(image)
    return pixels.reshape(height, width, 4)[::-1, :, :3].astype(float)
