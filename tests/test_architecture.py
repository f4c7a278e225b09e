"""The rules of the house: who may import whom, how long a module may be, who may print."""

import ast
import subprocess
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
CORE = ROOT / "ufh_core"

# A room may import itself and what stands before it in this list.
ROOMS = [
    "basis",
    "words",
    "order_differences",
    "fields",
    "heating_water",
    "settings",
    "building",
    "heat_demand",
    "floor",
    "section",
    "thermal_output",
    "zones",
    "lanes",
    "circuits",
    "panels",
    "hydraulics",
    "network",
    "surface_field",
    "joints",
    "records",
    "revision",
    "design_result",
    "earlier_storeys",
    "coordination",
    "storeys",
    "design",
    "setting_out",
    "exchange",
    "returned",
    "clash_check",
    "documents",
    "output_folder",
    "site_pack",
    "design_files",
    "samples",
    "console",
    "console_options",
    "console_differences",
    "console_summary",
    "console_design",
    "console_compare",
    "console_resume",
    "console_check",
    "console_records",
    "console_site",
    "cli",
]
WITH_IFCOPENSHELL = {"building", "exchange"}
LONGEST_MODULE = 300
MODULES = sorted(CORE.rglob("*.py"))


def room_of(path: Path) -> str:
    """The room of a module: its folder in the core, or the module itself."""
    return path.relative_to(CORE).parts[0].removesuffix(".py")


def imported(tree: ast.AST) -> set[str]:
    """Full names of all modules that are imported, wherever in the file."""
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "write imports in full"
            names.add(node.module or "")
            if node.module == "ufh_core":
                names |= {f"ufh_core.{alias.name}" for alias in node.names}
    return names


def faults(room: str, source: str) -> list[str]:
    """What a module of `room` does that it may not."""
    tree = ast.parse(source)
    found = []
    allowed = set(ROOMS[: ROOMS.index(room) + 1]) | {"__version__"}
    for name in imported(tree):
        parts = name.split(".")
        if parts[0] == "ufh_core" and len(parts) > 1 and parts[1] not in allowed:
            found.append(f"imports {name}")
        if parts[0] == "ifcopenshell" and room not in WITH_IFCOPENSHELL:
            found.append("imports ifcopenshell")
        if parts[0] in {"bpy", "addon", "tests"}:
            found.append(f"imports {name}")
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "print":
            found.append(f"prints in line {node.lineno}")
    if len(source.splitlines()) > LONGEST_MODULE:
        found.append(f"has {len(source.splitlines())} lines")
    return found


@pytest.mark.parametrize("path", MODULES, ids=[str(p.relative_to(CORE)) for p in MODULES])
def test_module_keeps_the_rules(path: Path) -> None:
    if path == CORE / "__init__.py":
        return
    room = room_of(path)
    assert room in ROOMS, f"{room} has no place in the list of rooms"
    assert faults(room, path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("room", "source"),
    [
        ("zones", "from ufh_core.circuits.types import Port"),
        ("zones", "def f():\n    import ufh_core.exchange.header"),
        ("circuits", "from ufh_core import design"),
        ("circuits", "import ifcopenshell.geom"),
        ("building", "import bpy"),
        ("floor", "print(1)"),
        ("floor", "x = 1\n" * 301),
    ],
)
def test_rules_bite(room: str, source: str) -> None:
    assert len(faults(room, source)) == 1


def test_rules_let_through_what_is_right() -> None:
    assert faults("exchange", "import ifcopenshell\nfrom ufh_core.design_result import Design\n") == []


def test_every_package_is_installed() -> None:
    listed = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]["packages"]
    there = {".".join(p.parent.relative_to(ROOT).parts) for p in CORE.rglob("__init__.py")}
    assert set(listed) - {"ufh_core.sample_models"} == there


def test_top_level_is_as_agreed() -> None:
    agreed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE", "addon", "ufh_core", "tests", "sample_models"}
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode:
        pytest.skip("not a checkout of git: nobody knows which files belong to the project")
    tracked = {name.split("/")[0] for name in listed.stdout.splitlines()}
    assert {name for name in tracked if not name.startswith(".")} == agreed
