"""What every export says of itself: name, stamps, verdict, and what heights count from."""

from planner.assessment import Assessment
from planner.briefing.briefing import stamps
from planner.briefing.front_page import heading
from planner.wording import CAUTIONS


def export_name(assessment: Assessment) -> str:
    """Return the flight's name with its stamps."""
    return " · ".join([*stamps(assessment), heading(assessment)["title"]])


def export_description(assessment: Assessment) -> str:
    """Return time, verdict, reference of heights and the first caution, on one line."""
    return (
        f"{heading(assessment)['when']}. {assessment.verdict.words}. "
        f"Heights above mean sea level count from {datum_words(assessment)}. {CAUTIONS[0]}"
    )


def datum_words(assessment: Assessment) -> str:
    """Return what the terrain's heights count from, as its record names it."""
    terrain = assessment.world.terrain
    name = terrain.vertical_datum if terrain is not None else ""
    return name or "the terrain's own zero (not named)"
