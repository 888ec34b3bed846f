"""The answer to a plan of which nothing is known: the check of it failed, or has not begun."""

from planner.assessment import Assessment
from planner.desk.words import CHECK_FAILED
from planner.plan.model import Plan
from planner.rules.verdict import Verdict
from planner.world.world import World


def unanswered(plan: Plan, world: World) -> Assessment:
    """Return an answer that is not `live`: drawn from it, nothing is of an earlier plan, nor clear."""
    return Assessment(
        plan=plan,
        world=world,
        verdict=Verdict.UNDETERMINED,
        reason=CHECK_FAILED,
        findings=(),
        permissions=(),
        data=(),
        whole=False,
        live=False,
    )
