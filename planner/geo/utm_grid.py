"""Places by the metres of the UTM grid and the letters of MGRS (USNG), in WGS 84.

Zones of 6 and bands of 8 degrees with the exceptions of Norway and Svalbard, squares
of 100 km named by letters that repeat: NGA.STND.0037 (universal grids) and
FGDC-STD-011-2001 (United States National Grid). The projection itself is pyproj's.
"""

import math
from functools import lru_cache
from typing import Final

import pyproj

from planner.errors import PlanError
from planner.geo.place import Place

BANDS: Final = "CDEFGHJKLMNPQRSTUVWX"
_COLUMNS: Final = ("STUVWXYZ", "ABCDEFGH", "JKLMNPQR")
"""Letters of the columns by the zone's remainder of 3."""
_ROWS: Final = "ABCDEFGHJKLMNPQRSTUV"
_SQUARE_M: Final = 100_000.0
_ROUND_M: Final = len(_ROWS) * _SQUARE_M
"""After so many metres the letters of the rows begin again."""
_SOUTH_OF_EQUATOR_M: Final = 10_000_000.0
_SPECIAL: Final[dict[str, dict[int, tuple[float, float] | None]]] = {
    "V": {31: (0.0, 3.0), 32: (3.0, 12.0)},
    "X": {
        31: (0.0, 9.0),
        32: None,
        33: (9.0, 21.0),
        34: None,
        35: (21.0, 33.0),
        36: None,
        37: (33.0, 42.0),
    },
}
_OVERLAP_M: Final = 40_000.0
"""So far a zone's metres are used beyond its edge; farther out it is a slip."""
_DEG_M: Final = 111_320.0
_SOUTHMOST_DEG, _NORTHMOST_DEG = -80.5, 84.5
"""The grid's ends, half a degree beyond which it is used as the polar grids begin."""


def is_northern(band: str) -> bool:
    """Say whether a band's letter lies north of the equator."""
    return band >= "N"


def fits_band(place: Place, band: str, slack_deg: float = 0.0) -> bool:
    """Say whether a place lies in the degrees of latitude of a band."""
    south, north = _band_deg(band)
    return south - slack_deg <= place.lat_deg <= north + slack_deg


def from_utm(zone: int, northern: bool, easting_m: float, northing_m: float, band: str = "") -> Place:
    """Return the place of UTM coordinates [m]; a band's letter is held against where it lies.

    Raises
    ------
    PlanError
        If there is no such zone, or the metres lie outside it.
    """
    edges = _zone_deg(zone, band)
    if not (100_000.0 <= easting_m < 1_000_000.0 and 0.0 <= northing_m <= _SOUTH_OF_EQUATOR_M):
        raise PlanError(
            "the metres are outside the UTM grid", remedy="easting has six figures, northing up to seven"
        )
    place = _unprojected(zone, northern, easting_m, northing_m)
    if not _SOUTHMOST_DEG <= place.lat_deg <= _NORTHMOST_DEG:
        raise PlanError("the northing lies outside the UTM grid", remedy="give latitude and longitude")
    if band and not fits_band(place, band):
        raise PlanError(
            f"that northing does not lie in the band {band}", remedy="check zone, band and metres"
        )
    _hold_in_zone(place, zone, edges, 0.0)
    return place


def from_square(zone: int, band: str, square: str, figures: str) -> Place:
    """Return the middle of the square that an MGRS reference names: 38, 'S', 'MB', '4488' is one of 1 km.

    Raises
    ------
    PlanError
        If there is no such square.
    """
    edges = _zone_deg(zone, band)
    digits = len(figures) // 2
    size_m = _SQUARE_M / 10**digits
    columns = _COLUMNS[zone % 3]
    column, letter = columns.find(square[0]), _ROWS.find(square[1])
    if column < 0 or letter < 0:
        raise PlanError(f"there is no square {square} in zone {zone}", remedy="check the letters")
    easting_m = (column + 1) * _SQUARE_M + (int(figures[:digits]) + 0.5) * size_m
    row = (letter - (0 if zone % 2 else _ROWS.index("F"))) % len(_ROWS)
    in_round_m = row * _SQUARE_M + (int(figures[digits:]) + 0.5) * size_m
    slack_deg = size_m / _DEG_M
    for turn in range(math.ceil(_SOUTH_OF_EQUATOR_M / _ROUND_M)):
        place = _unprojected(zone, is_northern(band), easting_m, in_round_m + turn * _ROUND_M)
        if fits_band(place, band, slack_deg):
            _hold_in_zone(place, zone, edges, size_m)
            return place
    raise PlanError(f"the square {square} is not in {zone}{band}", remedy="check the letters")


def _band_deg(band: str) -> tuple[float, float]:
    south = -80.0 + 8.0 * BANDS.index(band)
    return south, 84.0 if band == "X" else south + 8.0


def _zone_deg(zone: int, band: str) -> tuple[float, float]:
    """Return the western and eastern edge of a zone [deg], as wide as it is in a band."""
    if not 1 <= zone <= 60:
        raise PlanError(f"there is no zone {zone}", remedy="zones go from 1 to 60")
    west = -180.0 + 6.0 * (zone - 1)
    edges = _SPECIAL.get(band, {}).get(zone, (west, west + 6.0))
    if edges is None:
        raise PlanError(f"there is no zone {zone} in the band {band}", remedy="check zone and band")
    return edges


def _hold_in_zone(place: Place, zone: int, edges: tuple[float, float], size_m: float) -> None:
    beyond_deg = max(edges[0] - place.lon_deg, place.lon_deg - edges[1], 0.0)
    # Beyond the date line the nearer way round counts.
    beyond_deg = min(beyond_deg, 360.0 - beyond_deg)
    if beyond_deg * _DEG_M * math.cos(math.radians(place.lat_deg)) > _OVERLAP_M + size_m:
        raise PlanError(f"the easting lies far outside zone {zone}", remedy="check zone and easting")


def _unprojected(zone: int, northern: bool, easting_m: float, northing_m: float) -> Place:
    lon_deg, lat_deg = _from_metres(zone, northern).transform(easting_m, northing_m)
    if not (math.isfinite(lon_deg) and math.isfinite(lat_deg)):
        raise PlanError("the metres are outside the UTM grid", remedy="check zone and metres")
    return Place((lon_deg + 180.0) % 360.0 - 180.0, lat_deg)


@lru_cache(maxsize=8)
def _from_metres(zone: int, northern: bool) -> pyproj.Transformer:
    south = "" if northern else "+south "
    return pyproj.Transformer.from_pipeline(
        f"+proj=pipeline +step +inv +proj=utm +zone={zone} {south}+ellps=WGS84 "
        "+step +proj=unitconvert +xy_in=rad +xy_out=deg"
    )
