"""From an assessment to the part of its flying area that one observer covers, and to an edit."""

import numpy as np
import shapely

from planner.assessment import Assessment
from planner.errors import PlanError
from planner.plan.crew import Role
from planner.plan.edits.area import ReplaceArea
from planner.plan.model import Plan
from planner.remedy.stand_cover import Coverage, CoverQuestion
from planner.sight.along import Viewer
from planner.sight.answer import SightAnswer
from planner.sight.over_area import LOW_M


def cover_question(answer: Assessment) -> CoverQuestion:
    """Return the question which part of the area the first observer who stands somewhere covers.

    Raises
    ------
    PlanError
        If something is missing without which it can't be answered.
    """
    case, sight = answer.case, answer.sight
    samples = case.area_samples if case else None
    if case is None or case.mapped is None or samples is None or answer.plan.area is None:
        raise PlanError("there is no flying area to shrink", remedy="draw an area first")
    if sight is None or sight.surfaces is None:
        raise PlanError("the ground is not known", remedy="add terrain first")
    viewer = _observer(sight)
    tops_m = samples.planned_amsl_m - samples.ground_amsl_m
    if np.isnan(tops_m).all():
        raise PlanError("the area has no top", remedy="give it a top height first")
    corners = [case.mapped.frame.place_to_xy(place) for place in answer.plan.area.ring]
    return CoverQuestion(
        surfaces=sight.surfaces,
        eye=viewer.eye,
        reach=viewer.reach,
        area=shapely.Polygon(corners),
        low_agl_m=LOW_M,
        top_agl_m=float(np.nanmax(tops_m)),
    )


def _observer(sight: SightAnswer) -> Viewer:
    for member, viewer in zip(sight.people, sight.viewers, strict=True):
        if member.role is Role.OBSERVER:
            if viewer.reach.detection_m is None or viewer.reach.attitude_m is None:
                raise PlanError("nobody knows how far it is seen", remedy="set aircraft and visibility first")
            return viewer
    raise PlanError("no visual observer stands anywhere", remedy="place one on the map first")


def shrunk(plan: Plan, coverage: Coverage) -> ReplaceArea:
    """Return the edit that shrinks the area to the covered part; its top stays.

    Raises
    ------
    PlanError
        If nothing of it is covered.
    """
    if not coverage.ring:
        raise PlanError(
            "nothing of the area is covered from there", remedy="let the observer stand elsewhere"
        )
    return ReplaceArea(coverage.ring, plan.area.top if plan.area else None)
