"""Rules on a return on lost link from anywhere in a flying area: its gusts, and its battery."""

import math
from collections.abc import Iterator
from typing import Final

import numpy as np

from planner.flight.area_charge import AreaCharge
from planner.flight.area_flight import AreaFlight
from planner.flight.loss_charge import PARTS, as_said, dearest_return, in_gusts, in_lasting_wind, return_wh
from planner.rules.area_links import FROM
from planner.rules.case import Case
from planner.rules.charge_doubt import charge_doubt
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_loss import blown_while_it_lasts, passing_words
from planner.rules.flight_words import COMMON_PRACTICE, clock, fine_speed, percent, way_takes, wind_words
from planner.rules.loss_assumed import SPEED, by_what_is_said
from planner.rules.stretches import place_at

_REMEDY: Final = "set a lower or a faster return, draw the area nearer, or take a larger battery"


def gusts_let_it(case: Case) -> Iterator[Finding]:
    """Yield a stop where a return that the mean wind lets home makes no headway in its gusts."""
    flight = case.area_flight
    if flight is None or any(loss.blown_away.any() for loss in flight.losses):
        return
    if flight.airspeed_mps is not None and flight.gust_mps >= flight.airspeed_mps:
        # Gusts carry it out of the area: one cause, one stop.
        return
    for where, places, loss in zip(FROM, flight.places, flight.losses, strict=False):
        if not loss.blown_in_gusts.any():
            continue
        found = Finding(
            rule="link-loss-blown-in-gusts",
            mark=Mark.STOP if any(map(blown_while_it_lasts, flight.losses)) else Mark.ACT,
            basis=Basis.SAFETY,
            title="On lost link it makes no headway home in gusts",
            message=f"Lost {where}: its return flies {fine_speed(loss.failsafe.speed_mps)} through the air; "
            f"in {_blows(flight)}, in gusts all the way, it makes no headway.{passing_words(loss)}",
            citation=COMMON_PRACTICE,
            remedy="wait for less wind, or set a faster return",
            place=place_at(places, int(np.argmax(loss.blown_in_gusts))),
            numbers={"gust_mps": flight.gust_mps, "speed_mps": loss.failsafe.speed_mps},
        )
        yield by_what_is_said(found, loss.failsafe, SPEED)
        return


def charge_lets_it(case: Case) -> Iterator[Finding]:
    """Yield a stop where no charge lets it return from there, an act where it would land under the reserve.

    Where it is enough the charge to turn home at counts with it (`rules.area_charge`).
    """
    flight = case.area_flight
    if flight is None or case.flight is not None or (charge := flight.charge) is None:
        return
    if charge_doubt(case) or not math.isfinite(charge.home_wh) or charge.left_at_once < charge.reserve:
        return
    if (dearest := dearest_return(flight.places, flight.losses, charge.model)) is None:
        return
    used_wh, places, loss, k = dearest
    left = 1.0 - (charge.out_wh + used_wh) / charge.pack.usable_wh
    empty = left <= 0.0
    if not empty:
        yield from _charge_in_gusts(case, flight, charge, told_low=left < charge.reserve)
    if left >= charge.reserve:
        return
    takes = f"Its return by itself takes {clock(float(loss.duration_s[k]))} from where it takes most, climb "
    takes += "and landing included"
    found = Finding(
        rule="link-loss-empty" if empty else "link-loss-under-reserve",
        mark=Mark.STOP if empty else Mark.ACT,
        basis=Basis.SAFETY,
        title="On lost link the battery is empty before it is home"
        if empty
        else "On lost link it lands on less than the reserve",
        message=f"{takes}: more than is left in the battery when it has just flown there."
        if empty
        else f"{takes}, and leaves {percent(left)} if the link drops when it has just flown there; "
        f"{percent(charge.reserve)} is the reserve. Turned home later it lands on less, or not at home.",
        citation=COMMON_PRACTICE,
        remedy=_REMEDY if empty else f"turn home as soon as it is there, or {_REMEDY}",
        place=place_at(places, k),
        numbers={"left": left, "turn_home_mah": charge.turn_home_mah},
    )
    surely_wh = return_wh(as_said(loss), charge.model)[k]
    surely = charge.pack.usable_wh - surely_wh <= charge.out_wh
    yield found if surely else by_what_is_said(found, loss.failsafe, PARTS)


def _charge_in_gusts(
    case: Case, flight: AreaFlight, charge: AreaCharge, *, told_low: bool
) -> Iterator[Finding]:
    """Yield a stop where gusts all the way leave a return no charge, an act where they cost the reserve.

    `told_low`: that it lands on less than the reserve even in the mean wind is told already.
    """
    lasting = dearest_return(flight.places, [in_lasting_wind(one) for one in flight.losses], charge.model)
    lasts = lasting is not None and charge.out_wh + lasting[0] >= charge.pack.usable_wh
    gusty = dearest_return(flight.places, [in_gusts(one) for one in flight.losses], charge.model)
    # Where gusts leave no headway at all, which is told by itself, what blows for a minute counts: of a way
    # home from one side of the area as well where gusts let it come from another.
    known = [one for one in (gusty, lasting if lasts else None) if one is not None]
    if not known:
        return
    used_wh, places, loss, k = max(known, key=lambda one: one[0])
    left = 1.0 - (charge.out_wh + used_wh) / charge.pack.usable_wh
    if left >= charge.reserve:
        return
    empty = left <= 0.0
    if told_low and not empty:
        return
    found = Finding(
        rule="link-loss-in-gusts",
        mark=Mark.STOP if lasts else Mark.ACT,
        basis=Basis.SAFETY,
        title="In gusts all the way its return empties the battery"
        if empty
        else f"In gusts all the way its return lands with {percent(left)}",
        message=f"From where it takes most its return {way_takes(float(loss.duration_s[k]))} in "
        f"{_blows(flight)}, in gusts all the way, even if the link drops when it has just flown there; "
        f"{percent(charge.reserve)} is the reserve.",
        citation=COMMON_PRACTICE,
        remedy="wait for less wind, set a faster return, or draw the area nearer",
        place=place_at(places, k),
        numbers={"left": left, "reserve": charge.reserve},
    )
    yield by_what_is_said(found, loss.failsafe, PARTS)


def _blows(flight: AreaFlight) -> str:
    wind = wind_words(flight.wind_mps, flight.gust_mps)
    return f"{wind} at the area's top ({flight.weather.wind_source})"


RULES = (gusts_let_it, charge_lets_it)
