"""Grid references as text: MGRS or USNG ('4Q FJ 12345 67890') and UTM ('5 north 566543 4184567'); no Qt."""

import re
from typing import Final

from planner.errors import PlanError
from planner.geo.place import Place
from planner.geo.utm_grid import BANDS, from_square, from_utm, is_northern

MGRS_EXAMPLE: Final = "write it like 4Q FJ 12345 67890"
UTM_EXAMPLE: Final = "write it like 4 north 612345 2367890"

Pair = tuple[float, float]

_FEWEST_FIGURES: Final = 4
"""With two the middle of the square may be 7 km from what is meant."""

_MGRS = re.compile(r"(?:(?:MGRS|USNG)[:\s]*)?(\d{1,2})\s*([A-Z])\s*([A-Z]{2})\s*(\d[\d\s]*|)")
_POLAR = re.compile(r"(?:(?:MGRS|USNG)[:\s]*)?[ABYZ]\s*[A-Z]{2}\s*\d[\d\s]*")
_ZONE = r"(?:UTM[:,\s]*)?(?:ZONE[:\s]*)?(\d{1,2})\s*(NORTH|SOUTH|[A-Z])"
_METRES = r"(?:([EN])(?:ASTING|ORTHING)?[:=\s]*)?(\d{5,8}(?:\.\d*)?)\s*(?:M\s*)?(?:([EN])\b)?"
_UTM_ZONE_FIRST = re.compile(rf"{_ZONE}[:,;\s]+{_METRES}[,;\s]+{_METRES}")
_UTM_ZONE_LAST = re.compile(rf"(?:UTM[:\s]*)?{_METRES}[,;\s]+{_METRES}[,;\s]+{_ZONE}")


def mgrs(text: str) -> Pair | None:
    """Read '38S MB 4488': the middle of the square it names, in WGS 84."""
    if _POLAR.fullmatch(text):
        raise PlanError("the grid about the poles is not read here", remedy="give latitude and longitude")
    if (found := _MGRS.fullmatch(text)) is None:
        return None
    zone, band, square, figures = found.groups()
    if band not in BANDS:
        raise PlanError(f"no band of the grid has the letter {band}", remedy=MGRS_EXAMPLE)
    digits = _even_figures(figures)
    if len(digits) < _FEWEST_FIGURES:
        side_km = 10 if digits else 100
        raise PlanError(f"the grid reference names a square of {side_km} km only", remedy=MGRS_EXAMPLE)
    return _pair(from_square(int(zone), band, square, digits))


def utm(text: str) -> Pair | None:
    """Read '5 north 566543 4184567', zone before or after, easting first unless letters say otherwise."""
    if (first := _UTM_ZONE_FIRST.fullmatch(text)) is not None:
        zone, half, *metres = first.groups()
    elif (last := _UTM_ZONE_LAST.fullmatch(text)) is not None:
        *metres, zone, half = last.groups()
    else:
        return None
    easting_m, northing_m = _metres(metres)
    if half in ("NORTH", "SOUTH"):
        return _pair(from_utm(int(zone), half == "NORTH", easting_m, northing_m))
    if half == "N":
        # Hemisphere or band, it is the same place.
        return _pair(from_utm(int(zone), True, easting_m, northing_m))
    if half == "S":
        return _pair(_by_s(int(zone), easting_m, northing_m))
    if half not in BANDS:
        raise PlanError(f"no band of the grid has the letter {half}", remedy=UTM_EXAMPLE)
    return _pair(from_utm(int(zone), is_northern(half), easting_m, northing_m, half))


def _even_figures(figures: str) -> str:
    """Return the figures run together, as many east as north."""
    runs = figures.split()
    digits = "".join(runs)
    if (
        len(digits) > 10
        or len(digits) % 2
        or (len(runs) == 2 and len(runs[0]) != len(runs[1]))
        or len(runs) > 2
    ):
        raise PlanError(
            "the grid reference has not as many figures east as north, five each at the most",
            remedy=MGRS_EXAMPLE,
        )
    return digits


def _metres(groups: list[str | None]) -> tuple[float, float]:
    """Return easting and northing of two figures, each with a letter before, after, or none."""
    before, one, after, other_before, other, other_after = groups
    letters = [before or after or "", other_before or other_after or ""]
    doubled = (before and after) or (other_before and other_after)
    if doubled or (letters[0] and letters[0] == letters[1]):
        raise PlanError("easting and northing can't be told apart", remedy=UTM_EXAMPLE)
    figures = (float(one or "nan"), float(other or "nan"))
    swapped = letters[0] == "N" or letters[1] == "E"
    # An easting has never seven figures: whoever wrote them the other way round is understood.
    swapped |= not any(letters) and figures[0] >= 1_000_000.0 > figures[1]
    return (figures[1], figures[0]) if swapped else figures


def _by_s(zone: int, easting_m: float, northing_m: float) -> Place:
    """Return the place where S can only be one thing: the southern half, or the band from 32 to 40 north."""
    readings = []
    for northern, band in ((True, "S"), (False, "")):
        try:
            readings.append(from_utm(zone, northern, easting_m, northing_m, band))
        except PlanError as error:
            trouble = error
    if not readings:
        raise trouble
    if len(readings) == 2:
        north, south = (f"{place.lat_deg:.4f} {place.lon_deg:.4f}" for place in readings)
        raise PlanError(
            f"{zone}S may be a band of the north or the southern half",
            remedy=f"write {zone} north for {north}, {zone} south for {south}",
        )
    return readings[0]


def _pair(place: Place) -> Pair:
    return place.lat_deg, place.lon_deg
