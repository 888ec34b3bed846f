"""What stands behind RMK: the peak wind, and what is not read.

Source: Federal Meteorological Handbook No. 1, chapter 12. Standing C (from memory).
"""

import re
from collections.abc import Sequence
from typing import Final

import attrs

from planner.units import KNOT_MPS
from planner.world.weather.values import STRONGEST_GUST_MPS

_PEAK: Final = re.compile(r"(\d{3})(\d{2,3})/(\d{2})?(\d{2})")
# Kind of station, pressure and its change, temperature to a tenth and its extremes, rain, snow, sunshine,
# kinds of cloud, need of maintenance: nothing of it says more about a flight than the report itself.
_OF_NO_USE: Final = re.compile(
    r"A[O0][12]A?|SLP(?:\d{3}|NO)|T[01]\d{3}(?:[01]\d{3})?|P\d{4}|[67](?:\d{4}|////)|[12][01]\d{3}"
    # Rain, snow and mist that began and ended, and how many reports there are: the report has what is now.
    r"|(?:(?:SH)?(?:DZ|RA|SN|SG|UP|BR|HZ|FU)(?:[BE](?:\d{4}|\d{2}))+)+|NOSPECI|LAST|FIRST"
    r"|4[01]\d{3}[01]\d{3}|5[0-8](?:\d{3}|///)|8/[\d/]{3}|98\d{3}|933\d{3}|4/\d{3}|\$"
)


@attrs.frozen
class PeakWind:
    """The strongest wind since the report before: speed [m/s], where from, and its group as coded."""

    speed_mps: float
    from_true_deg: float
    group: str


@attrs.frozen
class Remarks:
    """A peak wind that was read, and all that was neither read nor is known to be of no use, as coded."""

    peak: PeakWind | None = None
    not_read: str = ""


def read_remarks(text: str) -> Remarks:
    """Return what remarks say, with RMK itself or without; nothing is guessed."""
    groups = text.split()
    if groups[:1] == ["RMK"]:
        groups = groups[1:]
    peak, left = _peak(_without_shift(groups))
    return Remarks(peak, " ".join(group for group in left if not _OF_NO_USE.fullmatch(group)))


def _without_shift(groups: Sequence[str]) -> list[str]:
    """Leave out when the wind shifted, with the front that passed: the report has the wind since."""
    left = list(groups)
    for index in range(len(left) - 1):
        if left[index] == "WSHFT" and re.fullmatch(r"(?:[01]\d|2[0-3])?[0-5]\d", left[index + 1]):
            after = index + 3 if left[index + 2 : index + 3] == ["FROPA"] else index + 2
            return [*left[:index], *left[after:]]
    return left


def _peak(groups: Sequence[str]) -> tuple[PeakWind | None, list[str]]:
    """Take the peak wind out of the groups; one that can't be believed stays among them."""
    for index in range(len(groups) - 2):
        if list(groups[index : index + 2]) != ["PK", "WND"] or not (
            found := _PEAK.fullmatch(groups[index + 2])
        ):
            continue
        speed_mps, from_deg = int(found[2]) * KNOT_MPS, float(found[1])
        minute, hour = int(found[4]), int(found[3] or 0)
        if speed_mps <= STRONGEST_GUST_MPS and from_deg <= 360.0 and minute < 60 and hour < 24:
            taken = " ".join(groups[index : index + 3])
            return PeakWind(speed_mps, from_deg, taken), [*groups[:index], *groups[index + 3 :]]
    return None, list(groups)
