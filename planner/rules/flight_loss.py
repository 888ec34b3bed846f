"""Rules on the loss of the control link: what the aircraft does from every place, and where that ends."""

from collections.abc import Iterator
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.answer import FlightAnswer
from planner.flight.charge import Charge
from planner.flight.cover import cover_of, untold_cover
from planner.flight.failsafe import RETURNS
from planner.flight.loss_charge import PARTS, as_said, in_gusts, in_lasting_wind, left_after_return
from planner.flight.obstacles import told_structures, untold_structures
from planner.flight.waiting import WIGGLE_M
from planner.flight.way_home import LossWays
from planner.permission.routes import TOLERANCE_M
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.rules.case import AskedOnReturn, Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_wind import held_in_gusts
from planner.rules.flight_words import clock, feet, fine_speed, percent, way_takes, wind_words, worst_of
from planner.rules.loss_assumed import SPEED, by_what_is_said
from planner.rules.loss_beside import beside_m, beside_words
from planner.rules.loss_over_words import over_words
from planner.rules.loss_words import does, lost
from planner.rules.stretches import place_at
from planner.rules.turn_back_words import by_itself_words
from planner.rules.words import along, over_ft
from planner.saying import marked
from planner.track.track import Track

MOVE: Final = ", or move the path or where it returns to, so that it passes farther away"
# Less than that is no figure to say.
TOUCHES_M: Final = 0.15


