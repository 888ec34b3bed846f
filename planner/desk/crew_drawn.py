"""The crew as the map draws it."""

from typing import Any

from planner.plan.model import Plan
from planner.plan.role_words import name_or_role


def shown_crew(plan: Plan) -> list[dict[str, Any]]:
    """Return the crew members that stand somewhere, for the map."""
    return [
        {
            "id": member.key,
            "label": name_or_role(member, plan.purpose),
            "role": member.role.value,
            "lon": member.place.lon_deg,
            "lat": member.place.lat_deg,
        }
        for member in plan.crew
        if member.place is not None
    ]
