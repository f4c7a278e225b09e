"""Make the installable zip of the extension: `python addon/build.py --out dist`, from a checkout, by plain Python.

Each zip is for one platform and holds wheels of all that the core needs from the package registry; numpy is the
host's own. The core goes in as a wheel too: compiled where the zip is for the platform that builds it, else with
the twins in Python, which give the same results at about a third of the speed.
`--without-ifcopenshell` leaves that library out, for hosts with the open BIM layer, which brings its own: two copies
in one process must not meet.
"""

from __future__ import annotations

import argparse
import platform
import re
import shutil
import subprocess
import sys
import tempfile
import tomllib
import zipfile
from collections.abc import Iterable, Sequence
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent
PYTHON = "3.11"
"""The Python of hosts from 4.2 to 5.0."""

PLATFORMS = {
    "linux-x64": (*(f"manylinux_2_{minor}_x86_64" for minor in range(31, 4, -1)), "manylinux2014_x86_64"),
    "windows-x64": ("win_amd64",),
    "macos-arm64": ("macosx_12_0_arm64", "macosx_11_0_arm64", "macosx_11_0_universal2", "macosx_10_9_universal2"),
}
"""Platforms of the extension, and the tags of wheels that run there."""

HOST_HAS = ("numpy",)
LAYER_HAS = ("ifcopenshell",)
TIGHTER = ("scipy<1.16",)
"""Newer ones want a numpy that the oldest host does not have (1.24, from memory); a design was tried with that."""

NOT_SHIPPED = re.compile(r"(^|/)(__pycache__|build\.py)(/|$)|\.pyc$")
LONG_AGO = (1980, 1, 1, 0, 0, 0)
MACHINES = {("Linux", "x86_64"): "linux-x64", ("Windows", "AMD64"): "windows-x64", ("Darwin", "arm64"): "macos-arm64"}


def main(arguments: Sequence[str] | None = None) -> list[Path]:
    """Build what the command line asks for; the zips."""
    asked = _parser().parse_args(arguments)
    asked.out.mkdir(parents=True, exist_ok=True)
    made = [build(name, asked.out, layer=asked.without_ifcopenshell) for name in asked.platform or [here()]]
    for path in made:
        sys.stdout.write(f"{path} ({path.stat().st_size / 1e6:.0f} MB)\n")
    return made


def build(name: str, out: Path, *, layer: bool = False) -> Path:
    """Build the zip of one platform into `out`; with `layer` the one for hosts with the open BIM layer."""
    with tempfile.TemporaryDirectory() as folder:
        stage = Path(folder) / "extension"
        shutil.copytree(HERE, stage, ignore=lambda at, names: [n for n in names if NOT_SHIPPED.search(n)])
        shutil.copy(ROOT / "LICENSE", stage)
        wheels = stage / "wheels"
        wheels.mkdir()
        _fetch(name, wheels, Path(folder))
        _core(name, wheels, Path(folder))
        _drop(wheels, HOST_HAS + (LAYER_HAS if layer else ()))
        _write_manifest(stage, name, [path.name for path in wheels.iterdir()])
        ending = "-for-bim-layer" if layer else ""
        return _zip(stage, out / f"warmloom-{version()}-{name.replace('-', '_')}{ending}.zip")


def version() -> str:
    """The version of the core, which is the extension's."""
    text = (ROOT / "ufh_core" / "__init__.py").read_text(encoding="utf-8")
    found = re.search(r'^__version__ = "([^"]+)"', text, re.MULTILINE)
    assert found is not None
    return found.group(1)


def here() -> str:
    """The platform that this runs on."""
    known = MACHINES.get((platform.system(), platform.machine()))
    if known is None:
        raise SystemExit(f"no wheels are known for {platform.system()} {platform.machine()}; name one by --platform")
    return known


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n\n", maxsplit=1)[0])
    parser.add_argument("--out", type=Path, default=Path("dist"), metavar="DIR", help="folder for the zips")
    parser.add_argument("--platform", action="append", choices=tuple(PLATFORMS), help="default: this machine's")
    parser.add_argument("--without-ifcopenshell", action="store_true", help="for hosts with the open BIM layer")
    return parser


def _fetch(name: str, wheels: Path, folder: Path) -> None:
    """Fetch the wheels of everything that the core needs."""
    needs = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    listed = folder / "needs.txt"
    listed.write_text("\n".join((*needs, *TIGHTER)), encoding="utf-8")
    tags = [part for tag in PLATFORMS[name] for part in ("--platform", tag)]
    abis = [part for abi in (f"cp{PYTHON.replace('.', '')}", "abi3", "none") for part in ("--abi", abi)]
    kind = ["--only-binary=:all:", "--implementation", "cp", "--python-version", PYTHON]
    _pip("download", "--dest", str(wheels), *kind, *tags, *abis, "-r", str(listed))


def _core(name: str, wheels: Path, folder: Path) -> None:
    """Build the core's wheel, without its compiled parts where it is for another platform or Python."""
    source = folder / "core"
    source.mkdir()
    for part in ("ufh_core", "sample_models"):
        shutil.copytree(ROOT / part, source / part, ignore=shutil.ignore_patterns("__pycache__", "*.so", "*.pyd"))
    for part in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / part, source)
    if name != MACHINES.get((platform.system(), platform.machine())):
        _without_compiled(source / "pyproject.toml")
    _pip("wheel", "--no-deps", "--wheel-dir", str(wheels), str(source))


def _without_compiled(project: Path) -> None:
    """Take the compiled parts out of a copy of the project, so that its wheel runs anywhere."""
    text = project.read_text(encoding="utf-8")
    tables = r"^\[\[tool\.setuptools\.ext-modules\]\]$.*?(?=^\[)"
    text = re.sub(tables, "", text, flags=re.MULTILINE | re.DOTALL)
    project.write_text(text.replace('py-limited-api = "cp311"', ""), encoding="utf-8")


def _pip(*arguments: str) -> None:
    """Run pip. Ends the build, with pip's own words above, where it cannot do it."""
    command = [sys.executable, "-m", "pip", "--disable-pip-version-check", "--quiet", *arguments]
    if subprocess.run(command, check=False).returncode:
        raise SystemExit(f"pip {arguments[0]} failed; the line above says why")


def _drop(wheels: Path, names: Iterable[str]) -> None:
    """Take out wheels of what is there already."""
    for name in names:
        for path in wheels.glob(f"{name}-*.whl"):
            path.unlink()


def _write_manifest(stage: Path, name: str, wheels: Iterable[str]) -> None:
    """Add version, platform and wheels to the manifest."""
    page = stage / "blender_manifest.toml"
    listed = "".join(f'  "./wheels/{wheel}",\n' for wheel in sorted(wheels))
    own = f'version = "{version()}"\nplatforms = ["{name}"]\nwheels = [\n{listed}]\n'
    head, table, rest = page.read_text(encoding="utf-8").partition("\n[permissions]")
    page.write_text(f"{head}{own}{table}{rest}", encoding="utf-8")


def _zip(stage: Path, path: Path) -> Path:
    """Zip a folder: the same content gives the same bytes."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for file in sorted(stage.rglob("*")):
            if file.is_file():
                entry = zipfile.ZipInfo(file.relative_to(stage).as_posix(), LONG_AGO)
                packed = file.suffix == ".whl"
                entry.compress_type = zipfile.ZIP_STORED if packed else zipfile.ZIP_DEFLATED
                entry.external_attr = 0o644 << 16
                archive.writestr(entry, file.read_bytes())
    return path


if __name__ == "__main__":
    main()
