"""What the crew sees as a picture to lay over the map."""

import numpy as np

from planner.drawing.band_picture import BandPicture, Codes, banded_png
from planner.drawing.mercator_lattice import Bounds
from planner.drawing.seen_bands import (
    A_LITTLE_HIGHER,
    BANDS,
    EDGES_FT,
    SEEN,
    TOO_FAR,
    UNKNOWN,
    UNTRIED,
)
from planner.sight.seen_map import MapGrade, MapPlaces, SeenMap
from planner.units import FOOT_M

_OF_GRADE = {
    MapGrade.TOO_FAR: TOO_FAR,
    MapGrade.UNKNOWN: UNKNOWN,
    MapGrade.UNTRIED: UNTRIED,
    MapGrade.SEEN: SEEN,
}


def seen_picture(seen: SeenMap, places: MapPlaces, bounds: Bounds) -> BandPicture:
    """Return what is seen of a picture's pixels, their rows in Web Mercator, as that picture."""
    return BandPicture(banded_png(seen_codes(seen, places), BANDS), *bounds)


def seen_codes(seen: SeenMap, places: MapPlaces) -> Codes:
    """Return the band of each place."""
    higher_ft = (seen.lowest_agl_m - places.above_m) / FOOT_M
    codes = A_LITTLE_HIGHER + np.searchsorted(EDGES_FT, higher_ft, side="left")
    for grade, code in _OF_GRADE.items():
        codes[seen.grade == grade] = code
    return codes.astype(np.uint8)
