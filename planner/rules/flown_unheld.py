"""What is flown without being drawn, as places: ways to and from the path, and home on lost link."""

from collections.abc import Iterator
from typing import Final

import shapely

from planner.flight.flown_places import FlownPlaces
from planner.flight.way_home import LossWays
from planner.geo.frame import LocalFrame
from planner.rules.case import Case
from planner.rules.lost_ways import level_parts, losses_of, ways_home
from planner.rules.undrawn import ways_not_drawn

# So many of the ways home are looked at; between two of them others are as near, and as high.
_MOST_WAYS: Final = 60
_SPACING_M: Final = 100.0


def flown_unheld(case: Case) -> Iterator[tuple[str, FlownPlaces]]:
    """Yield what to call it, and its places without an order."""
    if case.mapped is None:
        return
    frame = case.mapped.frame
    for way in ways_not_drawn(case, case.mapped):
        shares = way.shares
        x_m, y_m = way.places(shares).T
        outline = shapely.Point(x_m[0], y_m[0]) if way.is_column else way.line
        yield "A way that is not drawn", FlownPlaces(frame, outline, x_m, y_m, way.height_amsl_m(shares))
    for loss, _ in losses_of(case):
        if (home := _home(frame, loss)) is not None:
            yield "The way home on lost link", home


def _home(frame: LocalFrame, loss: LossWays) -> FlownPlaces | None:
    chosen = ways_home(loss, _MOST_WAYS)
    if not len(chosen):
        return None
    _, x_m, y_m, amsl_m = loss.points(_SPACING_M, chosen)
    return FlownPlaces(frame, shapely.MultiLineString(list(level_parts(loss, chosen))), x_m, y_m, amsl_m)
