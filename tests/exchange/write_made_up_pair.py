"""Write the made-up pair of a place into a folder: `python write_made_up_pair.py PLACE FOLDER [door...]`."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).resolve().parents[2])]

import made_up_house as house  # noqa: E402
import made_up_pair as pair  # noqa: E402

from ufh_core.exchange.heating_model import write_heating_model  # noqa: E402


def main(name: str, folder: Path, doors: tuple[str, ...]) -> None:
    place = replace(house.PLACES[name], doors=doors or ("A", "B"))
    architect, design = pair.make_pair(place, folder)
    write_heating_model(design, architect, folder / "heating.ifc")


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]), tuple(sys.argv[3:]))