def clears(case: Case) -> Iterator[Finding]:
    """Yield a stop where the way after the loss comes too near to ground or structures."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (loss := flight.loss) is None:
        return
    low, least_m = too_low(track, loss), least_room_m(track, loss)
    if (worst := worst_of(track, low, -least_m)) is None:
        return
    k = worst.sample
    clearance_m = float(least_m[k])
    returns = loss.failsafe.action in RETURNS
    own = stated_loss(case).clear_by_m is not None
    away_m = beside_m(case, loss, k, into_something(track, loss))
    hits = clearance_m <= 0 and away_m is None
    what = over_what(case, loss, k)
    found = worst.finding(
        rule="link-loss-too-low",
        mark=Mark.STOP,
        title=low_title(clearance_m, what, away_m),
        message=f"Lost at {along(float(track.distance_m[k]))} the aircraft "
        f"{does(case.plan, loss.failsafe.action)}; its way {low_words(clearance_m, what, away_m)}"
        + (f", {feet(loss.margin_m)} are wanted." if returns and loss.waiting_m[k] > 0.0 else ".")
        + _speed_assumed(flight, k),
        remedy=("say how fast the leg is flown, " if _speed_assumed(flight, k) else "")
        + remedy_of(loss, k, own=own)
        + (MOVE if away_m is not None else ""),
        numbers={"clearance_m": clearance_m, "wanted_m": loss.margin_m},
    )
    yield attrs.evolve(found, basis=Basis.OWN_LIMIT, citation="") if own and not hits else found


def _speed_assumed(flight: FlightAnswer, sample: int) -> str:
    """Return with which speed it is reckoned while it flies on low, where nobody said one; else ''."""
    assert flight.loss is not None
    if flight.loss.waiting_m[sample] > 0.0 or not flight.motion.assumed_speed[sample]:
        return ""
    speed = fine_speed(float(flight.motion.ground_speed_mps[sample]))
    return f" How fast the leg is flown is not said: it is reckoned with {speed} over the ground."


def too_low(track: Track, loss: LossWays) -> NDArray[np.bool_]:
    """Return where a way comes too low.

    On the level part of a return that is nearer than wanted. Where it begins, and within the margin of
    home, it may be as low as the flight itself is, and as it has come till then. While it flies on, and for
    what stays where it is and has to come down, only striking something counts.
    """
    with np.errstate(invalid="ignore"):
        return np.asarray(_low_at_its_place(track, loss) | (loss.level_m < loss.margin_m))


def _low_at_its_place(track: Track, loss: LossWays) -> NDArray[np.bool_]:
    into = into_something(track, loss)
    wanted = np.fmin(loss.margin_m, np.fmin(track.planned_agl_m, loss.waited_agl_m) - WIGGLE_M)
    return np.asarray(into | (loss.acting_m < np.maximum(wanted, 0.0)))


def into_something(track: Track, loss: LossWays) -> NDArray[np.bool_]:
    """Return from where it flies on into ground, or into what stands, before its action begins (n,).

    What is flown lower than a straight wait wiggles may go as much into the ground as it is lower, no deeper.
    """
    with np.errstate(invalid="ignore"):
        into = loss.waiting_m <= np.fmin(track.planned_agl_m - WIGGLE_M, 0.0)
    return np.asarray(into if loss.strikes is None else into | loss.strikes)


def least_room_m(track: Track, loss: LossWays) -> NDArray[np.float64]:
    """Return the least room of each way as far as it is held against what is wanted (n,) [m]."""
    with np.errstate(invalid="ignore"):
        into = into_something(track, loss)
        at_its_place = np.fmin(loss.acting_m, np.where(into, loss.waiting_m, np.inf))
        return np.where(_low_at_its_place(track, loss), at_its_place, loss.level_m)


def low_title(clearance_m: float, what: str, away_m: float | None) -> str:
    """Return what is wrong with a way that is too low, or passes too near beside something."""
    if away_m is not None:
        return f"On lost link it passes too near to {what}"
    return f"On lost link it hits {what}" if clearance_m <= 0.0 else "On lost link it comes too low"


def low_words(clearance_m: float, what: str, away_m: float | None = None) -> str:
    """Return by how much a way is too low over something, or how far beside it passes."""
    if away_m is not None:
        return beside_words(away_m, clearance_m, what)
    if -TOUCHES_M < clearance_m <= 0.0:
        return f"comes down to {what}"
    missing = (
        f"is {over_ft(-clearance_m)} too low" if clearance_m <= 0.0 else f"clears by only {feet(clearance_m)}"
    )
    return f"{missing} over {what}"


def remedy_of(loss: LossWays, sample: int, *, own: bool) -> str:
    """Return what helps where the way from a sample comes too low; `own`: under what the pilot stated."""
    if loss.waiting_m[sample] <= 0.0:
        return "fly higher or sink more slowly there, keep clear of what lies ahead, or set a shorter delay"
    if loss.failsafe.action is LinkLossAction.RETURN_HIGHEST:
        return (
            "climb as high as it takes, on the spot or straight out from the launch point, before you fly "
            "elsewhere, or set a return height"
        ) + (", or a smaller clearance" if own else "")
    return (
        "raise the return height"
        if loss.failsafe.action in RETURNS
        else "fly higher there, or set another action"
    )


def under_ceiling(case: Case) -> Iterator[Finding]:
    """Yield a stop where a return comes above the ceiling."""
    flight, track, over_m = case.flight, case.track, case.loss_over_ceiling_m
    if flight is None or flight.loss is None or track is None or over_m is None:
        return
    with np.errstate(invalid="ignore"):
        asked = np.flatnonzero(over_m > TOLERANCE_M)
    if not len(asked):
        return
    k = int(asked[np.argmax(over_m[asked])])
    words = over_words(case, case.loss_over, k, float(over_m[k]), "on its way")
    yield Finding(
        rule="link-loss-above-ceiling",
        mark=Mark.STOP,
        basis=words.basis,
        title=words.title,
        message=f"Lost at {along(float(track.distance_m[k]))} the aircraft "
        f"{does(case.plan, flight.loss.failsafe.action)}{words.what}",
        citation=words.citation,
        remedy=words.remedy,
        from_m=float(track.distance_m[asked[0]]),
        to_m=float(track.distance_m[asked[-1]]),
        place=words.place or place_at(track, k),
        numbers={"over_m": float(over_m[k])},
    )


def wind_lets_it(case: Case) -> Iterator[Finding]:
    """Yield a stop where the wind forbids the return."""
    flight, track = case.flight, case.track
    if flight is None or track is None or flight.loss is None:
        return
    if (worst := worst_of(track, flight.loss.blown_away)) is not None:
        found = worst.finding(
            rule="link-loss-blown-away",
            mark=Mark.STOP,
            title="On lost link the wind keeps it from home",
            message="At the airspeed of its return the aircraft makes no way against the wind from "
            f"{along(worst.stretch.from_m)} on.",
            remedy="wait for less wind, or set a faster return",
        )
        yield by_what_is_said(found, flight.loss.failsafe, SPEED)


def gusts_let_it(case: Case) -> Iterator[Finding]:
    """Yield a stop where a return that the mean wind lets home makes no headway in its gusts."""
    flight, track = case.flight, case.track
    if flight is None or track is None or flight.loss is None or flight.loss.blown_away.any():
        return
    if not held_in_gusts(case, flight, track).all():
        # The path itself can't be held in them: one cause, one stop.
        return
    if (worst := worst_of(track, flight.loss.blown_in_gusts)) is not None:
        found = worst.finding(
            rule="link-loss-blown-in-gusts",
            mark=Mark.STOP if blown_while_it_lasts(flight.loss) else Mark.ACT,
            title="On lost link it makes no headway home in gusts",
            message=f"Its return flies {fine_speed(flight.loss.failsafe.speed_mps)} through the air; in "
            f"{wind_words(flight.wind.speed_mps, flight.wind.gust_mps)} ({flight.weather.wind_source}) "
            "and more of it higher up, in gusts all the way, it makes no headway from "
            f"{along(worst.stretch.from_m)} on.{passing_words(flight.loss)}",
            remedy="wait for less wind, or set a faster return",
            numbers={"gust_mps": flight.wind.gust_mps, "speed_mps": flight.loss.failsafe.speed_mps},
        )
        yield by_what_is_said(found, flight.loss.failsafe, SPEED)


def blown_while_it_lasts(loss: LossWays) -> bool:
    """Whether the most that blows for a minute leaves a return no headway: gusts all the way are a bound."""
    return loss.lasting_s is not None and bool(np.isinf(loss.lasting_s).any())


def passing_words(loss: LossWays) -> str:
    """Return that gusts let up, where a return makes headway in what blows for a minute."""
    if blown_while_it_lasts(loss):
        return ""
    return " Gusts let up: in what blows for a minute it comes on, only slower, and stands still in between."


def charge_lets_it(case: Case) -> Iterator[Finding]:
    """Yield a stop where the battery is empty before the return is over, an act where the reserve is."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (loss := flight.loss) is None or (charge := flight.charge) is None:
        return
    craft = charge.model, charge.pack
    left = left_after_return(loss, charge.energy, craft)
    surely = (left_after_return(as_said(loss), charge.energy, craft) <= 0.0).any()
    with np.errstate(invalid="ignore"):
        empty, low = left <= 0.0, (left < charge.reserve) & charge.turn_back.enough
    for rule, mark, holds, title in (
        ("link-loss-empty", Mark.STOP, empty, "On lost link the battery is empty before it is home"),
        ("link-loss-under-reserve", Mark.ACT, low & ~empty, "On lost link it lands on less than the reserve"),
    ):
        if (worst := worst_of(track, holds, -left)) is None:
            continue
        k = worst.sample
        found = worst.finding(
            rule=rule,
            mark=mark,
            title=title,
            message=f"Lost at {along(float(track.distance_m[k]))} its return takes "
            f"{clock(float(loss.duration_s[k]))}, climb and landing included, and leaves "
            f"{percent(float(left[k]))}; {percent(charge.reserve)} is the reserve. "
            f"{marked(by_itself_words(case))}".rstrip(),
            remedy="turn back by then, set a lower or a faster return, shorten the path, or take a larger "
            "battery",
            numbers={"left": float(left[k]), "reserve": charge.reserve},
        )
        yield found if surely else by_what_is_said(found, loss.failsafe, PARTS)
    if not empty.any():
        yield from _charge_in_gusts(case, charge, loss, told_low=bool(low.any()))


