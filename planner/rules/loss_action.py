"""Rules on the action on lost link as it is set: what is not said of it, and what can't be meant."""

from collections.abc import Iterator
from typing import Final

import attrs

from planner.flight.failsafe import RETURNS, Failsafe
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.rules.area_links import area_failsafe
from planner.rules.case import Case
from planner.rules.declared_over import by_category
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_loss import stated_loss
from planner.rules.flight_words import COMMON_PRACTICE, feet, rate
from planner.rules.landing_words import RATE, adrift_anywhere, lands_adrift, wind_given
from planner.rules.loss_words import does, winged
from planner.rules.stretches import place_at
from planner.rules.wing_glides import Glided, glides_onto
from planner.rules.words import along, room_ft
from planner.saying import Kind, Quantity, marked

_NEEDS_A_PLACE: Final = RETURNS | {LinkLossAction.HOLD}
"""Actions of which an aircraft has to know where it is: as a rule by satellites and a compass."""

_ON_A_WING: Final = {
    LinkLossAction.DROP: "With its motor off a wing falls only if its surfaces are set so, or it glides.",
    LinkLossAction.LAND: "A wing can't land straight down: it glides, in circles or not.",
    LinkLossAction.HOLD: "A wing can't hold its place: it circles about it until its battery is empty, then "
    "glides.",
}
_AS_FAR: Final = "ten times as far away as it is high"


def action(case: Case) -> Iterator[Finding]:
    """Yield what the aircraft does by itself; an act where it needs something, or something is not said."""
    flight = case.flight
    failsafe = flight.loss.failsafe if flight and flight.loss else area_failsafe(case)
    if failsafe is None:
        return
    stated = stated_loss(case)
    needed, untold = _needs(stated)
    blown = lands_adrift(failsafe) and wind_given(case)
    assumed = _assumed(failsafe, RATE if blown else ())
    message = f"After {failsafe.delay_s:g} s without control the aircraft {does(case.plan, failsafe.action)}."
    if needed:
        message += f" For that it needs {' and '.join(needed)}; without it, it does something else."
    if untold:
        message += f" Whether it needs {' or '.join(untold)} for that is not said; as a rule it does."
    if adrift := adrift_anywhere(case):
        message += f" {marked(adrift)}"
    held_by_nothing = failsafe.action is LinkLossAction.HOLD and failsafe.by_satellites is False
    if held_by_nothing:
        message += (
            " It is said to need no satellite fix: without one it drifts with the wind until it is empty."
        )
    if assumed:
        message += f" Not said, so only assumed: {', '.join(assumed)}."
    remedies = []
    if needed or untold:
        remedies.append(f"take off only with {' and '.join(needed + untold)}, and try it once near by")
    if assumed or untold or (blown and failsafe.by_satellites is None):
        remedies.append("look up in its settings what is not said, and enter it")
    if held_by_nothing:
        remedies.append("set an action that lands it or brings it home, or say that it needs a fix to hold")
    open_ = held_by_nothing and wind_given(case)
    yield Finding(
        rule="link-loss-action",
        mark=Mark.UNKNOWN if open_ else Mark.ACT if remedies else Mark.NOTE,
        basis=Basis.SAFETY,
        title="What it does on lost link",
        message=message,
        citation=COMMON_PRACTICE,
        remedy="; ".join(remedies),
    )


def on_a_wing(case: Case) -> Iterator[Finding]:
    """Yield an act for what a wing can't do as it is asked: hover, or come down straight.

    Open where people are as near as it may glide or circle.
    """
    flight = case.flight
    failsafe = flight.loss.failsafe if flight and flight.loss else area_failsafe(case)
    if failsafe is None or not winged(case.plan):
        return
    if failsafe.action in RETURNS:
        yield _circles_at_home(case)
        return
    found = Finding(
        rule="link-loss-on-a-wing",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="A wing does not come down where it loses its link",
        message=f"{_ON_A_WING[failsafe.action]} Where that ends nobody knows: {_AS_FAR} is no long glide. "
        "Whom it meets is asked straight beneath and where it would fall; so far only people who are drawn, "
        "not where people may be.",
        citation=COMMON_PRACTICE,
        remedy="set a return and try it once, or keep everybody away as far as it glides",
    )
    met = glides_onto(case, failsafe)
    yield by_category(case, met[0].thing, _glides_onto(case, failsafe, found, met)) if met else found


