"""A rule on airspace whose floor or top nobody can tell."""

from collections.abc import Iterator

from planner.rules.bibliography import notices_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.world.airspace import AirspaceVolume, LimitReference


def limits_not_known(case: Case) -> Iterator[Finding]:
    """Yield a note for each airspace that is entered and counts as taller than it may be."""
    if case.mapped is None:
        return
    told: set[str] = set()
    for use in case.uses:
        for column in use.volumes:
            volume = case.mapped.airspace[column]
            what = _taken_as(volume)
            if not what or volume.name in told:
                continue
            told.add(volume.name)
            yield Finding(
                rule="limits-not-known",
                mark=Mark.NOTE,
                basis=Basis.LAW,
                title=f"Floor or top of {volume.name} is not known",
                message=f"Its data gives none that can be used, or they contradict each other; {what}.",
                citation=notices_rule(case.plan.purpose),
                remedy="look its limits up with its publisher",
                from_m=use.need.from_m,
                to_m=use.need.to_m,
                place=use.need.place,
            )


def _taken_as(volume: AirspaceVolume) -> str:
    floor, top = (limit.reference is LimitReference.UNKNOWN for limit in (volume.floor, volume.top))
    if floor and top:
        return "it counts from the ground up, without a top"
    if floor:
        return "it counts from the ground up"
    return "it counts as having no top" if top else ""


RULES = (limits_not_known,)