def _charge_in_gusts(case: Case, charge: Charge, loss: LossWays, *, told_low: bool) -> Iterator[Finding]:
    """Yield a stop where gusts all the way leave a return no charge, an act where they cost the reserve.

    `told_low`: that it lands on less than the reserve even in the mean wind is told already.
    """
    flight, track = case.flight, case.track
    assert flight is not None
    assert track is not None
    gusty, craft = in_gusts(loss), (charge.model, charge.pack)
    left = left_after_return(gusty, charge.energy, craft)
    lasting = left_after_return(in_lasting_wind(loss), charge.energy, craft)
    lasts = bool((lasting <= 0.0).any())
    if lasts:
        # Where gusts leave no headway at all that is told by itself: what blows for a minute counts.
        left = np.fmin(left, lasting)
    with np.errstate(invalid="ignore"):
        low = (left < charge.reserve) & charge.turn_back.enough
    if (worst := worst_of(track, low, -left)) is None:
        return
    k = worst.sample
    empty = float(left[k]) <= 0.0
    if told_low and not empty:
        return
    found = worst.finding(
        rule="link-loss-in-gusts",
        mark=Mark.STOP if lasts else Mark.ACT,
        title="In gusts all the way its return empties the battery"
        if empty
        else f"In gusts all the way its return lands with {percent(float(left[k]))}",
        message=f"Lost at {along(float(track.distance_m[k]))} its return "
        f"{way_takes(float(gusty.duration_s[k]))} in "
        f"{wind_words(flight.wind.speed_mps, flight.wind.gust_mps)} ({flight.weather.wind_source}), in gusts "
        f"all the way; {percent(charge.reserve)} is the reserve.",
        remedy="wait for less wind, set a faster return, or turn home earlier",
        numbers={"left": float(left[k]), "reserve": charge.reserve},
    )
    yield by_what_is_said(found, gusty.failsafe, PARTS)


