"""What every export says of itself: name, stamps, verdict, and what heights count from."""

from planner.assessment import Assessment
from planner.briefing.briefing import stamps
from planner.briefing.front_page import heading
from planner.briefing.words import plain
from planner.geo.place import Place
from planner.plan.model import Plan
from planner.wording import CAUTIONS

_LONGEST = 90


def export_name(assessment: Assessment) -> str:
    """Return the flight's name with its stamps."""
    return " · ".join([*stamps(assessment), heading(assessment)["title"]])


def export_description(assessment: Assessment) -> str:
    """Return time, verdict, reference of heights and the first caution, on one line."""
    return (
        f"{heading(assessment)['when']}. {assessment.verdict.words}. "
        f"Heights above mean sea level count from {datum_words(assessment)}. {CAUTIONS[0]}"
    )


def point_name(plan: Plan, index: int) -> str:
    """Return what a point of the path is called: its number, its name, the figure flown there."""
    return _row(str(index + 1), plan.path[index].name, _flown(plan, index))


def leg_name(plan: Plan, index: int) -> str:
    """Return what the leg from a point is called; one inside a figure names it."""
    point = plan.path[index]
    inside = next(
        (f"({span.figure.called})" for span in plan.figure_spans() if span.first <= index < span.last), ""
    )
    return _row(f"Leg {index + 1}", point.name, inside)


def ways_out(plan: Plan) -> list[tuple[str, Place]]:
    """Return the bail-outs of the figures, in the order flown, with their names."""
    return [
        (plain(f"Bail-out of {span.figure.called}", _LONGEST), span.figure.bail_out)
        for span in plan.figure_spans()
        if span.figure.bail_out is not None
    ]


def _row(*parts: str) -> str:
    return plain(" ".join(part for part in parts if part), _LONGEST)


def _flown(plan: Plan, index: int) -> str:
    """Return '(Dive "North face", entry)' of a point inside a figure, '' of any other."""
    for span in plan.figure_spans():
        if span.first <= index <= span.last:
            end = {span.first: ", entry", span.last: ", exit"}.get(index, "")
            return f"({span.figure.called}{end})"
    return ""


def datum_words(assessment: Assessment) -> str:
    """Return what the terrain's heights count from, as its record names it."""
    terrain = assessment.world.terrain
    name = terrain.vertical_datum if terrain is not None else ""
    return name or "the terrain's own zero (not named)"
