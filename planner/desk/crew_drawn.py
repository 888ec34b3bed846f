"""The crew as the map draws it."""

from typing import Any

from planner.desk.words import ROLE_WORDS
from planner.plan.model import Plan


def shown_crew(plan: Plan) -> list[dict[str, Any]]:
    """Return the crew members that stand somewhere, for the map."""
    return [
        {
            "id": member.key,
            "label": member.name or ROLE_WORDS[member.role].lower(),
            "role": member.role.value,
            "lon": member.place.lon_deg,
            "lat": member.place.lat_deg,
        }
        for member in plan.crew
        if member.place is not None
    ]
