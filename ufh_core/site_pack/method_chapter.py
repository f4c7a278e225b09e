"""The method statement: every step on site in order, its hold point, who signs, what to take care of.

Source: the sequence and the figures are common practice and EN 1264-4, as each rule names them.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ufh_core.basis.message import Message
from ufh_core.documents.site_forms import outcome_word
from ufh_core.documents.site_rules import RULES
from ufh_core.documents.site_titles import title_of
from ufh_core.records.hold_points import SIGNERS
from ufh_core.records.kinds import Step
from ufh_core.section.calendar import WALKED_ON_DAYS
from ufh_core.section.first_heating import FIRST_C, FIRST_DAYS, GREATEST_DAYS, LEAST_AGE_DAYS
from ufh_core.site_pack.blocks import Block, Box, Chapter, Heading, Paragraph, Points
from ufh_core.site_pack.source import Source
from ufh_core.words import mark, said, say


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteStep:
    """A step of the work: what is done, what to take care of, and the hold points that end it."""

    title: str
    what: tuple[str, ...]
    care: tuple[str, ...] = ()
    holds: tuple[str, ...] = ()


def site_steps(screed: str) -> tuple[SiteStep, ...]:
    """All steps in order for a kind of screed."""
    return (*_BEFORE, *_screed_steps(screed), *_AFTER)


_BEFORE = (
    SiteStep(
        title=mark("Base"),
        what=(
            mark("Base dry, firm, clean and level; heights checked against the section through the floor."),
            mark("Pipes and cables on the base fixed and levelled in; their ways compared with the plan."),
        ),
        care=(mark("What differs from the plan stops the work: ask before anything is laid."),),
    ),
    SiteStep(
        title=mark("Membrane, insulation, edge strip, foil"),
        what=(
            mark("Damp-proof membrane where the floor lies on ground, laps as its maker says."),
            mark("Insulation in the thicknesses of the section, joints staggered, without gaps."),
            mark(
                "Edge strip at all walls, columns and frames, from the base to above the finish; it stays uncut "
                "until the finish is laid."
            ),
            mark("Foil so that the screed's moisture never meets the insulation."),
        ),
    ),
    SiteStep(
        title=mark("Panels"),
        what=(
            mark("Lay by the laying plan, from its corner, lock edges to the walls; lock studs over studs."),
            mark("Cut pieces by the list; pin down small pieces, so that the pipe's tension cannot lift them."),
        ),
        care=(mark("Knives and off-cuts off the floor: a trodden stud no longer holds the pipe."),),
    ),
    SiteStep(
        title=mark("Manifolds"),
        what=(
            mark("Cabinet at the place and height of the plan, fixed and level, free floor in front kept clear."),
            mark("Flow bar and return bar told apart and marked; ports numbered from the left as seen from the room."),
        ),
        care=(mark("Chases, holes and fixings only where a structural engineer allows them."),),
    ),
    SiteStep(
        title=mark("Circuits"),
        what=(
            mark("Take the coil of the cutting list; cut square, insert the sleeve, push home, pull to prove it."),
            mark("Lay by the card; read the marks at doors, bends and turn-round. No joint lies in the floor."),
            mark("Sleeves on every pipe that crosses a movement joint or goes through a wall."),
            mark("Draw in red what lies otherwise; photograph every room before it is covered."),
        ),
        care=(mark("A kinked pipe is replaced, never bent back."),),
        holds=(Step.LAID,),
    ),
    SiteStep(
        title=mark("Filling and leak test"),
        what=(
            mark("Fill and flush circuit by circuit, in the direction of flow, until no air comes."),
            mark("Shut the mixing station off, raise the pressure slowly, read it at start and end."),
            mark("Look at every connection at the manifold by hand and eye."),
        ),
        care=(mark("A test stores energy: nobody near who need not be; let the pressure off slowly."),),
        holds=(Step.LEAK, Step.FROST),
    ),
    SiteStep(
        title=mark("Before the screed"),
        what=(
            mark("Pressure down to about 3 bar and kept; a gauge that the screed layer can read."),
            mark("Movement joint profiles and edge strips in place, pour fields marked by the joint plan."),
            mark("Boards on the ways of barrows and hoses; nobody walks on the pipes without need."),
        ),
        holds=(Step.KEPT,),
    ),
)
_AFTER = (
    SiteStep(
        title=mark("Moisture test and finish"),
        what=(
            mark("Carbide test at the marked places, where no pipe lies, in every pour field."),
            mark("Finish, adhesive and grout suited for heated floors, by their makers' limits of temperature."),
        ),
        holds=(Step.MOISTURE,),
    ),
    SiteStep(
        title=mark("Balancing and control"),
        what=(
            mark("All circuits open, air out, pump set; set the valves by the balancing sheet, read every circuit."),
            mark("Each thermostat opens the actuators of its own room and of no other: try them one by one."),
            mark("Safety limit stat set and tried."),
        ),
        holds=(Step.FLOWS, Step.TEMPERATURES),
    ),
    SiteStep(
        title=mark("Handing over"),
        what=(
            mark("As-laid drawings, records, settings, data sheets and cautions go to the owner, who is instructed."),
        ),
        holds=(Step.SIGNED,),
    ),
)  # fmt: skip


def _screed_steps(screed: str) -> tuple[SiteStep, ...]:
    walked = WALKED_ON_DAYS[screed]
    return (
        SiteStep(
            title=mark("Laying the screed"),
            what=(
                mark("By pour field, in the order of the list; liquid screed from the middle of the room outwards."),
                mark("Panel edges stapled or taped, so that liquid screed cannot get under and lift them."),
                mark("Kind, strength class and thickness as designed; write down day, thickness and temperature."),
            ),
            care=(
                mark("Wet screed burns skin and eyes: gloves, boots, goggles."),
                mark("A pipe that is hit: stop, mark the place, repair by the maker's instruction, test again."),
            ),
            holds=(Step.POUR,),
        ),
        SiteStep(
            title=mark("Curing"),
            what=(
                Message("Not walked on for {days:g} days; no draught, no sun, no load.", days=walked),
                Message(
                    "Not heated for {days:g} days at least ({screed}; EN 1264-4).",
                    days=LEAST_AGE_DAYS[screed],
                    screed=Message(screed),
                ),
            ),
        ),
        SiteStep(
            title=mark("Heating the screed"),
            what=(
                Message(
                    "Flow at 20 to {first:g} °C for {days:g} days, then the greatest flow temperature of the design "
                    "for {more:g} days (EN 1264-4), by the calendar; read it every day.",
                    first=FIRST_C,
                    days=FIRST_DAYS,
                    more=GREATEST_DAYS,
                ),
                mark("The screed maker's programme comes before this one."),
            ),
            care=(mark("Hot water scalds; limit the flow temperature by the heat generator, not by watching."),),
            holds=(Step.HEATING,),
        ),
    )


def method_chapter(source: Source) -> Chapter:
    """The chapter."""
    return Chapter(key="method", title=say("Method statement"), blocks=tuple(_blocks(source)))


def _blocks(source: Source) -> Iterator[Block]:
    yield Paragraph(
        text=say(
            "Work goes on behind a hold point when it passes and is signed. Who signs is a proposal: contract and "
            "local codes rule."
        )
    )
    points = {point.name: point for point in source.state.points}
    for number, step in enumerate(site_steps(source.design.settings.floor.screed), 1):
        yield Heading(text=f"{number}. {said(step.title)}")
        yield Points(texts=tuple(said(text) for text in (*step.what, *step.care)))
        for hold in step.holds:
            signers = ", ".join(said(role) for role in SIGNERS.get(hold, ()))
            signed = say("To be signed by: {roles}.", roles=signers) if signers else ""
            title = say("Hold point: {what}", what=title_of(hold)) + f" – {outcome_word(points[hold])}"
            yield Box(title=title, texts=tuple(text for text in (said(RULES[hold]), signed) if text))
