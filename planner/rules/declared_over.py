"""What may fly over people by its category, or by a waiver, may fail over them, too: it is declared for that.

14 CFR 107.110 to 107.140 bound what such an aircraft does to whom it strikes. So who is beside its path, or
where it ends on lost link, is no worse off than who is beneath it: something to do, as over them.
"""

from collections.abc import Sequence
from typing import Final

import attrs

from planner.flight.below import OF_PEOPLE, Below, Thing
from planner.flight.crossings import Crossing
from planner.plan.model import Purpose
from planner.rules.beneath_law import Pass, Ruling, ruling
from planner.rules.case import Case
from planner.rules.finding import Finding, Mark
from planner.rules.flight_waivers import waived
from planner.saying import marked

_MAY_BE: Final = {
    Below.ROAD: Below.VEHICLES,
    Below.TRAIL: Below.PEOPLE,
    Below.GATHERING_PLACE: Below.ASSEMBLY,
}
"""Who may be where nobody says that somebody is."""


def pass_over(case: Case, thing: Thing, over: Sequence[Crossing] | None, *, sustained: bool) -> Pass:
    """Return a flight of the plan's aircraft over a thing, along its crossings; None is all of the flight."""
    craft = case.plan.aircraft
    spans = None if over is None else [(cross.from_m, cross.to_m) for cross in over]
    return Pass(
        category=craft.over_people if craft else None,
        remote_id=craft.remote_id if craft else None,
        sustained=sustained,
        closed_site=bool(thing.item and thing.item.closed_site),
        waived=all(waived(case, section, spans=spans) for section in _to_waive(thing.below)),
    )


def _to_waive(below: Below) -> tuple[str, ...]:
    # People in moving vehicles are people, too: own reading, the stricter one.
    return ("107.39", "107.145") if below is Below.VEHICLES else ("107.39",)


def declared_over(
    case: Case, thing: Thing, over: Sequence[Crossing] | None = None, *, sustained: bool = False
) -> str:
    """Return why an aircraft may fly over people under Part 107, '' where it may not or nobody can be."""
    who = thing.below if thing.below in OF_PEOPLE else _MAY_BE.get(thing.below)
    if case.plan.purpose is not Purpose.PART_107 or who is None:
        return ""
    found = ruling(who, case.plan.purpose, pass_over(case, thing, over, sustained=sustained))
    return "" if found.mark is Mark.STOP else found.why


def declared(found: Ruling, why: str) -> Ruling:
    """Return what is said of people, or, where the aircraft may fly over them, that as something to do."""
    if not why or found.mark not in (Mark.STOP, Mark.UNKNOWN):
        return found
    return attrs.evolve(found, mark=Mark.ACT, why=f"{marked(found.why)} {marked(why)}")


def by_category(case: Case, thing: Thing, found: Finding, *, sustained: bool = False) -> Finding:
    """Return a finding on people likewise; `sustained` where it stays over them."""
    why = declared_over(case, thing, sustained=sustained)
    if not why or found.mark not in (Mark.STOP, Mark.UNKNOWN):
        return found
    return attrs.evolve(found, mark=Mark.ACT, message=f"{marked(found.message)} {marked(why)}")
