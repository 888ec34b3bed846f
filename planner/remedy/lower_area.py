"""Lower the top of a flying area until all of it is under the height limit."""

import attrs

from planner.assessment import Assessment
from planner.ceiling.evaluate import over_area
from planner.ceiling.profile import AreaCeiling
from planner.geo.heights import Height
from planner.permission.routes import TOLERANCE_M
from planner.plan.edits import SetAreaTop
from planner.remedy.heights import rounded_down
from planner.remedy.lower import LEAST_MARGIN_M
from planner.remedy.remedy import AreaSummary, NoRemedy, Remedy, Together
from planner.saying import Kind, Quantity
from planner.track.samples import sample_area


def lower_area(assessment: Assessment, margin_m: float) -> Remedy | NoRemedy:
    """Return the edit that lowers the area's top to the height limit less a margin; its kind stays."""
    area, found, scene = assessment.plan.area, assessment.area, assessment.scene
    if area is None or area.top is None or found is None or scene is None:
        return NoRemedy("the plan has no flying area with a top to lower")
    if found.over_height_limit_m is None or found.unknown_share > 0:
        return NoRemedy("the height of the ground is not known everywhere in the flying area")
    margin_m = max(margin_m, LEAST_MARGIN_M)
    if found.over_height_limit_m <= -margin_m + TOLERANCE_M:
        return NoRemedy(
            f"the area's top is {Quantity(Kind.LIMIT, margin_m)} or more under the height limit already"
        )
    lower_m = rounded_down(area.top.m - found.over_height_limit_m - margin_m)
    top = attrs.evolve(area.top, m=lower_m)
    plan = attrs.evolve(assessment.plan, area=attrs.evolve(area, top=top))
    samples = sample_area(plan, scene.mapped)
    after = over_area(samples, attrs.evolve(scene, plan=plan)) if samples else None
    if after is None or after.over_height_limit_m is None:
        return NoRemedy("the flying area is too large to judge")
    if samples is not None and (samples.planned_amsl_m <= samples.ground_amsl_m).all():
        return NoRemedy("the limit leaves no room above the ground: let the top follow the ground instead")
    title = f"Lower top of area to {Quantity(Kind.LIMIT, margin_m)} under the height limit"
    return Remedy(
        edit=Together(title, (SetAreaTop(top),)),
        title=title,
        before=_summary(area.top, found, found.over_height_limit_m),
        after=_summary(top, after, after.over_height_limit_m),
    )


def _summary(top: Height, found: AreaCeiling, over_limit_m: float) -> AreaSummary:
    return AreaSummary(top, -over_limit_m, None if found.over_by_m is None else -found.over_by_m)
