"""More room for what climbs on on lost link, so that a path comes under what the automated service gives."""

from collections.abc import Callable

import attrs

from planner.assessment import Assessment
from planner.permission.needs import AirspaceUse
from planner.plan.aircraft import LinkLossAction
from planner.remedy.judged import Judged, best_judged
from planner.remedy.lost_link_alone import above_on_lost_link_alone
from planner.remedy.lower import LEAST_MARGIN_M
from planner.remedy.remedy import NoRemedy, Remedy, Together
from planner.saying import Kind, Quantity

Remedies = tuple[Remedy, ...] | NoRemedy

_ROUNDS = 2
"""So often more room is tried at the most: a lower path may climb more steeply."""


def with_room_for_lost_link(judged: Judged, with_more_room: Callable[[float], Remedies]) -> Judged:
    """Return the remedy that leaves room for what the aircraft climbs on lost link, where that decides.

    Drawn, the path would come under what the automated service gives, and what it flies on for the delay
    would not. `with_more_room` gives the remedies with so much more room [m]. Where that does not help, the
    remedy stays as it is.
    """
    more_m, over_m = 0.0, above_service_m(judged.then)
    for _ in range(_ROUNDS):
        if over_m is None:
            break
        more_m += over_m + LEAST_MARGIN_M
        found = with_more_room(more_m)
        if isinstance(found, NoRemedy):
            break
        tried = best_judged(judged.before, found)
        over_m = above_service_m(tried.then)
        if over_m is None and _as_good(judged, tried):
            return attrs.evolve(tried, remedy=_told(tried.remedy, more_m))
    return judged


def lowered_for_lost_link(before: Assessment, with_more_room: Callable[[float], Remedies]) -> Judged | None:
    """Return the remedy for a path that keeps under what the automated service gives, and climbs on above it.

    Where nothing else asks for a change. None where no lower path helps, or where that is no trouble.
    """
    lost = _only_on_lost_link(before)
    more_m = max((use.need.rise_m for use in lost), default=0.0) + LEAST_MARGIN_M
    for _ in range(_ROUNDS if lost else 0):
        found = with_more_room(more_m)
        if isinstance(found, NoRemedy):
            return None
        tried = best_judged(before, found)
        over_m = above_service_m(tried.then)
        if over_m is None:
            told = attrs.evolve(tried, remedy=_told(tried.remedy, more_m))
            return None if tried.new_then else told
        more_m += over_m + LEAST_MARGIN_M
    return None


def above_service_m(answer: Assessment) -> float | None:
    """Return how far only what is flown on lost link takes it above the automated service's value [m].

    None where it does not. A return at a fixed height is none the lower for a lower path.
    """
    over_m = [
        (use.need.asked_agl_m or 0.0) - (use.cells.ceiling_agl_m or 0.0) for use in _only_on_lost_link(answer)
    ]
    return max(over_m, default=None)


def _only_on_lost_link(answer: Assessment) -> tuple[AirspaceUse, ...]:
    loss = answer.plan.aircraft.link_loss if answer.plan.aircraft else None
    if loss is None or loss.action is LinkLossAction.RETURN_FIXED or answer.scene is None:
        return ()
    return tuple(use for use in answer.scene.uses if above_on_lost_link_alone(use))


def _as_good(one: Judged, other: Judged) -> bool:
    return not other.new_then and len(other.open_then) <= len(one.open_then)


def _told(remedy: Remedy, more_m: float) -> Remedy:
    title = f"{remedy.title}, {Quantity(Kind.PLANNED, more_m)} of it for lost link"
    edit = remedy.edit
    return attrs.evolve(
        remedy, title=title, edit=attrs.evolve(edit, label=title) if isinstance(edit, Together) else edit
    )
