"""The edit that copies a site into a plan."""

import attrs

from planner.plan.edits.base import OneStep
from planner.plan.model import Plan
from planner.plan.site import at_site


@attrs.frozen
class TakeSite(OneStep):
    """Take launch, landing, where the crew may stand and the notes of the place from a site."""

    site: Plan

    @property
    def title(self) -> str:
        """What a list of undo steps shows."""
        return f"Take site {self.site.name}"

    def apply(self, plan: Plan) -> Plan:
        """Return the plan at that site."""
        return at_site(plan, self.site)
