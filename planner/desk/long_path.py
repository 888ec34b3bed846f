"""From how many points on a path is a long one: what is done with it takes tens of milliseconds. No Qt."""

from typing import Final

from planner.plan.model import Plan

LONG: Final = 500


def is_long(plan: Plan) -> bool:
    """Whether drawing and judging a plan's path would keep the desk, were they done at once."""
    return len(plan.path) > LONG
