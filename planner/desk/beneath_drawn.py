"""Who and what is beneath, as the map draws it."""

from functools import lru_cache
from typing import Any

from planner.desk.beneath_words import KIND_WORDS
from planner.plan.beneath import BeneathItem
from planner.plan.model import Plan
from planner.plan.standing import StandArea


def drawn_beneath(plan: Plan) -> list[dict[str, Any]]:
    """Return the items for MapCanvas.set_plan, and the areas in which the crew may stand."""
    return [*_drawn(plan.beneath), *_standing(plan.stand_areas)]


@lru_cache(maxsize=8)
def _drawn(items: tuple[BeneathItem, ...]) -> tuple[dict[str, Any], ...]:
    return tuple(
        {
            "kind": item.kind.value,
            "as": item.drawn_as.value,
            "coords": [[place.lon_deg, place.lat_deg] for place in item.places],
            "label": item.name or KIND_WORDS[item.kind].lower(),
        }
        for item in items
    )


@lru_cache(maxsize=8)
def _standing(areas: tuple[StandArea, ...]) -> tuple[dict[str, Any], ...]:
    return tuple(
        {
            "kind": "stand-area",
            "as": "area",
            "coords": [[place.lon_deg, place.lat_deg] for place in area.ring],
            "label": f"crew may stand: {area.name}" if area.name else "crew may stand",
        }
        for area in areas
    )
