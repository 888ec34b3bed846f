"""Rules on a return on lost link from anywhere in a flying area: its gusts, and its battery."""

import math
from collections.abc import Iterator
from typing import Final

import numpy as np

from planner.flight.area_charge import AreaCharge
from planner.flight.area_flight import AreaFlight
from planner.flight.loss_charge import PARTS, as_said, return_wh
from planner.flight.way_home import LossWays
from planner.rules.area_links import FROM
from planner.rules.case import Case
from planner.rules.charge_doubt import charge_doubt
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, clock, fine_speed, wind_words
from planner.rules.loss_assumed import SPEED, by_what_is_said
from planner.rules.stretches import place_at
from planner.track.track import Track

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
            mark=Mark.STOP,
            basis=Basis.SAFETY,
            title="On lost link it makes no headway home in gusts",
            message=f"Lost {where}: its return flies {fine_speed(loss.failsafe.speed_mps)} through the air; "
            f"in {wind_words(flight.wind_mps, flight.gust_mps)} ({flight.weather.wind_source}), in gusts all "
            "the way, it makes no headway.",
            citation=COMMON_PRACTICE,
            remedy="wait for less wind, or set a faster return",
            place=place_at(places, int(np.argmax(loss.blown_in_gusts))),
            numbers={"gust_mps": flight.gust_mps, "speed_mps": loss.failsafe.speed_mps},
        )
        yield by_what_is_said(found, loss.failsafe, SPEED)
        return


def charge_lets_it(case: Case) -> Iterator[Finding]:
    """Yield a stop where no charge lets it return from there, an act where it must turn home earlier."""
    flight = case.area_flight
    if flight is None or case.flight is not None or (charge := flight.charge) is None:
        return
    if charge_doubt(case) or not math.isfinite(charge.home_wh) or charge.left_at_once < charge.reserve:
        return
    if (dearest := _dearest(flight, charge)) is None:
        return
    used_wh, places, loss, k = dearest
    takes = f"Its return by itself takes {clock(float(loss.duration_s[k]))} from where it takes most, climb "
    takes += "and landing included"
    spare_wh = charge.pack.usable_wh - used_wh
    by_itself_mah = float(charge.pack.mah_of(np.array([max(spare_wh, 0.0)]))[0])
    if spare_wh <= charge.out_wh:
        mark, title = Mark.STOP, "On lost link the battery is empty before it is home"
        message = f"{takes}: more than is left in the battery when it has just flown there."
        remedy = _REMEDY
    elif by_itself_mah < charge.turn_home_mah:
        mark, title = Mark.ACT, "Turn home earlier: on lost link the battery would be empty"
        message = (
            f"{takes}. Flown home by hand it may have used {math.floor(charge.turn_home_mah):,} mAh by then; "
            f"with more than {math.floor(by_itself_mah):,} mAh used it is empty before it is home by itself."
        )
        remedy = f"turn home with {math.floor(by_itself_mah):,} mAh used at the latest, or {_REMEDY}"
    else:
        return
    found = Finding(
        rule="link-loss-empty",
        mark=mark,
        basis=Basis.SAFETY,
        title=title,
        message=message,
        citation=COMMON_PRACTICE,
        remedy=remedy,
        place=place_at(places, k),
        numbers={"by_itself_mah": by_itself_mah, "turn_home_mah": charge.turn_home_mah},
    )
    surely_wh = return_wh(as_said(loss), charge.model)[k]
    surely = charge.pack.usable_wh - surely_wh <= charge.out_wh
    yield found if surely else by_what_is_said(found, loss.failsafe, PARTS)


def _dearest(flight: AreaFlight, charge: AreaCharge) -> tuple[float, Track, LossWays, int] | None:
    """Return the return that takes most [Wh], and from where; None where none is known."""
    found = None
    for places, loss in zip(flight.places, flight.losses, strict=True):
        used_wh = return_wh(loss, charge.model)
        if np.isnan(used_wh).all():
            continue
        k = int(np.nanargmax(used_wh))
        if found is None or used_wh[k] > found[0]:
            found = float(used_wh[k]), places, loss, k
    return found


RULES = (gusts_let_it, charge_lets_it)
