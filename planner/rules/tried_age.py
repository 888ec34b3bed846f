"""A rule on ranges tried so long ago that eyes and aircraft may have changed since."""

from collections.abc import Iterator
from typing import Final

from planner.geo.time_words import day_words
from planner.plan.role_words import name_or_role
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.must_see import demanded_keys
from planner.rules.words import room_ft

DEFAULT_DAYS: Final = 365.0
"""No rule knows how long a trial holds; a year is common practice. The plan's own limit goes first."""
_MONTH_DAYS = 30.4375
_COMMON_PRACTICE = "common practice"


def tried_long_ago(case: Case) -> Iterator[Finding]:
    """Yield an act for each range counted on that was tried longer before the flight than the limit."""
    plan, sight = case.plan, case.sight
    if sight is None or plan.window is None:
        return
    own_days = plan.own_tried_days
    most_days = DEFAULT_DAYS if own_days is None else own_days
    asked = {key for group in demanded_keys(case) for key in group}
    flown_on = plan.window.local(plan.window.start_utc).date()
    for member, viewer in sorted(zip(sight.people, sight.viewers, strict=True), key=lambda one: one[0].key):
        tried = viewer.reach.tried
        if tried is None or member.key not in asked or (flown_on - tried.on).days <= most_days:
            continue
        name = name_or_role(member, plan.purpose)
        ago = (flown_on - tried.on).days
        limit = (
            "a year (common practice, no rule)" if own_days is None else f"{_span(own_days)}, your own limit"
        )
        yield Finding(
            rule="range-tried-long-ago",
            mark=Mark.ACT,
            basis=Basis.SAFETY if own_days is None else Basis.OWN_LIMIT,
            title=f"{name} tried their range long ago",
            message=(
                f"{room_ft(tried.distance_m)} were tried on {day_words(tried.on)}, {_span(ago)} before "
                f"the flight: longer than {limit}. Eyes, glasses and the aircraft may have changed since."
            ),
            citation=_COMMON_PRACTICE if own_days is None else "",
            remedy="try it again with this aircraft, in such light, and record it",
            place=member.place,
            numbers={"ago_days": float(ago), "tried_m": tried.distance_m},
        )


def _span(days: float) -> str:
    """Return a length of time in whole months, days where it is short; rounded down."""
    months = int(days / _MONTH_DAYS)
    return f"{months} months" if months >= 2 else f"{int(days)} days"


RULES = (tried_long_ago,)
