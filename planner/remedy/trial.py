"""Another path tried in the scene of an assessment."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.ceiling.evaluate import Scene, profile_along
from planner.ceiling.profile import CeilingProfile
from planner.permission.needs import airspace_uses
from planner.permission.routes import TOLERANCE_M
from planner.plan.geometry import PathPoint
from planner.track.build import LegMemory, build_track
from planner.track.samples import sample_spots
from planner.track.track import Track

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


@attrs.frozen(eq=False)
class Trial:
    """A path with its track and ceiling, in the scene it was tried in; `memory` keeps legs for the next."""

    scene: Scene
    track: Track
    profile: CeilingProfile
    memory: LegMemory = attrs.field(factory=dict)

    @property
    def path(self) -> tuple[PathPoint, ...]:
        """The path tried."""
        return self.scene.plan.path

    def over_limit_m(self) -> Floats:
        """Return how far each sample lies above what the rules on height allow [m]."""
        return self.track.planned_amsl_m - self.profile.ground_limit_amsl_m

    def in_asked(self) -> Mask:
        """Return where it is in airspace of which only the authority can say whether it may be."""
        unasked_m = self.profile.unasked_amsl_m
        if unasked_m is None:
            return np.zeros(len(self.track), dtype=bool)
        with np.errstate(invalid="ignore"):
            above = self.track.planned_amsl_m > unasked_m + TOLERANCE_M
        return np.asarray(np.isnan(self.profile.ceiling_amsl_m) & above)

    def is_lawful(self) -> bool:
        """Whether no part is above the height limit, in closed airspace, or left open by airspace.

        A permission that is needed and can be asked for is no breach yet.
        """
        over = self.over_limit_m()
        if np.isnan(over).any() or self.profile.in_closed.any() or self.in_asked().any():
            return False
        return bool((over <= TOLERANCE_M).all())


def trial_of(assessment: Assessment) -> Trial | None:
    """Return the path as it was assessed, None without one."""
    if assessment.scene is None or assessment.track is None or assessment.profile is None:
        return None
    return Trial(assessment.scene, assessment.track, assessment.profile)


def try_path(before: Trial, path: Sequence[PathPoint]) -> Trial:
    """Return another path of two or more points in the same scene; launch and landing stay."""
    scene = before.scene
    plan = scene.plan.with_path(path)
    track = build_track(plan, scene.mapped, before.memory)
    if track is None:
        raise ValueError("a path to be tried needs two points")
    uses = airspace_uses(plan, scene.mapped, track, None, sample_spots(plan, scene.mapped))
    tried = Scene(plan, scene.mapped, uses)
    return Trial(tried, track, profile_along(track, tried), before.memory)
