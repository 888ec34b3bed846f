"""What fog, mist and dust in a report say of visibility where it tells no figure, or one that can't be.

WMO-No. 306, code table 4678 and Technical Regulations (from memory): fog (FG) is visibility below 1,000 m,
mist (BR) 1,000 to 5,000 m; smoke, haze, dust and sand (FU, HZ, DU, SA) are told at 5,000 m or less. Patches
(BC), a part of the field (PR), shallow fog (MI) and what is in the vicinity (VC) say nothing of the rest.
"""

import re
from collections.abc import Iterator
from typing import Final

import attrs

from planner.flight.reports import Said

_FOG: Final = re.compile(r"(?<!MI)(?<!BC)(?<!PR)FG")
_PARTLY: Final = re.compile(r"(?:MI|BC|PR)FG")
_MIST: Final = re.compile(r"BR")
_DRY: Final = re.compile(r"FU|HZ|DU|SA")
_FOG_M: Final = 1_000.0
_TOLD_UP_TO_M: Final = 5_000.0


@attrs.frozen
class Obscured:
    """What a group says of visibility: less than `below_m`, and maybe as little as `least_m` (None: less)."""

    group: str
    source: str
    below_m: float
    least_m: float | None

    @property
    def is_fog(self) -> bool:
        """Whether it is fog."""
        return self.below_m == _FOG_M


@attrs.frozen
class FogAbout:
    """Fog in patches, over a part, shallow, or near the station."""

    group: str
    source: str


def obscured_by(one: Said) -> Iterator[Obscured]:
    """Yield what a report's groups say of visibility, where its figure does not say as little."""
    seen = one.conditions.visibility
    told_m = seen.m if seen is not None and not seen.at_least else None
    for group in one.conditions.weather:
        if group.startswith("VC"):
            continue
        if _FOG.search(group):
            found = Obscured(group, one.source, _FOG_M, None)
        elif _MIST.search(group):
            found = Obscured(group, one.source, _TOLD_UP_TO_M, _FOG_M)
        elif _DRY.search(group):
            found = Obscured(group, one.source, _TOLD_UP_TO_M, None)
        else:
            continue
        if told_m is None or told_m > _most_m(found):
            yield found


def _most_m(found: Obscured) -> float:
    """Return the most visibility with which a group is told: the United States tell mist below 7 miles."""
    return _FOG_M if found.is_fog else 7 * 1_609.344


def fog_about(one: Said) -> Iterator[FogAbout]:
    """Yield the groups that tell of fog elsewhere or in parts."""
    for group in one.conditions.weather:
        if _PARTLY.search(group) or (group.startswith("VC") and "FG" in group):
            yield FogAbout(group, one.source)
