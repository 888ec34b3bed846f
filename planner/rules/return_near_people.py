"""Rule on people whom a return on lost link passes nearer than it is high."""

from collections.abc import Iterator
from typing import Final

import attrs
import numpy as np
import shapely

from planner.flight.below import OF_PEOPLE, Thing
from planner.flight.way_home import LossWays
from planner.plan.aircraft import LinkLossAction
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE
from planner.rules.loss_ends import ended_on, things_about
from planner.rules.loss_words import does
from planner.rules.lost_ways import level_parts, losses_of, ways_home
from planner.rules.words import over_ft, room_ft

# So many of the ways home are looked at; between two of them others are as near.
_MOST_WAYS: Final = 120
_MOST_NAMED: Final = 3


@attrs.frozen(eq=False)
class _Passed:
    """Somebody, how far from the nearest way home [m], how high it is over their ground, and that place."""

    thing: Thing
    action: LinkLossAction
    apart_m: float
    height_m: float
    x_m: float
    y_m: float


def returns_past(case: Case) -> Iterator[Finding]:
    """Yield an act where people are nearer to a way home than it is high over them.

    Not whom it leads over, or ends on, which is told, nor to whom path or area come as near themselves.
    """
    if case.mapped is None:
        return
    people = [one for one in things_about(case) if one.below in OF_PEOPLE and not ended_on(case, one)]
    found = [near for loss, _ in losses_of(case) for one in people if (near := _passed(case, loss, one))]
    if not found:
        return
    nearest = min(found, key=lambda one: one.apart_m)
    names = list(dict.fromkeys(one.thing.called for one in sorted(found, key=lambda one: one.apart_m)))
    yield Finding(
        rule="return-near-people",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="On lost link it returns past people",
        message=f"On lost link the aircraft {does(case.plan, nearest.action)}; its way home passes "
        f"{', '.join(names[:_MOST_NAMED])}: {room_ft(nearest.apart_m)} beside, and up to "
        f"{over_ft(nearest.height_m)} over the ground there. Nobody steers it.",
        citation=COMMON_PRACTICE,
        remedy="keep them as far away as it is high, move the return point, or set a lower return",
        place=case.mapped.frame.xy_to_place(nearest.x_m, nearest.y_m),
        numbers={"apart_m": nearest.apart_m, "height_m": nearest.height_m},
    )


def _passed(case: Case, loss: LossWays, thing: Thing) -> _Passed | None:
    assert case.mapped is not None
    chosen = ways_home(loss, _MOST_WAYS, ~loss.blown_away)
    if loss.meets(thing.shape).any():
        return None
    apart = np.asarray(shapely.distance(level_parts(loss, chosen), thing.shape))
    x_m, y_m = shapely.get_coordinates(shapely.point_on_surface(thing.shape))[0]
    ground_m = (
        case.mapped.ground.ground(np.array([x_m]), np.array([y_m]))[0] if case.mapped.ground else np.nan
    )
    height_m = loss.corner_amsl_m[chosen, 3] - ground_m
    with np.errstate(invalid="ignore"):
        near = apart < height_m
    if not near.any() or _as_near_as_flown(case, thing):
        return None
    k = int(np.argmin(np.where(near, apart, np.inf)))
    return _Passed(thing, loss.failsafe.action, float(apart[k]), float(height_m[k]), float(x_m), float(y_m))


def _as_near_as_flown(case: Case, thing: Thing) -> bool:
    """Whether path or area come nearer to somebody than they are high: that is judged there."""
    if case.area is not None and case.area_samples is not None:
        samples = case.area_samples
        top_m = float(np.fmax.reduce(samples.planned_amsl_m - samples.ground_amsl_m, initial=0.0))
        if float(shapely.distance(samples.footprint, thing.shape)) < top_m:
            return True
    if case.track is None:
        return False
    apart = shapely.distance(shapely.points(case.track.x_m, case.track.y_m), thing.shape)
    with np.errstate(invalid="ignore"):
        return bool((apart < case.track.planned_agl_m).any())


RULES = (returns_past,)
