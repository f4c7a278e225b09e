"""The cautions that everything for the site carries."""

from __future__ import annotations

from ufh_core.basis.message import note

CAUTIONS = (
    note(
        "Designed by calculation. A competent person checks it against local codes, the makers' instructions and the "
        "site."
    ),
    note(
        "Pressure tests store energy, with air much more than with water: nobody near who need not be, shut off what "
        "does not stand the pressure, let it off slowly."
    ),
    note("Hot water scalds. The safety limit stat is fitted and tried before the first heating."),
    note("Wiring, notches in structure, fire stopping, gas and combustion appliances are licensed work."),
    note("Screed, insulation, finishes and water treatment have data sheets of their own. They come before this page."),
    note("No drilling, no nails, no heavy loads on the floor from the first pipe on."),
)
