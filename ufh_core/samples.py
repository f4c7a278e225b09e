"""Where the bundled sample models are, installed or in the source tree."""

from __future__ import annotations

from pathlib import Path

from ufh_core.basis.errors import ModelReadError


def sample_model(name: str) -> Path:
    """Return the path of a sample model such as `bungalow`.

    Raises: ModelReadError where it is not there.
    """
    here = Path(__file__).resolve().parent
    for folder in (here / "sample_models", here.parent / "sample_models"):
        if (path := folder / f"{name}.ifc").is_file():
            return path
    raise ModelReadError(f"sample model {name}.ifc is not beside the program; install it again")
