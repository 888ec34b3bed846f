"""Rules on where a flight in an area goes on to when its link is lost, and what of it is not judged."""

from collections.abc import Iterator
from typing import Final

import numpy as np

from planner.flight.cover import cover_of, untold_cover
from planner.flight.failsafe import RETURNS
from planner.flight.obstacles import told_structures, untold_structures
from planner.plan.aircraft import LinkLossAction
from planner.rules.area_links import area_failsafe
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE
from planner.rules.loss_words import winged
from planner.rules.stretches import place_at
from planner.rules.words import capitalised, over_ft

_MOST_NAMED: Final = 5


def flies_on(case: Case) -> Iterator[Finding]:
    """Yield a stop where even the area's top flies on into the ground, an act where something stands there.

    A field with a tree line is where people fly: they see it, and who is in reach is asked by itself.
    """
    flight, failsafe = case.area_flight, area_failsafe(case)
    if flight is None or failsafe is None or not flight.waits.reach_m > 0.0:
        return
    waits = flight.waits
    on = f"{over_ft(waits.reach_m)} in the {failsafe.delay_s:g} s before its action begins"
    if waits.clearance_m <= 0.0:
        what = _named(case, waits.over)
        yield Finding(
            rule="link-loss-too-low" if waits.over is None else "link-loss-flies-on",
            mark=Mark.STOP if waits.over is None else Mark.ACT,
            basis=Basis.SAFETY,
            title=f"On lost link it {'hits' if waits.over is None else 'may hit'} {what}",
            message=f"Lost at the top of the area it flies on as it flew, up to {on}, and {what} there "
            f"stands {over_ft(-waits.clearance_m)} higher than that.",
            citation=COMMON_PRACTICE,
            remedy="end the area farther before it, or set a shorter delay"
            + ("" if waits.over is None else "; or keep away from it"),
            numbers={"clearance_m": waits.clearance_m, "reach_m": waits.reach_m},
        )
    if waits.low_over:
        names = list(dict.fromkeys(_named(case, one) for one in waits.low_over))
        yield Finding(
            rule="link-loss-flies-on",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title="Low beside the area's edge it flies on into what stands there",
            message=f"Lost at the edge of the area it flies on, up to {on}. Lower than the area's top that "
            f"ends in {', '.join(names[:_MOST_NAMED])}"
            + (f" and {len(names) - _MOST_NAMED} more." if len(names) > _MOST_NAMED else "."),
            citation=COMMON_PRACTICE,
            remedy="fly low only so far away from it, or set a shorter delay",
            numbers={"reach_m": waits.reach_m},
        )


def may_fly_on(case: Case) -> Iterator[Finding]:
    """Yield an unknown where it flies on into something if it flies as fast as any may: none is given."""
    flight, failsafe = case.area_flight, area_failsafe(case)
    if flight is None or failsafe is None or not flight.most_waits.reach_m > 0.0:
        return
    waits = flight.most_waits
    on = f"up to {over_ft(waits.reach_m)} in the {failsafe.delay_s:g} s before its action begins"
    remedy = "give the aircraft's highest airspeed, end the area farther before it, or set a shorter delay"
    if not waits.clearance_m > 0.0:
        what = "ground that is not known" if np.isnan(waits.clearance_m) else _named(case, waits.over)
        yield Finding(
            rule="reach-not-known",
            mark=Mark.UNKNOWN if waits.over is None else Mark.ACT,
            basis=Basis.SAFETY,
            title=f"Whether it flies on into {what} on lost link is not known",
            message=f"No airspeed is given: at 87 kt, the speed limit, it flies on {on}. At the area's top "
            f"that may end in {what}.",
            citation=COMMON_PRACTICE,
            remedy=remedy,
            numbers={"reach_m": waits.reach_m},
        )
    elif waits.low_over:
        names = list(dict.fromkeys(_named(case, one) for one in waits.low_over))
        yield Finding(
            rule="link-loss-flies-on",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title="Low beside the area's edge it may fly on into what stands there",
            message=f"No airspeed is given: at 87 kt, the speed limit, it flies on {on}. Lower than the "
            f"area's top that may end in {', '.join(names[:_MOST_NAMED])}.",
            citation=COMMON_PRACTICE,
            remedy=remedy,
            numbers={"reach_m": waits.reach_m},
        )


def _named(case: Case, one: tuple[str, int] | None) -> str:
    if one is None or case.mapped is None:
        return "the ground"
    kind, which = one
    if kind == "cover":
        return cover_of(case.plan, case.mapped.frame, case.mapped.buildings).names[which]
    return told_structures(case.mapped.obstacles.structures)[which].label


def over_cover_of_no_height(case: Case) -> Iterator[Finding]:
    """Yield an act where a return from the area leads over what stands there with no height on record."""
    flight, mapped = case.area_flight, case.mapped
    if flight is None or mapped is None or case.flight is not None:
        return
    built = untold_structures(mapped.obstacles.structures, mapped.frame)
    for name, shape in (*untold_cover(case.plan, mapped.frame), *built):
        for places, loss in zip(flight.places, flight.losses, strict=True):
            if not (met := loss.meets(shape)).any():
                continue
            yield Finding(
                rule="return-over-cover",
                mark=Mark.ACT,
                basis=Basis.SAFETY,
                title=f"On lost link it returns over {name} of unknown height",
                message=f"From some of the area its way home leads over {name}, and nobody has said how high "
                "it is.",
                citation=COMMON_PRACTICE,
                remedy="say how high, then it is held against the way home",
                place=place_at(places, int(np.argmax(met))),
            )
            break


def not_judged(case: Case) -> Iterator[Finding]:
    """Yield an act that names what is given and not judged for an area, where its pilot can do something."""
    flight, failsafe = case.area_flight, area_failsafe(case)
    if flight is None or failsafe is None or case.flight is not None:
        return
    left, cures = [], []
    if np.isnan(flight.waits.reach_m):
        left.append(
            f"how far it flies on in the {failsafe.delay_s:g} s before its lost-link action begins, as no "
            "airspeed is given, and returns from there"
        )
        cures.append("give the highest airspeed")
    if failsafe.action in RETURNS and not flight.losses:
        left.append("the way on lost link, as its ground or the launch point is not known")
        cures.append("set the launch point on ground that is known")
    if failsafe.action is LinkLossAction.RETURN_HIGHEST:
        left.append("a return that begins before the area's top was flown")
        cures.append("climb to the area's top once before you fly low")
    if left:
        yield Finding(
            rule="area-not-judged",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title="Given, but not judged for a flying area",
            message=f"{capitalised('; '.join(left))}.",
            citation=COMMON_PRACTICE,
            remedy="; ".join(cures),
        )


def area_unjudged(case: Case) -> tuple[str, ...]:
    """Return what nobody can judge of a flight in an area, as lines of what is not checked."""
    flight = case.area_flight
    if flight is None or case.flight is not None:
        return ()
    lines = []
    if flight.waits.reach_m > 0.0:
        lines.append(
            "low flight in the area: it flies on until its lost-link action begins, into whatever rises "
            "there; what stands outside the area with a height on record is checked, nothing else"
        )
    if winged(case.plan) and flight.losses:
        lines.append(
            "low flight in the area: where its link is lost a wing turns and climbs in circles, into "
            "whatever rises there; its room is checked at the area's top"
        )
    if flight.charge is not None:
        lines.append(
            "time and charge in the area: nobody can reckon how it is flown; what is checked is the way "
            "home, so fly by a timer and watch the charge"
        )
    return tuple(lines)


RULES = (flies_on, may_fly_on, over_cover_of_no_height, not_judged)
