"""Rule on a return on lost link that climbs into cloud, where nobody sees it."""

from collections.abc import Iterator

import numpy as np

from planner.flight.failsafe import RETURNS
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import waives_sight
from planner.rules.flight_words import COMMON_PRACTICE, feet
from planner.rules.flown import flown_through
from planner.rules.loss_words import does
from planner.rules.lost_ways import losses_of
from planner.rules.words import over_ft


def returns_into_cloud(case: Case) -> Iterator[Finding]:
    """Yield an act where a return comes above the base of cloud that covers most of the sky.

    Where the flight itself does, that is told of it.
    """
    clouds = [one for one in case.weather.clouds if one.is_ceiling] if case.weather else []
    link_loss = case.plan.aircraft.link_loss if case.plan.aircraft else None
    if not clouds or link_loss is None or link_loss.action not in RETURNS or waives_sight(case):
        return
    base_m = min(one.base_amsl_m for one in clouds)
    if any(bool((flown.planned_amsl_m >= base_m).any()) for flown in flown_through(case)):
        return
    highest_m = max(
        (float(np.fmax.reduce(loss.highest_amsl_m, initial=-np.inf)) for loss, _ in losses_of(case)),
        default=-np.inf,
    )
    if highest_m < base_m:
        return
    yield Finding(
        rule="link-loss-into-cloud",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="On lost link it returns in cloud",
        message=f"On lost link the aircraft {does(case.plan, link_loss.action)}, up to "
        f"{over_ft(highest_m - base_m)} above the base of cloud at {feet(base_m)} above the sea: nobody sees "
        "it there, and it sees nothing.",
        citation=COMMON_PRACTICE,
        remedy="set a lower return height that still clears the ground, or wait until the cloud has lifted",
        numbers={"above_base_m": highest_m - base_m},
    )


RULES = (returns_into_cloud,)
