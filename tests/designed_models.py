"""Every model designed once for all tests: by the command, in a process of its own, with all that it can write.

The first test that asks for a model runs the command; workers beside it wait at a lock of the operating system and
get the same files. Nobody may change them: a test that wants to, copies the folder.
"""

from __future__ import annotations

import json
import os
import pickle
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import ifcopenshell
import pytest
from filelock import FileLock

from tests.cli.command_line import ROOT, warmloom
from ufh_core.design_result import Design

SAMPLES = sorted((ROOT / "sample_models").glob("*.ifc"))
SHARED = Path(os.environ.get("WARMLOOM_MODELS", ROOT.parent / "shared" / "models"))
SHARED_NAMES = (
    "house-ifc4-m", "duplex-ifc2x3-m", "split-level-ifc4-m", "rooms-ifc2x3-mm", "no-spaces-ifc2x3-mm",
    "georeferenced-ifc4x3-mm", "raised-floor-ifc4-m",
)  # fmt: skip
NAMES = (*(p.stem for p in SAMPLES), *SHARED_NAMES)
EVERYTHING = ("--merge", "--bcf", "3.0")
PATIENCE_S = 1800
KEPT = """
import pathlib, pickle
import ufh_core.design as room
designed = room.design_building
def kept(*arguments, **more):
    design = designed(*arguments, **more)
    pathlib.Path({path!r}).write_bytes(pickle.dumps(design))
    return design
room.design_building = kept
"""
"""What runs in the command's process before it: the design is kept beside the files, for tests that ask it."""
ANSWERED = """
import pathlib, pickle
import ufh_core.design as room
room.design_building = lambda *_, **__: pickle.loads(pathlib.Path({path!r}).read_bytes())
"""


@dataclass(frozen=True)
class Job:
    """One run of the command, and what it wrote."""

    model: Path
    out: Path
    status: int
    said: str
    results: dict[str, Any]

    def each(self, what: str) -> Iterator[dict[str, Any]]:
        """All rooms, circuits or manifolds of all storeys."""
        for storey in self.results["storeys"]:
            yield from storey[what]

    def read(self) -> Any:
        """The heating model as written."""
        return ifcopenshell.open(str(self.out / "heating.ifc"))

    def design(self) -> Design:
        """The design as it was in the command's process."""
        made = pickle.loads(self._pickle.read_bytes())
        assert isinstance(made, Design)
        return made

    def answers(self) -> str:
        """What to run before a command so that it takes this design instead of making one."""
        return ANSWERED.format(path=str(self._pickle))

    @property
    def _pickle(self) -> Path:
        return self.out.parent / "design.pickle"


def designed_job(name: str, tmp_path_factory: pytest.TempPathFactory) -> Job:
    """The model of a name designed, by this test or an earlier one; skipped where the model is not there."""
    model = (SHARED if name in SHARED_NAMES else ROOT / "sample_models") / f"{name}.ifc"
    if not model.is_file():
        pytest.skip(f"{model.name} is not in the folder of shared models (WARMLOOM_MODELS)")
    folder = of_all_workers(tmp_path_factory) / f"designed-{name}"
    with FileLock(f"{folder}.lock", timeout=PATIENCE_S):
        if not (folder / "ran.json").is_file():
            _run(model, folder)
    status, said, printed = json.loads((folder / "ran.json").read_text(encoding="utf-8"))
    assert status in (0, 1), said
    assert printed == ""
    text = (folder / "out" / "design.json").read_text(encoding="utf-8")
    results = json.loads(text, parse_constant=pytest.fail)
    return Job(model=model, out=folder / "out", status=status, said=said, results=results)


def _run(model: Path, folder: Path) -> None:
    """Run the command; what it said is written last."""
    folder.mkdir(exist_ok=True)
    keep = KEPT.format(path=str(folder / "design.pickle"))
    done = warmloom("design", model, "--out", folder / "out", *EVERYTHING, before=keep, timeout_s=PATIENCE_S)
    text = json.dumps([done.returncode, done.stderr, done.stdout])
    (folder / "ran.json").write_text(text, encoding="utf-8")


def of_all_workers(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The run's folder for temporary files that all workers of pytest-xdist share."""
    own = tmp_path_factory.getbasetemp()
    return own.parent if "PYTEST_XDIST_WORKER" in os.environ else own
