"""Points as text: a position and, if given, a height, one point a line."""

import re

import attrs

from planner.desk.positions import geojson_places, parse_place, place_text
from planner.desk.quantities import HEIGHT, LENGTHS, parse
from planner.errors import PlanError
from planner.geo.heights import Height, HeightReference, height_of, reference_of
from planner.plan.geometry import PathPoint
from planner.units import FOOT_M

_REFERENCES: dict[str, HeightReference] = {
    "agl": "above-ground",
    "ground": "above-ground",
    "launch": "above-launch",
    "msl": "above-sea-level",
    "amsl": "above-sea-level",
    "sea": "above-sea-level",
}
_Heights = dict[tuple[str, HeightReference], Height]
"""Heights that have been read already: most lines of a text say the same one."""

_MOST_TEXT = 200_000
_WRITTEN = {"above-ground": "AGL", "above-launch": "launch", "above-sea-level": "MSL"}
_REFERENCE = re.compile(
    r"(.*?[\d\w'])\s*\b(?:above\s+)?(agl|ground|launch|amsl|msl|sea)\.?\s*", re.IGNORECASE
)
_HEIGHT_LAST = re.compile(
    r"(?P<place>.+?)[\s,;]+(?P<height>[+-]?\d[\d,.]*\s*"
    r"(?:(?:ft|feet|m|metres|meters)\b(?:\s*(?:above\s+)?(?:agl|ground|launch|amsl|msl|sea))?"
    r"|(?:above\s+)?(?:agl|ground|launch|amsl|msl|sea)\b))\s*",
    re.IGNORECASE,
)


def parse_height(text: str, reference: HeightReference, what: str) -> Height:
    """Return a typed height: '350ft', '107 m', '1200 msl'; feet and the reference given, where none is typed.

    Raises
    ------
    PlanError
        If it can't be read.
    """
    found = _REFERENCE.fullmatch(text)
    if found is not None:
        text, reference = found.group(1), _REFERENCES[found.group(2).casefold()]
    return height_of(reference, parse(text, LENGTHS, HEIGHT, what))


def points_text(points: tuple[PathPoint, ...]) -> str:
    """Return points as `points_of` reads them, to a tenth of a metre on the map and a hundredth of a foot."""
    lines = (
        f"{place_text(point.place)} {point.height.m / FOOT_M:.2f} ft {_WRITTEN[reference_of(point.height)]}"
        for point in points
    )
    return "".join(f"{line}\n" for line in lines)


def points_of(text: str, like: PathPoint) -> tuple[PathPoint, ...]:
    """Return the points in a text; a line without a height takes that of the line before it, or of `like`.

    Of GeoJSON all positions are taken, with the height of `like`.

    Raises
    ------
    PlanError
        If a line is no position, or there is none.
    """
    if len(text) > _MOST_TEXT:
        raise PlanError("the text is too long to be points", remedy="copy the points only")
    model = attrs.evolve(like, name="", figure=None)
    found = [model.put(place, like.height) for place in geojson_places(text)]
    if found:
        return tuple(found)
    heights: _Heights = {}
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        model = found[-1] if found else model
        try:
            found.append(_point_of(line, model, heights))
        except PlanError as error:
            raise PlanError(error.what, where=f"line {number}", remedy=error.remedy) from error
    if not found:
        raise PlanError(
            "there is no position in the text", remedy="copy lines like 37.8121 -150.2440 120 ft AGL"
        )
    return tuple(found)


def _point_of(line: str, model: PathPoint, heights: _Heights) -> PathPoint:
    parts = _HEIGHT_LAST.fullmatch(line)
    if parts is None:
        return model.put(parse_place(line), model.height)
    words, reference = parts.group("height"), reference_of(model.height)
    if (words, reference) not in heights:
        heights[words, reference] = parse_height(words, reference, "its height")
    return model.put(parse_place(parts.group("place")), heights[words, reference])
