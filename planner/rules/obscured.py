"""Rules on mist, dust and fog that a report names, where it tells no visibility that goes with them."""

from collections.abc import Iterator

from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import weather_waived
from planner.rules.flight_words import COMMON_PRACTICE, fine_miles
from planner.rules.unplaced_cloud import weather_finding


def not_measured(case: Case) -> Iterator[Finding]:
    """Yield where mist or dust is told and no figure with it, or one that is too great for it.

    Fog tells a figure by itself (`flight.obscured`): it is judged as that.
    """
    if case.weather is None or weather_waived(case, "c"):
        return
    for one in case.weather.reported.obscured:
        if one.is_fog:
            continue
        least = "" if one.least_m is None else f" and at least {fine_miles(one.least_m)}"
        yield weather_finding(
            case,
            "seen-through-mist",
            "How far one sees in reported mist or dust is not known",
            f"{one.source} says {one.group}: by its code visibility is {fine_miles(one.below_m)} or less"
            f"{least}. "
            "It tells no figure, or one that does not go with that.",
        )


def fog_near(case: Case) -> Iterator[Finding]:
    """Yield an act for fog near the station, in patches, over a part of the field, or shallow."""
    if case.weather is None:
        return
    for one in case.weather.reported.fogs:
        yield Finding(
            rule="fog-about",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title="Fog about",
            message=f"{one.source} says {one.group}: fog near by, in patches, over a part, or at the ground. "
            "It drifts, and the visibility that is told is not that within it.",
            citation=COMMON_PRACTICE,
            remedy="look where it lies before you take off, stay out of it, and end where it comes near",
        )


RULES = (not_measured, fog_near)
