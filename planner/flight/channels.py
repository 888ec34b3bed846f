"""Video channels of several pilots at one place, checked against each other."""

from collections.abc import Sequence
from enum import StrEnum
from itertools import combinations, permutations
from typing import Final

import attrs

# What an analog picture takes, with the guard that receivers need; common practice.
WIDTH_MHZ: Final = 20.0


NARROWEST_MHZ: Final = 5.0
"""No picture takes less: the vision signal of an analog one is 4.2 MHz wide (ITU-R BT.470, from memory)."""


class ClashKind(StrEnum):
    """How channels disturb each other."""

    SAME = "same-frequency"
    OVERLAP = "overlap"
    MIXED = "third-order-product"


@attrs.frozen
class Channel:
    """A transmitter at the place: whose, its centre [MHz] and width [MHz]."""

    pilot: str
    frequency_mhz: float
    width_mhz: float = WIDTH_MHZ


@attrs.frozen
class Clash:
    """Channels (indices) that disturb each other; `apart_mhz` is the distance of what meets.

    Of a third-order product the first two make 2 a - b, which falls on the
    last.
    """

    kind: ClashKind
    channels: tuple[int, ...]
    apart_mhz: float


def clashes(channels: Sequence[Channel]) -> tuple[Clash, ...]:
    """Return every pair that overlaps, and every product of two that falls on a third."""
    found = [clash for pair in combinations(range(len(channels)), 2) if (clash := _pair(channels, *pair))]
    found.extend(
        clash for three in permutations(range(len(channels)), 3) if (clash := _product(channels, *three))
    )
    return tuple(found)


def _pair(channels: Sequence[Channel], one: int, other: int) -> Clash | None:
    apart = abs(channels[one].frequency_mhz - channels[other].frequency_mhz)
    if apart >= (channels[one].width_mhz + channels[other].width_mhz) / 2:
        return None
    return Clash(ClashKind.SAME if apart < 1.0 else ClashKind.OVERLAP, (one, other), apart)


def _product(channels: Sequence[Channel], one: int, other: int, third: int) -> Clash | None:
    mixed_mhz = 2 * channels[one].frequency_mhz - channels[other].frequency_mhz
    apart = abs(mixed_mhz - channels[third].frequency_mhz)
    if apart >= channels[third].width_mhz / 2:
        return None
    return Clash(ClashKind.MIXED, (one, other, third), apart)
