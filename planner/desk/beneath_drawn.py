"""Who and what is beneath, as the map draws it."""

from functools import lru_cache
from typing import Any

from planner.desk.beneath_words import KIND_WORDS
from planner.plan.beneath import BeneathItem
from planner.plan.model import Plan


def drawn_beneath(plan: Plan) -> list[dict[str, Any]]:
    """Return the items for MapCanvas.set_plan."""
    return list(_drawn(plan.beneath))


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
