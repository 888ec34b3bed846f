"""Piece by piece of the legs that two paths share: where the ceiling differs, by how much, what binds."""

from collections.abc import Iterator
from enum import StrEnum

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.ceiling.profile import Binding
from planner.geo.place import Place
from planner.remedy.compare_change import Side, Where
from planner.remedy.compare_path import same_legs
from planner.units import FOOT_M
from planner.wording import BINDING_WORDS

Floats = NDArray[np.float64]

SHORTEST_M = 0.05
"""Between crossings of two sides nearer than this nothing is compared: they are one crossing."""


class Turn(StrEnum):
    """How the ceiling of a piece changed; `BOTH_OPEN`: it is not known on either side."""

    LOWER = "lower"
    HIGHER = "higher"
    LOST = "no-longer-known"
    FOUND = "now-known"
    BOTH_OPEN = "open"


@attrs.frozen
class Piece:
    """A piece of the path on which the ceiling changed in one way: where, by how much at most, what binds."""

    turn: Turn
    binding: tuple[str, str]
    from_m: float
    to_m: float
    at: Where
    by_m: float
    ceilings_m: tuple[float, float]

    @property
    def length_m(self) -> float:
        """Its length along the path [m]."""
        return self.to_m - self.from_m


def pieces(before: Assessment, after: Assessment) -> Iterator[Piece]:
    """Yield every piece of a leg on both sides on which the ceiling differs, or is not known."""
    if before.profile is None or after.profile is None:
        return
    for i, j in same_legs(before.plan.path, after.plan.path):
        yield from _leg_pieces(_Leg.of(before, i), _Leg.of(after, j))


@attrs.frozen(eq=False)
class _Leg:
    """The samples of one leg on one side."""

    fraction: Floats
    distance_m: Floats
    ceiling_m: Floats
    lon_lat_deg: Floats
    binding: tuple[str, ...]

    @classmethod
    def of(cls, answer: Assessment, leg: int) -> "_Leg":
        """Return leg `leg` of an assessment with a path."""
        track, profile = answer.track, answer.profile
        assert track is not None
        assert profile is not None
        there = np.flatnonzero(track.leg == leg)
        return cls(
            track.fraction[there],
            track.distance_m[there],
            profile.ceiling_amsl_m[there],
            np.column_stack([track.lon_deg[there], track.lat_deg[there]]),
            tuple(binding_words(profile.binding[k], profile.binding_name[k]) for k in there),
        )

    def on(self, starts: Floats, stops: Floats) -> tuple[Floats, NDArray[np.int64]]:
        """Return the ceiling right after `starts` and right before `stops` (2, n), and what sample binds."""
        count = len(self.fraction)
        first = np.clip(np.searchsorted(self.fraction, starts, side="right") - 1, 0, count - 2)
        last = np.clip(np.searchsorted(self.fraction, stops, side="left"), 1, count - 1)
        return np.stack([self._between(first, starts), self._between(last - 1, stops)]), first

    def _between(self, first: NDArray[np.int64], at: Floats) -> Floats:
        start, end = self.fraction[first], self.fraction[first + 1]
        width = end - start
        share = np.where(width > 0.0, (at - start) / np.where(width > 0.0, width, 1.0), 0.0)
        low, high = self.ceiling_m[first], self.ceiling_m[first + 1]
        # At a sample its own height counts, also beside a neighbour that is not known.
        blend = np.where(share <= 0.0, low, np.where(share >= 1.0, high, low + share * (high - low)))
        return np.asarray(blend, dtype=float)


def _leg_pieces(old: _Leg, new: _Leg) -> Iterator[Piece]:
    ends = np.unique(np.concatenate([old.fraction, new.fraction]))
    along_m = np.interp(ends, new.fraction, new.distance_m)
    keep = np.flatnonzero(np.diff(along_m) >= SHORTEST_M)
    if not len(keep):
        return
    was_m, was_at = old.on(ends[keep], ends[keep + 1])
    is_m, is_at = new.on(ends[keep], ends[keep + 1])
    for n, k in enumerate(keep):
        both_m = np.stack([was_m[:, n], is_m[:, n]])
        turn, end = _turn(both_m)
        if turn is None:
            continue
        lon_deg, lat_deg = new.lon_lat_deg[is_at[n]]
        yield Piece(
            turn=turn,
            binding=(old.binding[was_at[n]], new.binding[is_at[n]]),
            from_m=float(along_m[k]),
            to_m=float(along_m[k + 1]),
            at=Where(Side.AFTER, Place(float(lon_deg), float(lat_deg))),
            by_m=float(np.nan_to_num(abs(both_m[1, end] - both_m[0, end]))),
            ceilings_m=(float(both_m[0, end]), float(both_m[1, end])),
        )


def _turn(both_m: Floats) -> tuple[Turn | None, int]:
    """Return how the ceiling changed on a piece, and at which of its ends most; (side, end)."""
    was_open, is_open = (bool(np.isnan(side).any()) for side in both_m)
    by_m = both_m[1] - both_m[0]
    if was_open or is_open:
        end = int(np.argmax(np.isnan(by_m)))
        return (Turn.BOTH_OPEN if was_open and is_open else Turn.FOUND if was_open else Turn.LOST), end
    end = int(np.argmax(np.abs(by_m)))
    # A change within what a whole foot rounds away is none.
    if abs(by_m[end]) <= FOOT_M:
        return None, end
    return (Turn.LOWER if by_m[end] < 0 else Turn.HIGHER), end


def binding_words(binding: Binding, name: str) -> str:
    """Return what sets a ceiling: 'under an airspace floor (NAME)'."""
    return f"{BINDING_WORDS[binding]} ({name})" if name else BINDING_WORDS[binding]
