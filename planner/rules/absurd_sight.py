"""Rules on figures of sight and own limits that can hardly be meant."""

import math
from collections.abc import Iterator
from typing import Final

from planner.flight.answer import CLEAR_BY_M
from planner.flight.failsafe import RETURNS
from planner.flight.links import REQUIRED_MARGIN_DB
from planner.flight.weather_now import TYPED
from planner.plan.role_words import name_or_role
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_links import radio_name
from planner.rules.flight_words import COMMON_PRACTICE, feet, miles, percent
from planner.rules.must_see import demanded_keys
from planner.rules.words import capitalised, room_ft

# Own choice: reports end at 10 miles as a rule, and few days anywhere let one see 50.
_FARTHEST_USUAL_M: Final = 80_000.0
# What normal sight (20/20, 1.0) tells apart, by definition of that figure.
_LEAST_ANGLE_RAD: Final = math.radians(1 / 60)
ACUITY: Final = "definition of visual acuity 20/20: one minute of arc"
# Common practice, 20 to 30 % (check values section 9, from memory).
_USUAL_RESERVE: Final = 0.20


def visibility(case: Case) -> Iterator[Finding]:
    """Yield an act for a visibility that is typed and that hardly a day has."""
    seen = case.weather.visibility if case.weather else None
    if seen is None or seen.source != TYPED or seen.m <= _FARTHEST_USUAL_M:
        return
    yield Finding(
        rule="visibility-to-check",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="Is it really as clear as that?",
        message=f"{miles(seen.m)} of visibility are given. Reports end at 10 statute miles as a rule; above "
        f"{miles(_FARTHEST_USUAL_M)} hardly a day is. How far away the aircraft is found is reckoned "
        "from it.",
        citation=COMMON_PRACTICE,
        remedy="look at its unit: miles, kilometres or feet",
        numbers={"visibility_m": seen.m},
    )


def tried_too_far(case: Case) -> Iterator[Finding]:
    """Yield an act for a range tried by day at which normal sight can't tell the aircraft from a dot."""
    aircraft, sight = case.plan.aircraft, case.sight
    if aircraft is None or sight is None:
        return
    dot_m = aircraft.largest_dimension_m / math.tan(_LEAST_ANGLE_RAD)
    asked = {key for group in demanded_keys(case) for key in group}
    for member, viewer in sorted(zip(sight.people, sight.viewers, strict=True), key=lambda one: one[0].key):
        tried = viewer.reach.tried
        if tried is None or tried.by_dark or member.key not in asked or tried.distance_m <= dot_m:
            continue
        name = name_or_role(member, case.plan.purpose)
        yield Finding(
            rule="tried-range-to-check",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title=f"{name} hardly tried so far a range",
            message=f"{room_ft(tried.distance_m)} are on record. From {feet(dot_m)} on the whole aircraft is "
            "smaller than a minute of arc, the least that normal sight tells apart: a dot at best, without "
            "an attitude.",
            citation=ACUITY,
            remedy="look at its unit and at the aircraft's size, or try it again",
            place=member.place,
            numbers={"tried_m": tried.distance_m, "dot_m": dot_m},
        )


def own_limits(case: Case) -> Iterator[Finding]:
    """Yield an act for each own limit of the flight that keeps less than is usual."""
    for what, why, numbers in _small_limits(case):
        yield Finding(
            rule="own-limit-small",
            mark=Mark.ACT,
            basis=Basis.OWN_LIMIT,
            title=f"Your own limit: {what}",
            message=f"{why} It is yours, and judged as you set it.",
            remedy="keep more, or know why not",
            numbers=numbers,
        )


def _small_limits(case: Case) -> Iterator[tuple[str, str, dict[str, float]]]:
    flight, aircraft = case.flight, case.plan.aircraft
    if flight is None or aircraft is None:
        return
    if flight.charge is not None and (share := flight.charge.reserve) < _USUAL_RESERVE:
        yield (
            f"{percent(share)} landing reserve",
            f"{percent(share)} of the usable charge are to be left at landing; usual are 20 to 30 %, "
            "for wind that is stronger than told, a second approach, and cells that have aged.",
            {"reserve": share},
        )
    for link in flight.links:
        margin_db = link.profile.spec.required_margin_db
        if margin_db < REQUIRED_MARGIN_DB:
            yield (
                f"{margin_db:g} dB margin for {link.radio.use.value}",
                f"{capitalised(radio_name(link.radio))} is to keep {margin_db:g} dB over its sensitivity; "
                f"common practice is {REQUIRED_MARGIN_DB:g} dB, for antennas turned away, bodies and trees.",
                {"margin_db": margin_db},
            )
    loss = flight.loss
    if loss is not None and loss.failsafe.action in RETURNS and loss.margin_m < CLEAR_BY_M:
        yield (
            f"{feet(loss.margin_m)} clearance on the way home",
            f"On lost link it is to clear ground and structures by {feet(loss.margin_m)}; {feet(CLEAR_BY_M)} "
            "are taken where nothing is said. No tree or wire is on record for sure.",
            {"clear_by_m": loss.margin_m},
        )


RULES = (visibility, tried_too_far, own_limits)
