"""`inspect --ids` as a person and a program read it."""

import json

from command_line import SAMPLES, warmloom


def test_ids_report_names_element_and_remedy() -> None:
    run = warmloom("inspect", SAMPLES / "bungalow.ifc", "--ids")
    assert (run.returncode, run.stderr) == (0, "")
    assert "Outer windows: Give the U-value" in run.stdout
    told = json.loads(warmloom("inspect", SAMPLES / "bungalow.ifc", "--ids", "--json").stdout)
    assert {"specification", "remedy", "elements"} == set(told[0])
