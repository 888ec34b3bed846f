"""A remedy: one edit with what it changes, or the reason why there is none."""

import attrs
import numpy as np

from planner.geo.heights import Height
from planner.plan.edits import Edit, ReplacePath
from planner.plan.edits.base import OneStep
from planner.plan.model import Plan
from planner.remedy.compare_change import Side
from planner.remedy.room import Room, room_along
from planner.remedy.trial import Trial
from planner.saying import told


@attrs.frozen
class Together(OneStep):
    """Several edits as one undo step."""

    label: str = attrs.field(converter=told)
    edits: tuple[Edit, ...]

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return self.label

    def apply(self, plan: Plan) -> Plan:
        """Return the plan with all of them applied, first to last."""
        for edit in self.edits:
            plan = edit.apply(plan)
        return plan


@attrs.frozen
class Summary:
    """A path in a few figures, for before and after.

    Parameters
    ----------
    points : number of path points.
    length_m : 3D length [m].
    highest_agl_m : greatest height above the ground straight below [m].
    lowest_agl_m : least height above ground between first and last point [m].
    room : least room under the ceiling, what the permissions on record allow with it.
    room_if_asked_m : the same under what could be asked for, where that is more [m];
        negative is above it, None where it is nowhere more or not known.
    height_room_m : the same under the height limit, airspace left aside [m].
    in_closed, in_unpermitted : whether it enters closed airspace, or airspace
        that needs a permission not on record.

    Heights are None where any of the ground is unknown.
    """

    points: int
    length_m: float
    highest_agl_m: float | None
    lowest_agl_m: float | None
    room: Room
    room_if_asked_m: float | None
    height_room_m: float | None
    in_closed: bool
    in_unpermitted: bool

    @property
    def least_room_m(self) -> float | None:
        """Least room under the ceiling [m], negative is above it; None unless known all along."""
        return None if self.room.least_m is None or self.room.unknown_m > 0.0 else _finite(self.room.least_m)


@attrs.frozen
class AreaSummary:
    """A flying area in a few figures, for before and after.

    Parameters
    ----------
    top : its top.
    least_room_m : least room between top and height limit, airspace left aside [m]; negative is above it.
    ceiling_room_m : least room between top and ceiling [m], None unless known all over.
    """

    top: Height
    least_room_m: float
    ceiling_room_m: float | None


@attrs.frozen
class Remedy:
    """One undo step that would help, with the path, or the area, before and after."""

    edit: Edit
    title: str = attrs.field(converter=told)
    before: Summary | AreaSummary
    after: Summary | AreaSummary


@attrs.frozen
class NoRemedy:
    """Why this remedy can't help, in one sentence without a full stop."""

    reason: str = attrs.field(converter=told)


def path_remedy(title: str, before: Trial, after: Trial) -> Remedy:
    """Return the remedy that puts one tried path in place of another."""
    # The converter of `path` takes any iterable; mypy can't see its type variable's bound.
    edit = Together(title, (ReplacePath(after.path),))
    return Remedy(edit, title, summary_of(before), summary_of(after))


def summary_of(trial: Trial) -> Summary:
    """Return a tried path in figures."""
    track, profile = trial.track, trial.profile
    agl_m = track.planned_agl_m
    airborne = (track.distance_m > track.distance_m[0]) & (track.distance_m < track.distance_m[-1])
    between = agl_m[airborne] if airborne.any() else agl_m
    return Summary(
        points=len(track.point_sample),
        length_m=track.length_m,
        highest_agl_m=_finite(float(np.max(agl_m))),
        lowest_agl_m=_finite(float(np.min(between))),
        room=room_along(track, profile.ceiling_amsl_m, Side.BEFORE),
        room_if_asked_m=_room_if_asked_m(trial),
        height_room_m=_finite(float(np.min(profile.ground_limit_amsl_m - track.planned_amsl_m))),
        in_closed=bool(profile.in_closed.any()),
        in_unpermitted=bool(profile.in_unpermitted.any()),
    )


def _room_if_asked_m(trial: Trial) -> float | None:
    more = trial.profile.can_ask()
    if not more.any():
        return None
    return _finite(float(np.min((trial.profile.requestable_amsl_m - trial.track.planned_amsl_m)[more])))


def _finite(value: float) -> float | None:
    return value if np.isfinite(value) else None
