"""Rule on airspace that an action on lost link comes down through, beneath the path or ahead of it."""

from collections.abc import Iterator

import attrs

from planner.permission.inquiry import inquired_of
from planner.rules.case import Case, MetOnLoss
from planner.rules.closed_words import what_it_is
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import worst_of
from planner.rules.inquiries import inquiries
from planner.rules.loss_over_words import leave_rule, leave_words
from planner.rules.loss_words import does, lost


def comes_down_through(case: Case) -> Iterator[Finding]:
    """Yield a stop for what is closed where it lands or falls, an unknown for what nobody can say is open.

    What the drawn flight enters without an answer is asked about anyway.
    """
    asked_anyway = {
        column for inquiry in inquiries(case) if not inquiry.answers for column in inquiry.columns
    }
    for met in case.loss_met:
        if met.column not in asked_anyway:
            yield from _finding(case, met)


def _finding(case: Case, met: MetOnLoss) -> Iterator[Finding]:
    flight, track, mapped = case.flight, case.track, case.mapped
    if flight is None or flight.loss is None or track is None or mapped is None:
        return
    if (worst := worst_of(track, met.samples)) is None:
        return
    volume = mapped.airspace[met.column]
    name = volume.name or "an airspace without a name"
    asks = inquired_of(volume, case.plan.purpose)
    found = worst.finding(
        rule="link-loss-comes-through",
        mark=Mark.UNKNOWN if met.unsettled else Mark.STOP,
        title=f"On lost link it comes down through {name}",
        message=f"{lost(worst.stretch)} the aircraft "
        f"{does(case.plan, flight.loss.failsafe.action)}, and on its way down it is in {name}."
        + what_it_is(case, [volume])
        + (" Only the authority can say whether it may." if asks else "")
        + (
            " No time is set, so whether it is closed then can't be said."
            if met.unsettled and not asks
            else ""
        ),
        remedy=f"set an action that brings it home another way, keep {name} from beneath the path, or record "
        f"{leave_words(case, volume)} with the height it holds to",
    )
    yield attrs.evolve(found, basis=Basis.LAW, citation=leave_rule(case, volume))


RULES = (comes_down_through,)
