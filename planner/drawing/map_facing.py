"""The observer's map: turned the way they face, its letters large enough to read at arm's length."""

import attrs

from planner.assessment import Assessment
from planner.drawing.map_sheet import MapSheet
from planner.drawing.map_sketch import Manner, sketch_on

ENLARGED = 4.0 / 3.0
"""By so much the template enlarges the picture: its smallest letters, 9 pt, are then printed at 12."""


def facing_map(assessment: Assessment, width: float, height: float, up_deg: float, manner: Manner) -> str:
    """Return the map as SVG for a place of `width` by `height` points on paper; '' without a place."""
    places = assessment.plan.places()
    if not places:
        return ""
    sheet = MapSheet.around(places, width / ENLARGED, height / ENLARGED, up_deg)
    return sketch_on(sheet, assessment, attrs.evolve(manner, numbers=False))
