"""Groups that stand where a wind should and give none that can be reckoned with.

The code wants a wind in every observation and in every period of a forecast
that stands for itself (WMO-No. 306, FM 15 and FM 51; from memory): where it is
missing there and some group could not be read, that group may be the wind.
"""

import re
from collections.abc import Iterable
from typing import Final

from planner.world.weather.report import Conditions

# A unit of wind behind something, or digits of a wind whose unit is lost.
_LIKE_WIND: Final = re.compile(
    r"(?!WS)\S*(?:\d|VRB|P)\S*(?:KT|KTS|MPS|KMH)|KTS?|MPS|VRB.*|\d{5}(?:G\d{2,3})?"
)
_NONE_MEASURED: Final = re.compile(r"[/\d]*//[/\dG]*(?:KT|MPS|KMH)")


def lost_winds(conditions: Conditions, *, must_tell: bool) -> tuple[str, ...]:
    """Return groups that may be a wind and could not be read or believed, as coded.

    `must_tell` is whether the code wants a wind there.
    """
    like = _like_wind(conditions.unread) + _like_wind(doubt.group for doubt in conditions.doubts)
    measured = not any(_NONE_MEASURED.fullmatch(group) for group in conditions.passed_over)
    if must_tell and not like and conditions.wind is None and measured:
        return conditions.unread
    return tuple(dict.fromkeys(like))


def winds_named(groups: Iterable[str]) -> tuple[str, ...]:
    """Return the groups that state a wind, readable or not, each once."""
    return tuple(dict.fromkeys(_like_wind(groups)))


def _like_wind(groups: Iterable[str]) -> list[str]:
    return [group for group in groups if _LIKE_WIND.fullmatch(group)]
