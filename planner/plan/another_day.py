"""The same flight on another day: what holds for a place stays, what held for a day is asked anew."""

from datetime import UTC, date, datetime, timedelta

import attrs

from planner.errors import PlanError
from planner.geo.window import TimeWindow, zone_info
from planner.plan.model import Plan

ASKED_ANEW = (
    "when the notices were checked, and by whom",
    "weather and visibility",
    "that the structures still stand",
)
"""What the pilot says of one day only, in words."""


def on_another_day(plan: Plan, day: date) -> Plan:
    """Return the plan with its hours, as the clock there shows them, on another day.

    Permissions, trials and drawn restrictions stay: each is judged by its own times.

    Raises
    ------
    PlanError
        If the plan has no time window, or the clock there does not show its hours on that day.
    """
    window = plan.window
    if window is None:
        raise PlanError("the plan has no time window", remedy="give its day and hours first")
    start, end = window.local(window.start_utc), window.local(window.end_utc)
    days_later = end.date() - start.date()
    return attrs.evolve(
        plan,
        window=TimeWindow(_at(day, start, window.zone), _at(day + days_later, end, window.zone), window.zone),
        notices=None,
        weather=None,
        visibility_m=None,
        structures_standing=frozenset(),
        saved_as_draft=True,
    )


def _at(day: date, like: datetime, zone: str) -> datetime:
    wall = datetime.combine(day, like.time(), tzinfo=zone_info(zone)).replace(fold=like.fold)
    moment = wall.astimezone(UTC)
    # In the hour that a clock put forward leaves out, the way back does not lead back.
    if moment.astimezone(zone_info(zone)).replace(tzinfo=None) != wall.replace(tzinfo=None):
        raise PlanError(
            f"on {day:%Y-%m-%d} no clock in {zone} shows {like:%H:%M}",
            remedy="choose another day or other hours",
        )
    return moment


def next_day_after(plan: Plan, today: date) -> date:
    """Return a day to propose: the one after the plan's, or tomorrow if that has passed."""
    tomorrow = today + timedelta(days=1)
    return tomorrow if plan.window is None else max(plan.window.first_day + timedelta(days=1), tomorrow)