def _glides_onto(case: Case, failsafe: Failsafe, found: Finding, met: list[Glided]) -> Finding:
    nearest, more = met[0], len(met) - 1
    others = f" and {more} more" if more else ""
    beside = f"{'the nearest ' if more else ''}{room_ft(nearest.away_m)} from "
    begins = "the edge of the flying area"
    if nearest.sample is not None:
        assert case.track is not None
        at_m = float(case.track.distance_m[nearest.sample])
        begins = f"where that begins, lost at {along(at_m)}"
        found = attrs.evolve(found, from_m=at_m, to_m=at_m, place=place_at(case.track, nearest.sample))
    return attrs.evolve(
        found,
        mark=Mark.UNKNOWN,
        title="On lost link a wing may come down on people",
        message=f"{_ON_A_WING[failsafe.action]} Where that ends nobody knows: {_AS_FAR} is no long glide, "
        f"and it may circle first. So it may come down on {nearest.thing.called}{others}, {beside}{begins}.",
        remedy="set a return and try it once, fly lower or farther away, or let them stand farther away",
        numbers={"away_m": nearest.away_m},
    )


def _circles_at_home(case: Case) -> Finding:
    where = "its return point" if case.plan.return_point is not None else "where it was armed"
    return Finding(
        rule="link-loss-on-a-wing",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="A wing that has come home by itself circles, and does not land on the spot",
        message=f"It climbs in circles, flies home and circles over {where} until somebody takes over or its "
        "battery is empty; then it glides down about there. Its return is reckoned with that climb, and as "
        "if it circled down at once; where it comes down is not.",
        citation=COMMON_PRACTICE,
        remedy="try its return once, keep all about that place free of people, and take over in time",
    )


def _needs(stated: LinkLoss) -> tuple[list[str], list[str]]:
    """Return what the action is said to need, and of what nobody has said whether it does."""
    told = ((stated.needs_fix, "a satellite fix"), (stated.needs_compass, "a compass"))
    untold = [what for says, what in told if says is None and stated.action in _NEEDS_A_PLACE]
    return [what for says, what in told if says], untold


def _assumed(failsafe: Failsafe, besides: tuple[str, ...]) -> list[str]:
    """Return the figures that were taken for what is not said, each as it was taken.

    `besides`: which decide besides the delay where what does not return comes down.
    """
    told = {
        "delay": f"a delay of {failsafe.delay_s:g} s",
        "speed": f"an airspeed of {Quantity(Kind.SPEED, failsafe.speed_mps)}",
        "rate of climb": f"a climb of {rate(failsafe.climb_mps)}",
        "rate of descent": f"a descent of {rate(failsafe.descent_mps)}",
    }
    used = tuple(told) if failsafe.action in RETURNS else ("delay", *besides)
    return [told[name] for name in failsafe.assumed if name in used]


def height_that_returns(case: Case) -> Iterator[Finding]:
    """Yield an unknown for a return height that lies no higher than where the aircraft starts."""
    along_path = case.flight is not None and case.flight.loss is not None
    starts = case.track if along_path else case.area_samples
    if starts is None or not (along_path or area_failsafe(case)):
        return
    stated = stated_loss(case)
    match stated.action, stated.height:
        case LinkLossAction.RETURN_FIXED, AboveLaunch(m=m):
            under_m, of_what = -m, "the launch point"
        case LinkLossAction.RETURN_FIXED, AboveGround(m=m):
            under_m, of_what = -m, "the ground"
        case LinkLossAction.RETURN_FIXED, AboveSeaLevel(m=m):
            under_m, of_what = starts.launch_ground_amsl_m - m, "the launch point"
        case LinkLossAction.RETURN_OFFSET, height if height is not None and height.m < 0:
            under_m, of_what = -height.m, "where it is when the link goes"
        case _:
            return
    if not under_m >= 0:
        return
    where = f"{feet(under_m)} below {of_what}" if under_m > 0 else f"no higher than {of_what}"
    yield Finding(
        rule="return-height-below-launch",
        mark=Mark.UNKNOWN,
        basis=Basis.SAFETY,
        title="The return height lies below the launch point"
        if stated.action is LinkLossAction.RETURN_FIXED
        else "The offset of the return leads down",
        message=f"It is set to {where}. It is reckoned as staying as high as it is; whether yours sinks "
        "to the height that is set, and so into the ground, is not known.",
        citation=COMMON_PRACTICE,
        remedy="enter the height it really climbs to, and set it so in the aircraft",
        numbers={"under_m": under_m},
    )


RULES = (height_that_returns, action, on_a_wing)
