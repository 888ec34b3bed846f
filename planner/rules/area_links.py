"""Rules on links and lost link of a flight anywhere inside an area.

Links are judged at the area's top and low in it, returns on lost link from its top and from
its ground. Where it flies on to until its action begins is asked in `rules.area_waits`.
"""

from collections.abc import Iterator
from itertools import zip_longest
from typing import Final

import numpy as np

from planner.flight.answer import Link
from planner.flight.failsafe import Failsafe
from planner.flight.way_home import LossWays
from planner.permission.routes import TOLERANCE_M
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_links import FAILING, USE, radio_name, what_takes
from planner.rules.flight_loss import (
    ceiling_unknown,
    least_room_m,
    low_title,
    low_words,
    over_what,
    remedy_of,
    stated_loss,
    too_low,
    way_unknown,
)
from planner.rules.flight_words import COMMON_PRACTICE, feet, left_db, wanted_db
from planner.rules.loss_assumed import SPEED, by_what_is_said
from planner.rules.loss_beside import beside_m
from planner.rules.loss_over_words import over_words
from planner.rules.loss_words import does
from planner.rules.stretches import place_at
from planner.rules.words import capitalised, over_ft
from planner.track.track import Track

MOVES: Final = "move where it returns to, or "
FROM: Final = ("at the area's top", "low in the area")


def margins(case: Case) -> Iterator[Finding]:
    """Yield a stop where a link has less margin at the area's top than is wanted, else an unknown."""
    flight = case.area_flight
    if flight is None or flight.link_places is None:
        return
    for link in flight.links:
        if link.profile.thin.any():
            yield _thin(case, link, flight.link_places)
        if link.profile.unknown.any():
            yield Finding(
                rule="link-not-known",
                mark=Mark.UNKNOWN,
                basis=Basis.SAFETY,
                title=f"{USE[link.radio.use]} link not known everywhere",
                message=f"Ground between the antenna and the flying area is not known for "
                f"{radio_name(link.radio)}.",
                citation=COMMON_PRACTICE,
                remedy="add terrain that covers the way, or test the link there",
            )


def _thin(case: Case, link: Link, places: Track) -> Finding:
    profile, spec = link.profile, link.profile.spec
    own = link.radio.required_margin_db is not None
    k = int(np.nanargmin(profile.margin_db))
    ground_db = float(profile.terrain_db[k])
    behind = (
        f" {capitalised(what_takes(case, link, k))} takes {ground_db:.0f} dB of it."
        if ground_db >= 1.0
        else ""
    )
    return Finding(
        rule=f"{spec.use.value}-margin",
        mark=Mark.STOP,
        basis=Basis.OWN_LIMIT if own else Basis.SAFETY,
        title=f"{USE[spec.use]} link too weak in the flying area",
        message=f"{capitalised(radio_name(link.radio))} has {left_db(float(profile.margin_db[k]))} over its "
        f"sensitivity where it is weakest at the area's top; {wanted_db(spec.required_margin_db)} are wanted."
        f"{behind} {FAILING[spec.failing]}",
        citation="" if own else COMMON_PRACTICE,
        remedy="stand where you see all of the area, raise the antenna, or draw the area smaller",
        place=place_at(places, k),
        numbers={"margin_db": float(profile.margin_db[k]), "wanted_db": spec.required_margin_db},
    )


def low_margins(case: Case) -> Iterator[Finding]:
    """Yield an act for each link that holds at the area's top and is too weak low in it."""
    for one in case.area_flight.low_links if case.area_flight else ():
        profile, spec = one.low.profile, one.low.profile.spec
        k = int(np.nanargmin(profile.margin_db))
        holds = (
            "Only at the top it keeps them everywhere."
            if np.isnan(one.holds_from_m)
            else f"From {over_ft(one.holds_from_m)} up it keeps them wherever it was asked."
        )
        yield Finding(
            rule="link-weak-low",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title=f"{USE[spec.use]} link too weak low in the flying area",
            message=f"{capitalised(radio_name(one.radio))} has {left_db(float(profile.margin_db[k]))} over "
            f"its sensitivity {over_ft(one.height_m)} above the ground where it is weakest; "
            f"{wanted_db(spec.required_margin_db)} are wanted. {holds} {FAILING[spec.failing]}",
            citation=COMMON_PRACTICE,
            remedy="stay higher there, stand where you see all of the ground, or raise the antenna",
            place=place_at(one.places, k),
            numbers={"margin_db": float(profile.margin_db[k]), "wanted_db": spec.required_margin_db},
        )