def known(case: Case) -> Iterator[Finding]:
    """Yield an unknown where ground or height of the way is not known, an act where its ceiling is not."""
    flight, track = case.flight, case.track
    if flight is None or track is None or flight.loss is None:
        return
    unknown, way = flight.loss.unknown, flight.loss.unknown.any()
    if case.loss_over_ceiling_m is not None:
        unknown = unknown | ceiling_unknown(case.loss_over_ceiling_m, case.loss_asked)
    if (worst := worst_of(track, unknown)) is not None:
        what, remedy = way_unknown(case) if way else ("The ceiling over that way is not known.", _COVERED)
        yield worst.finding(
            rule="link-loss-not-known",
            mark=Mark.UNKNOWN if way else Mark.ACT,
            title="Way on lost link not known",
            message=what,
            remedy=remedy,
        )


_COVERED: Final = "add what covers the way"


def way_unknown(case: Case) -> tuple[str, str]:
    """Return why nobody knows the way after the loss, and what helps."""
    loss = stated_loss(case)
    by_height = loss.action in (LinkLossAction.RETURN_FIXED, LinkLossAction.RETURN_OFFSET)
    if by_height and loss.height is None:
        return (
            "The height of its return is not said: whether that clears ground and structures, stays under "
            "the ceiling and is flown on what the battery holds nobody knows."
        ), "state the return height, as it is set in the aircraft"
    return (
        "Ground on that way is not known, so nobody can say whether it clears it."
    ), "add terrain that covers the way, or let it return to where the ground is known"


def ceiling_unknown(over_m: NDArray[np.float64], asked: AskedOnReturn | None) -> NDArray[np.bool_]:
    """Return over which ways (n,) the ceiling is not known, but for what only the authority can open."""
    return np.asarray(np.isnan(over_m) & (True if asked is None else asked.column < 0))


def over_cover_of_no_height(case: Case) -> Iterator[Finding]:
    """Yield an act where a return leads over drawn trees or buildings of which no height is said."""
    flight, track = case.flight, case.track
    if flight is None or track is None or case.mapped is None or (loss := flight.loss) is None:
        return
    if loss.failsafe.action not in RETURNS:
        return
    structures = case.mapped.obstacles.structures
    frame = case.mapped.frame
    for name, shape in (*untold_cover(case.plan, frame), *untold_structures(structures, frame)):
        met = loss.meets(shape)
        if (worst := worst_of(track, met)) is None:
            continue
        yield worst.finding(
            rule="return-over-cover",
            mark=Mark.ACT,
            title=f"On lost link it returns over {name} of unknown height",
            message=f"{lost(worst.stretch)} its way home "
            f"leads over {name}, and nobody has said how high it is.",
            remedy="say how high, then it is held against the way home",
        )


def stated_loss(case: Case) -> LinkLoss:
    """Return what the plan says of the lost link, where a way was worked out from it."""
    assert case.plan.aircraft is not None
    assert case.plan.aircraft.link_loss is not None
    return case.plan.aircraft.link_loss


def over_what(case: Case, loss: LossWays, sample: int) -> str:
    """Return what the way from a sample comes lowest over."""
    if case.mapped is not None and int(loss.cover[sample]) >= 0:
        return cover_of(case.plan, case.mapped.frame, case.mapped.buildings).names[int(loss.cover[sample])]
    which = int(loss.obstacle[sample])
    if which < 0 or case.mapped is None:
        return "the ground"
    return told_structures(case.mapped.obstacles.structures)[which].label


RULES = (clears, under_ceiling, wind_lets_it, gusts_let_it, charge_lets_it, known, over_cover_of_no_height)
