"""One remedy worked out for the desk, with the path before and after; runs on a worker."""

from collections.abc import Callable, Mapping
from types import MappingProxyType

import attrs
import numpy as np
import shapely

from planner.assessment import Assessment
from planner.desk.fixing.kinds import FixKind
from planner.drawing.path_pattern import Stretch, stretches
from planner.drawing.patterns import Pattern
from planner.geo.place import Place
from planner.remedy.bend import bend_path
from planner.remedy.for_the_service import lowered_for_lost_link, with_room_for_lost_link
from planner.remedy.judged import Judged, best_judged
from planner.remedy.lower import lower_path
from planner.remedy.lower_area import lower_area
from planner.remedy.lowest_change import lowest_changes
from planner.remedy.remedy import NoRemedy, Remedy
from planner.remedy.sink import SinkLimits, sink_path
from planner.remedy.trial import Trial, trial_of, try_path

_SAME_WAY_M = 1.0
_LOWERING = (FixKind.LEAST, FixKind.LOWER, FixKind.SINK)


@attrs.frozen
class Room:
    """The room that the pilot wants left [m], and how steeply a sink line may sink (1: 45 degrees)."""

    margin_m: float
    above_ground_m: float
    aside_m: float
    steepest: float


@attrs.frozen(eq=False)
class Attempt:
    """A remedy, or why there is none; the path before and after where there is one to draw.

    `judged` is None while what it starts from is not judged whole itself. `parts_before` and `parts_after`
    are the two paths in stretches, in the patterns of map and profile: of all that is found along them.
    """

    kind: FixKind
    of: Assessment
    outcome: Remedy | NoRemedy
    before: Trial | None = None
    after: Trial | None = None
    judged: Judged | None = None
    parts_before: tuple[Stretch, ...] = ()
    parts_after: tuple[Stretch, ...] = ()

    def new_way(self) -> tuple[Place, ...] | None:
        """Return the places of the path as it would be; None where it changes in height only."""
        if self.before is None or self.after is None:
            return None
        old, new = (np.column_stack([each.track.x_m, each.track.y_m]) for each in (self.before, self.after))
        if shapely.hausdorff_distance(shapely.LineString(old), shapely.LineString(new)) < _SAME_WAY_M:
            return None
        return tuple(point.place for point in self.after.path)


def attempt(answer: Assessment, kind: FixKind, room: Room) -> Attempt:
    """Return what one remedy comes to."""
    found, judged = _TRY[kind](answer, room), None
    before, parts = trial_of(answer), _stretches(answer)
    if isinstance(found, NoRemedy):
        judged = _for_lost_link(answer, kind, room)
        if judged is None:
            return Attempt(kind, answer, found, before, parts_before=parts)
        found = judged.remedy
    remedies = found if isinstance(found, tuple) else (found,)
    if judged is None and answer.whole:
        judged = _judged(answer, kind, room, remedies)
    outcome = judged.remedy if judged else remedies[0]
    if before is None:
        return Attempt(kind, answer, outcome, judged=judged)
    plan = outcome.edit.apply(answer.plan)
    after = try_path(before, plan.path) if plan.path != answer.plan.path else None
    then = stretches(judged.then) if judged else _unknown(after)
    return Attempt(kind, answer, outcome, before, after, judged, parts, then)


def _for_lost_link(answer: Assessment, kind: FixKind, room: Room) -> Judged | None:
    """Return the path lowered for what it climbs on lost link, where that alone keeps it from the service."""
    if not answer.whole or kind not in _LOWERING:
        return None
    how = FixKind.LOWER if kind is FixKind.LEAST else kind
    return lowered_for_lost_link(answer, _with_more(answer, how, room))


def _judged(answer: Assessment, kind: FixKind, room: Room, remedies: tuple[Remedy, ...]) -> Judged:
    judged = best_judged(answer, remedies)
    return with_room_for_lost_link(judged, _with_more(answer, kind, room)) if kind in _LOWERING else judged


def _with_more(
    answer: Assessment, kind: FixKind, room: Room
) -> Callable[[float], tuple[Remedy, ...] | NoRemedy]:
    def with_more(more_m: float) -> tuple[Remedy, ...] | NoRemedy:
        found = _TRY[kind](answer, attrs.evolve(room, margin_m=room.margin_m + more_m))
        return (found,) if isinstance(found, Remedy) else found

    return with_more


def _stretches(answer: Assessment) -> tuple[Stretch, ...]:
    """Return the path in stretches; while a part of the answer is awaited nothing on it is clear."""
    found = stretches(answer)
    if answer.whole:
        return found
    dots = Pattern.UNKNOWN
    return tuple(
        attrs.evolve(part, pattern=dots) if part.pattern is Pattern.CLEAR else part for part in found
    )


def _unknown(trial: Trial | None) -> tuple[Stretch, ...]:
    return () if trial is None else (Stretch(0.0, trial.track.length_m, Pattern.UNKNOWN),)


def can_be_tried(answer: Assessment) -> tuple[FixKind, ...]:
    """Return what makes sense for what is drawn."""
    area = answer.plan.area
    path = tuple(kind for kind in FixKind if kind is not FixKind.AREA) if len(answer.plan.path) > 1 else ()
    return (*path, *((FixKind.AREA,) if area is not None and area.top is not None else ()))


def _sink_limits(room: Room) -> SinkLimits:
    return SinkLimits(margin_m=room.margin_m, clearance_m=room.above_ground_m, steepest=room.steepest)


_Found = Remedy | tuple[Remedy, ...] | NoRemedy
_TRY: Mapping[FixKind, Callable[[Assessment, Room], _Found]] = MappingProxyType(
    {
        FixKind.LEAST: lambda answer, room: lowest_changes(answer, _sink_limits(room), room.aside_m),
        FixKind.LOWER: lambda answer, room: lower_path(answer, room.margin_m),
        FixKind.SINK: lambda answer, room: sink_path(answer, _sink_limits(room)),
        FixKind.BEND: lambda answer, room: bend_path(answer, room.aside_m),
        FixKind.AREA: lambda answer, room: lower_area(answer, room.margin_m),
    }
)