def clears(case: Case) -> Iterator[Finding]:
    """Yield a stop where a return from the area comes too near to ground or structures."""
    least = None
    for where, places, loss in returns_of_area(case):
        low, room_m = too_low(places, loss), least_room_m(places, loss)
        if low.any():
            k = int(np.argmin(np.where(low, room_m, np.inf)))
            if least is None or room_m[k] < least[4]:
                least = where, places, loss, k, float(room_m[k])
    if least is None:
        return
    where, places, loss, k, clearance_m = least
    what = over_what(case, loss, k)
    away_m = beside_m(case, loss, k, np.zeros(len(places), dtype=bool))
    hits = clearance_m <= 0 and away_m is None
    own = stated_loss(case).clear_by_m is not None and not hits
    yield Finding(
        rule="link-loss-too-low",
        mark=Mark.STOP,
        basis=Basis.OWN_LIMIT if own else Basis.SAFETY,
        title=low_title(clearance_m, what, away_m),
        message=f"Lost {where} the aircraft {does(case.plan, loss.failsafe.action)}; from the place that is "
        f"worst its way {low_words(clearance_m, what, away_m)}, {feet(loss.margin_m)} are wanted.",
        citation="" if own else COMMON_PRACTICE,
        remedy=f"{remedy_of(loss, k, own=own)}, or {'' if away_m is None else MOVES}draw the area smaller",
        place=place_at(places, k),
        numbers={"clearance_m": clearance_m, "wanted_m": loss.margin_m},
    )


def under_ceiling(case: Case) -> Iterator[Finding]:
    """Yield a stop where a return from the area comes above the ceiling over it, or on the way home."""
    every = case.area_loss_over_ceiling_m
    if not every:
        # In another wind the ceiling is not asked anew.
        return
    known = zip(every, returns_of_area(case), strict=True)
    found = [
        (float(np.nanmax(over_m)), int(np.nanargmax(over_m)), one, met)
        for (over_m, one), met in zip_longest(known, case.area_loss_over[: len(every)])
        if not np.isnan(over_m).all()
    ]
    if not found:
        return
    most_m, k, (where, places, loss), met = max(found, key=lambda one: one[0])
    if most_m <= TOLERANCE_M:
        return
    words = over_words(case, met, k, most_m, "over the area or on its way home")
    yield Finding(
        rule="link-loss-above-ceiling",
        mark=Mark.STOP,
        basis=words.basis,
        title=words.title,
        message=f"Lost {where} the aircraft {does(case.plan, loss.failsafe.action)}{words.what}",
        citation=words.citation,
        remedy=words.remedy,
        place=words.place or place_at(places, k),
        numbers={"over_m": most_m},
    )


def wind_lets_it(case: Case) -> Iterator[Finding]:
    """Yield a stop where the wind forbids a return from the area."""
    for where, places, loss in returns_of_area(case):
        if loss.blown_away.any():
            found = Finding(
                rule="link-loss-blown-away",
                mark=Mark.STOP,
                basis=Basis.SAFETY,
                title="On lost link the wind keeps it from home",
                message=f"Lost {where} it makes no way against the wind at the airspeed of its return.",
                citation=COMMON_PRACTICE,
                remedy="wait for less wind, or set a faster return",
                place=place_at(places, int(np.argmax(loss.blown_away))),
            )
            yield by_what_is_said(found, loss.failsafe, SPEED)
            return


def known(case: Case) -> Iterator[Finding]:
    """Yield an unknown where ground or height of the way is not known, an act where its ceiling is not."""
    way = any(loss.unknown.any() for _, _, loss in returns_of_area(case))
    flies_on = case.area_flight is not None and bool(np.isnan(case.area_flight.waits.clearance_m))
    if not (way or flies_on or _ceiling_unknown(case)):
        return
    what, remedy = (
        way_unknown(case)
        if way
        else ("Ground where it flies on to is not known.", "add terrain that covers what lies about the area")
        if flies_on
        else ("The ceiling over the way home is not known.", "add what covers the way")
    )
    yield Finding(
        rule="link-loss-not-known",
        mark=Mark.UNKNOWN if way or flies_on else Mark.ACT,
        basis=Basis.SAFETY,
        title="Way on lost link not known",
        message=what,
        citation=COMMON_PRACTICE,
        remedy=remedy,
    )


def _ceiling_unknown(case: Case) -> bool:
    """Whether a ceiling over a return is not known but for what only the authority can open."""
    every = case.area_loss_over_ceiling_m
    pairs = zip_longest(every, case.area_loss_asked[: len(every)])
    return any(bool(ceiling_unknown(over_m, what).any()) for over_m, what in pairs)


def area_failsafe(case: Case) -> Failsafe | None:
    """Return what is said of the lost link for a flying area."""
    aircraft = case.plan.aircraft
    if case.area_flight is None or aircraft is None or aircraft.link_loss is None:
        return None
    return Failsafe.of(aircraft.link_loss)


def returns_of_area(case: Case) -> Iterator[tuple[str, Track, LossWays]]:
    """Yield the returns from a flying area: where the link is lost, in words, places and ways."""
    flight = case.area_flight
    if flight is not None:
        yield from zip(FROM, flight.places, flight.losses, strict=False)


RULES = (margins, low_margins, clears, under_ceiling, wind_lets_it, known)
