"""Rules on published hours: what they rule out, and what they leave open."""

from collections.abc import Iterator

from planner.permission.inquiry import inquired_of
from planner.rules.bibliography import notices_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flown import flown
from planner.world.airspace import AirspaceKind, AirspaceVolume
from planner.world.schedule.model import Activity
from planner.world.schedule.parse import parse_schedule

_LONGEST_TEXT = 160
_OF_NO_CONSEQUENCE = frozenset({AirspaceKind.CLASS_E_OTHER, AirspaceKind.OTHER, AirspaceKind.ZONE_OPEN})


def published_hours(case: Case) -> Iterator[Finding]:
    """Yield a note for each airspace on the way whose hours decide, or can't be told."""
    if case.mapped is None:
        return
    seen: set[tuple[str, str, Activity]] = set()
    for column, volume in case.mapped.airspace.items():
        if not volume.schedule or not _matters(case, volume):
            continue
        activity = volume.active_during(case.plan.window)
        told = (volume.name, volume.schedule, activity)
        if activity is Activity.ACTIVE or told in seen or not flown(case, column, volume):
            continue
        seen.add(told)
        yield _finding(case, volume, activity)


def _matters(case: Case, volume: AirspaceVolume) -> bool:
    """Whether it makes a difference to the flight if an airspace is active."""
    return volume.kind not in _OF_NO_CONSEQUENCE or inquired_of(volume, case.plan.purpose)


def _finding(case: Case, volume: AirspaceVolume, activity: Activity) -> Finding:
    rule, title, message = _words(volume, activity)
    return Finding(
        rule=rule,
        mark=Mark.NOTE,
        basis=Basis.LAW,
        title=title,
        message=message,
        citation=notices_rule(case.plan.purpose),
        remedy="look up notices for its hours, or ask who controls it",
    )


def _words(volume: AirspaceVolume, activity: Activity) -> tuple[str, str, str]:
    said = volume.schedule
    quoted = f"“{said if len(said) <= _LONGEST_TEXT else said[:_LONGEST_TEXT] + '…'}”"
    match activity:
        case Activity.INACTIVE if not volume.active_from_utc and not volume.active_to_utc:
            return (
                "hours-not-active",
                f"{volume.name} is not active then",
                f"By its published hours, {quoted}, it is not active in this time window. Hours can change.",
            )
        case Activity.INACTIVE:
            return (
                "hours-not-active",
                f"{volume.name} is not active then",
                f"By its dates and its published hours, {quoted}, it is not active in this time window.",
            )
        case Activity.BY_NOTICE:
            return (
                "hours-by-notice",
                f"{volume.name} is active by notice",
                f"Its published hours are {quoted}: outside them notices say when it is active. "
                "It counts as active.",
            )
        case _ if parse_schedule(said) is not None:
            return (
                "hours-unreadable",
                f"What {volume.name} is outside its hours can't be told",
                f"Its published hours are {quoted}. This time window lies outside them, and they don't say "
                "what the airspace is then, so it counts as active.",
            )
        case _:
            return (
                "hours-unreadable",
                f"Hours of {volume.name} can't be told",
                f"When it is active can't be read for sure from {quoted}, so it counts as active.",
            )


RULES = (published_hours,)
