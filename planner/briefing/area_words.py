"""How high a flying area reaches, in the words of its sheet."""

import math

from planner.assessment import Assessment
from planner.geo.heights import AboveGround, AboveLaunch
from planner.wording import limit_ft


def top_words(assessment: Assessment) -> str:
    """Return the area's top in feet, rounded down as it is not to be passed; '' where it has none."""
    area = assessment.plan.area
    if area is None or area.top is None:
        return ""
    top, samples = area.top, assessment.case.area_samples if assessment.case else None
    if isinstance(top, AboveGround):
        return f"{limit_ft(top.m)} above ground"
    if isinstance(top, AboveLaunch):
        return f"{limit_ft(top.m)} above the launch point"
    # Nobody sees a height above the sea.
    over_launch_m = math.nan if samples is None else top.m - samples.launch_ground_amsl_m
    beside = f" ({limit_ft(over_launch_m)} above the launch point)" if over_launch_m > 0.0 else ""
    return f"{limit_ft(top.m)} above sea level{beside}"


def nowhere_above(assessment: Assessment) -> str:
    """Return in a sentence what an aircraft in the area never goes above: its top, or the limit if lower."""
    top, limits = top_words(assessment), assessment.area
    if limits is not None and limits.lowest_limit_agl_m is not None and (limits.over_by_m or 0.0) > 0.0:
        limit = f"{limit_ft(limits.lowest_limit_agl_m)} above ground"
        return f"Its top is above what is allowed: nowhere above {limit}."
    return f"Nowhere above {top}." if top else ""
