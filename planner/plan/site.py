"""A site: what of a plan belongs to the place and holds for every flight there.

It is a plan itself that holds nothing else: launch and landing with whose ground they are, the areas in
which the crew may stand, and the notes of the place for the sheet.
"""

import attrs

from planner.errors import PlanError
from planner.plan.model import Plan
from planner.plan.sheet import SheetNotes

_NOTES = ("landmark", "gate", "emergency_number", "on_foot", "landowner_contact")
"""What of the sheet's notes belongs to the place; the rest belongs to the flight or to its people."""


def site_of(plan: Plan, name: str) -> Plan:
    """Return the plan's site under a name.

    Raises
    ------
    PlanError
        If it has no name, or the plan no launch point.
    """
    if not name.strip():
        raise PlanError("a site without a name can't be found again", remedy="type one")
    if plan.launch is None:
        raise PlanError("a site needs a launch point", remedy="draw it: Launch (L), then click on the map")
    return Plan(
        name=name.strip(),
        launch=plan.launch,
        landing=plan.landing,
        stand_areas=plan.stand_areas,
        sheet=_of_the_place(plan.sheet),
    )


def at_site(plan: Plan, site: Plan) -> Plan:
    """Return the plan at a site: what belongs to the place comes from there, everything else stays."""
    notes = plan.sheet or SheetNotes()
    of_the_place = site.sheet or SheetNotes()
    notes = attrs.evolve(notes, **{name: getattr(of_the_place, name) for name in _NOTES})
    return attrs.evolve(
        plan,
        launch=site.launch,
        landing=site.landing,
        stand_areas=site.stand_areas,
        sheet=None if notes == SheetNotes() else notes,
    )


def _of_the_place(notes: SheetNotes | None) -> SheetNotes | None:
    if notes is None:
        return None
    kept = SheetNotes(**{name: getattr(notes, name) for name in _NOTES})
    return None if kept == SheetNotes() else kept
