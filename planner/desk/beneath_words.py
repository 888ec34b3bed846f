"""Words of who and what is beneath."""

from typing import Final

from planner.desk.saying import planned_words
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs

KIND_WORDS: Final = {
    BeneathKind.PEOPLE: "People who are not part of it",
    BeneathKind.SUBJECT: "Subject who is filmed",
    BeneathKind.CREW: "Crew",
    BeneathKind.GATHERING: "Gathering, packed",
    BeneathKind.SPECTATOR_LINE: "Line of spectators",
    BeneathKind.ROAD: "Road",
    BeneathKind.TRAIL: "Trail",
    BeneathKind.BUILDING: "Building",
    BeneathKind.TREES: "Trees",
    BeneathKind.WATER: "Water",
}
DRAWN_WORDS: Final = {DrawnAs.SPOT: "Spot", DrawnAs.LINE: "Line", DrawnAs.AREA: "Area"}
OF_PEOPLE: Final = frozenset(
    {BeneathKind.PEOPLE, BeneathKind.SUBJECT, BeneathKind.GATHERING, BeneathKind.SPECTATOR_LINE}
)
HIGH: Final = frozenset({BeneathKind.BUILDING, BeneathKind.TREES})


def item_words(item: BeneathItem) -> str:
    """Return what is said of an item, in one line."""
    corners = len(item.places)
    parts = [KIND_WORDS[item.kind].lower()]
    parts.append("one spot" if corners == 1 else f"{DRAWN_WORDS[item.drawn_as].lower()} of {corners} points")
    if item.height_m is not None:
        parts.append(f"{planned_words(item.height_m)} high")
    if item.kind is BeneathKind.ROAD:
        parts.append(_MOVING[item.moving_vehicles])
    if item.closed_site:
        parts.append("closed, everybody told")
    if item.under_cover:
        parts.append("under cover")
    return " · ".join(parts)


_MOVING: Final = {True: "vehicles move", False: "no vehicle moves", None: "vehicles may move"}
