"""Where a file is complete, as whoever imports it states: a box, polygons, or the whole jurisdiction."""

from pathlib import Path

import shapely
from shapely.geometry.base import BaseGeometry

from planner.errors import ChartError, UsageError
from planner.geo.antimeridian import crosses
from planner.world.readers.table import read_table, table_names

JURISDICTION = "jurisdiction"
_SAY = "give west,south,east,north in degrees, a file with polygons, or the word 'jurisdiction'"


def outline_of(text: str, jurisdiction: BaseGeometry | None = None) -> BaseGeometry:
    """Return the outline (lon/lat) that a text states.

    Parameters
    ----------
    text : str
        ``west,south,east,north`` [deg], the name of a file with polygons, or
        ``jurisdiction``.
    jurisdiction : geometry, optional
        The area of the chart set's jurisdiction.

    Raises
    ------
    UsageError
        If the text is none of these.
    ChartError
        If the file can't be read.
    """
    if text == JURISDICTION:
        if jurisdiction is None:
            raise UsageError(
                "the chart set's jurisdiction has no area",
                remedy="state a box or a file",
            )
        return jurisdiction
    numbers = _numbers(text)
    if numbers is not None:
        return _box(text, numbers)
    path = Path(text)
    if not path.is_file():
        raise UsageError(f"--covers {text!r} is no box and no file", remedy=_SAY)
    return _polygons(path)


def _numbers(text: str) -> list[float] | None:
    try:
        return [float(part) for part in text.split(",")]
    except ValueError:
        return None


def _box(text: str, numbers: list[float]) -> BaseGeometry:
    if len(numbers) == 4:
        west, south, east, north = numbers
        if -180.0 <= west < east <= 180.0 and -90.0 <= south < north <= 90.0:
            return shapely.box(west, south, east, north)
    raise UsageError(
        f"{text!r} is no box of west,south,east,north in degrees",
        remedy="write it like -90.4,34.9,-81.6,36.7; across the antimeridian give a file with two polygons",
    )


def _polygons(path: Path) -> BaseGeometry:
    shapes = [
        row.shape
        for name in table_names(path)
        for row in read_table(path, name).rows
        if row.shape is not None and row.shape.geom_type in {"Polygon", "MultiPolygon"}
    ]
    if not shapes:
        raise ChartError("holds no polygon that bounds a coverage", where=str(path), remedy=_SAY)
    if any(crosses(shape) for shape in shapes):
        raise ChartError(
            "bounds a coverage across the 180th meridian",
            where=str(path),
            remedy="cut the polygon in two there, as RFC 7946 asks",
        )
    whole = shapely.union_all(shapes)
    return whole if whole.is_valid else whole.buffer(0)
