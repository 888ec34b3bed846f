"""A position in a web link: latitude before longitude, or each by its name; nothing is fetched. No Qt."""

import re
from typing import Final
from urllib.parse import unquote

from planner.errors import PlanError

Pair = tuple[float, float]

_LINK = re.compile(r"(?:https?://|www\.)\S+", re.IGNORECASE)
_NUMBER = r"[+-]?\d{1,3}\.\d{2,}"
_END = r"(?![\d.])"
_START = r"(?<![\d.+-])"
_PAIRS: Final = (
    re.compile(rf"{_START}({_NUMBER})(?:\s*,[\s+]*|[\s+]+)({_NUMBER}){_END}"),
    # Zoom, latitude, longitude: common practice in the addresses of web maps.
    re.compile(rf"(?:^|[#/=])\d{{1,2}}(?:\.\d+)?/({_NUMBER})/({_NUMBER}){_END}"),
)
_FIGURE = re.compile(r"(?<![\d.])\d{1,3}\.\d{4,}(?![\d.])")
_NAMED_LAT = re.compile(rf"[?&;#/]lat(?:itude)?=({_NUMBER}){_END}", re.IGNORECASE)
_ROUGH = r"[+-]?\d{1,3}(?:\.\d+)?"
_FURTHER = re.compile(rf"(?<=[=/@])({_ROUGH})(?:\s*,[\s+]*|[\s+]+)({_ROUGH})(?=[&;,/#!]|$)")
"""However few its decimals: beside a position it may be the one that was meant."""
_NAMED_LON = re.compile(rf"[?&;#/](?:lon|lng|long|longitude)=({_NUMBER}){_END}", re.IGNORECASE)


def is_link(text: str) -> bool:
    """Say whether a text is one web link."""
    return _LINK.fullmatch(text) is not None


def position_in_link(link: str) -> Pair:
    """Return latitude and longitude that a link holds.

    Raises
    ------
    PlanError
        If it holds none, or several that differ.
    """
    text = unquote(link)
    pairs = {(float(lat), float(lon)) for form in _PAIRS for lat, lon in form.findall(text)}
    lats, lons = _NAMED_LAT.findall(text), _NAMED_LON.findall(text)
    if len(lats) == len(lons) == 1:
        pairs.add((float(lats[0]), float(lons[0])))
    # Further figures may be another place, a pin beside the middle of the view say.
    told = {abs(figure) for pair in pairs for figure in pair}
    others = {float(figure) for figure in _FIGURE.findall(text)} - told
    if len(pairs) > 1 or (pairs and (others or _elsewhere(text, pairs))):
        raise PlanError("the link holds more than one position", remedy="copy the coordinates alone")
    if not pairs:
        raise PlanError(
            "the link holds no coordinates, and no link is opened here", remedy="copy the coordinates alone"
        )
    return pairs.pop()


def _elsewhere(text: str, pairs: set[Pair]) -> bool:
    """Say whether a pair of figures that could be a latitude and a longitude stands beside these."""
    further = ((float(lat), float(lon)) for lat, lon in _FURTHER.findall(text))
    return any(abs(lat) <= 90.0 and abs(lon) <= 180.0 and (lat, lon) not in pairs for lat, lon in further)
