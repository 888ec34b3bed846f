"""A remedy: one edit with what it changes, or the reason why there is none."""

import attrs
import numpy as np

from planner.geo.heights import Height
from planner.plan.edits import Edit, ReplacePath
from planner.plan.edits.base import OneStep
from planner.plan.model import Plan
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
    least_room_m : least room under the height limit [m]; negative is above it.
    in_closed, in_unpermitted : whether it enters closed airspace, or airspace
        that needs a permission not on record.

    Heights are None where any of the ground is unknown.
    """

    points: int
    length_m: float
    highest_agl_m: float | None
    lowest_agl_m: float | None
    least_room_m: float | None
    in_closed: bool
    in_unpermitted: bool


@attrs.frozen
class AreaSummary:
    """A flying area in a few figures, for before and after.

    Parameters
    ----------
    top : its top.
    least_room_m : least room between top and height limit [m]; negative is above it.
    """

    top: Height
    least_room_m: float


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
    room_m = profile.ground_limit_amsl_m - track.planned_amsl_m
    airborne = (track.distance_m > track.distance_m[0]) & (track.distance_m < track.distance_m[-1])
    between = agl_m[airborne] if airborne.any() else agl_m
    return Summary(
        points=len(track.point_sample),
        length_m=track.length_m,
        highest_agl_m=_finite(float(np.max(agl_m))),
        lowest_agl_m=_finite(float(np.min(between))),
        least_room_m=_finite(float(np.min(room_m))),
        in_closed=bool(profile.in_closed.any()),
        in_unpermitted=bool(profile.in_unpermitted.any()),
    )


def _finite(value: float) -> float | None:
    return value if np.isfinite(value) else None
