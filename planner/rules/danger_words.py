"""What coded weather that no small aircraft flies in is, in words (WMO code table 4678, from memory)."""

from collections.abc import Mapping
from typing import Final

_WORDS: Final[Mapping[str, str]] = {
    "TS": "thunderstorm",
    "SQ": "squall",
    "FC": "funnel cloud",
    "GR": "hail",
    "FZ": "freezing rain, drizzle or fog",
    "PL": "ice pellets",
    "DS": "duststorm",
    "SS": "sandstorm",
    "VA": "volcanic ash",
    "PO": "dust or sand whirls",
    "BL": "blowing snow, dust or sand",
}
_CLOUDS: Final[Mapping[str, str]] = {"TCU": "towering cumulus", "CB": "thundercloud, cumulonimbus"}
_VICINITY: Final = "VC"


def danger_words(group: str) -> str:
    """Return what a coded group warns of."""
    for ending, cloud in _CLOUDS.items():
        if group.endswith(ending):
            return cloud
    # Codes are pairs of letters, behind a sign or none.
    letters = group.lstrip("+-")
    pairs = [letters[at : at + 2] for at in range(0, len(letters), 2)]
    named = [_WORDS[pair] for pair in pairs if pair in _WORDS]
    near = " in the vicinity" if _VICINITY in pairs else ""
    return (" and ".join(named) or "weather no small aircraft flies in") + near
