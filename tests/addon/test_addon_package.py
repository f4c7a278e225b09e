"""The extension as a user gets it: built, validated, installed into an empty profile, used, taken out again.

The profile's process sees the host and its numpy, and nothing else that is installed here. Needs the package registry.
"""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import tomllib
import zipfile
from pathlib import Path

import pytest

bpy = pytest.importorskip("bpy", reason="the host is not installed")

ROOT = Path(__file__).resolve().parents[2]
HOST_BRINGS = ("bpy", "numpy", "numpy.libs", "requests", "urllib3", "idna", "charset_normalizer", "certifi")

A_USERS_DAY = """
import importlib.util, json, os, sys
sys.path.append(sys.argv[1])
import bpy
bpy.ops.wm.read_factory_settings(use_empty=True)
before = [name for name in ("ufh_core", "ifcopenshell", "shapely", "scipy") if importlib.util.find_spec(name)]
repos = [repo.module for repo in bpy.context.preferences.extensions.repos]
bpy.ops.extensions.package_install_files(filepath=sys.argv[2], repo="user_default", enable_on_install=True)
import ufh_core

bpy.ops.warmloom.read_example()
bpy.ops.warmloom.design()
record = bpy.context.scene.warmloom
said = {"before": before, "core": ufh_core.__file__, "headline": record.headline, "circuits": len(record.circuits),
        "shown": len([each for each in bpy.data.objects if each.get("ufh_kind") == "pipe"])}
bpy.ops.extensions.package_uninstall(repo_index=repos.index("user_default"), pkg_id="warmloom")
said["left"] = [hasattr(bpy.types.Scene, "warmloom"), dir(bpy.ops.warmloom)]
print("SAID " + json.dumps(said), flush=True)
if bpy.app.version < (4, 3):
    os._exit(0)
"""
"""Ends at once in a host of 4.2: as a module of Python it crashes on its way out after any class of a panel was known,
also a bare one of three lines."""


@pytest.fixture(scope="module")
def extension(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The zip for this platform."""
    out = tmp_path_factory.mktemp("dist")
    subprocess.run([sys.executable, str(ROOT / "addon" / "build.py"), "--out", str(out)], check=True)
    (made,) = out.glob("*.zip")
    return made


def test_the_host_s_own_check_accepts_it(extension: Path) -> None:
    scripts = Path(bpy.utils.resource_path("LOCAL")) / "scripts"
    (check,) = scripts.glob("addons_core/bl_pkg/cli/blender_ext.py")
    done = subprocess.run(
        [sys.executable, str(check), "validate", str(extension)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_it_holds_what_its_page_says_and_no_second_numpy(extension: Path) -> None:
    with zipfile.ZipFile(extension) as archive:
        names = set(archive.namelist())
        page = tomllib.loads(archive.read("blender_manifest.toml").decode("utf-8"))
    assert {wheel.removeprefix("./") for wheel in page["wheels"]} == {n for n in names if n.endswith(".whl")}
    assert {"__init__.py", "LICENSE", "work/worker.py", "scene/design.py"} <= names
    assert not [n for n in names if "numpy" in n or n.endswith(".pyc") or n == "build.py"]
    assert len([n for n in names if n.startswith("wheels/warmloom-")]) == 1
    assert "permissions" in page and page["version"] in extension.name


def test_a_user_s_day_in_an_empty_profile(extension: Path, tmp_path: Path) -> None:
    import json

    bare, profile = tmp_path / "bare", tmp_path / "profile"
    bare.mkdir()
    profile.mkdir()
    installed = Path(sysconfig.get_paths()["platlib"])
    for name in HOST_BRINGS:
        if (installed / name).exists():
            (bare / name).symlink_to(installed / name)
    command = [sys.executable, "-S", "-s", "-c", A_USERS_DAY, str(bare), str(extension)]
    settings = {k: v for k, v in os.environ.items() if k != "PYTHONPATH"} | {"BLENDER_USER_RESOURCES": str(profile)}
    done = subprocess.run(command, capture_output=True, text=True, env=settings, cwd=tmp_path, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    (line,) = [line for line in done.stdout.splitlines() if line.startswith("SAID ")]
    said = json.loads(line.removeprefix("SAID "))
    assert said["before"] == []
    assert Path(said["core"]).is_relative_to(profile)
    assert said["circuits"] == said["shown"] / 2 > 10 and "9 heated" in said["headline"]
    assert said["left"] == [False, []]
    ours = {path for path in profile.rglob("*") if "ufh" in path.name or "warmloom" in path.name}
    assert ours == set()
