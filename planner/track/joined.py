"""The track of legs that follow each other; what has not changed is taken over from the last one."""

from collections.abc import Callable, Sequence
from typing import Any, Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.frame import LocalFrame
from planner.track.leg import LegSamples
from planner.track.track import Track
from planner.track.unchanged import unchanged_ends

Array = NDArray[Any]
_OF_SAMPLES: Final = (
    "share",
    "x_m",
    "y_m",
    "lon_deg",
    "lat_deg",
    "ground_m",
    "lowest_m",
    "planned_m",
    "length_m",
    "stretch",
)


@attrs.frozen(eq=False)
class _Laid:
    """Legs end to end: what each holds by itself, so that it stays the same wherever the leg lies.

    `sizes`, `parts` and `spans_m` are of each leg: samples, stretches and length; `of_samples` what legs
    hold of their samples; `inside` is of each stretch.
    """

    frame: LocalFrame
    legs: Sequence[LegSamples]
    sizes: Array
    parts: Array
    spans_m: Array
    of_samples: dict[str, Array]
    inside: Array

    def track(self, launch_m: float) -> Track:
        """Return the track that they make."""
        starts, parts, spans_m = (_summed(each) for each in (self.sizes, self.parts, self.spans_m))
        held = self.of_samples
        return Track(
            frame=self.frame,
            distance_m=held["length_m"] + np.repeat(spans_m[:-1], self.sizes),
            x_m=held["x_m"],
            y_m=held["y_m"],
            lon_deg=held["lon_deg"],
            lat_deg=held["lat_deg"],
            ground_amsl_m=held["ground_m"],
            lowest_ground_amsl_m=held["lowest_m"],
            planned_amsl_m=held["planned_m"],
            leg=np.repeat(np.arange(len(self.legs)), self.sizes),
            fraction=held["share"],
            stretch=held["stretch"] + np.repeat(parts[:-1], self.sizes),
            inside=self.inside,
            point_sample=np.append(starts[:-1], starts[-1] - 1),
            launch_ground_amsl_m=launch_m,
        )


class JoinedLegs:
    """Remembers the legs that were joined last: of a long path an edit changes few of them."""

    def __init__(self) -> None:
        self._last: _Laid | None = None

    def track(self, legs: Sequence[LegSamples], frame: LocalFrame, launch_m: float) -> Track:
        """Return the track of one leg or more, as `join_legs` does."""
        last = self._last
        if last is not None and last.frame is not frame:
            last = None
        self._last = laid = _laid(legs, frame) if last is None else _with_known(legs, last)
        return laid.track(launch_m)


def join_legs(legs: Sequence[LegSamples], frame: LocalFrame, launch_m: float) -> Track:
    """Return the track of legs that follow each other."""
    return _laid(legs, frame).track(launch_m)


def _laid(legs: Sequence[LegSamples], frame: LocalFrame) -> _Laid:
    of_samples = {name: np.concatenate([getattr(leg, name) for leg in legs]) for name in _OF_SAMPLES}
    return _Laid(
        frame=frame,
        legs=legs,
        sizes=np.array([len(leg.share) for leg in legs]),
        parts=np.array([len(leg.inside) for leg in legs]),
        spans_m=np.array([leg.length_m[-1] for leg in legs]),
        of_samples=of_samples,
        inside=np.concatenate([leg.inside for leg in legs]),
    )


def _with_known(legs: Sequence[LegSamples], last: _Laid) -> _Laid:
    head, tail = unchanged_ends(last.legs, legs)
    if not head and not tail:
        return _laid(legs, last.frame)
    between = legs[head : len(legs) - tail]
    new = _laid(between, last.frame) if between else None
    by_leg = _splicer(head, len(last.legs) - tail)
    samples, parts = _summed(last.sizes), _summed(last.parts)
    by_sample, by_part = (
        _splicer(int(firsts[head]), int(firsts[len(last.legs) - tail])) for firsts in (samples, parts)
    )
    return _Laid(
        frame=last.frame,
        legs=legs,
        sizes=by_leg(last.sizes, None if new is None else new.sizes),
        parts=by_leg(last.parts, None if new is None else new.parts),
        spans_m=by_leg(last.spans_m, None if new is None else new.spans_m),
        of_samples={
            name: by_sample(values, None if new is None else new.of_samples[name])
            for name, values in last.of_samples.items()
        },
        inside=by_part(last.inside, None if new is None else new.inside),
    )


def _splicer(first: int, after: int) -> Callable[[Array, Array | None], Array]:
    """Return what puts other values in the place of those from `first` to before `after`."""

    def spliced(values: Array, new: Array | None) -> Array:
        return np.concatenate([values[:first], *(() if new is None else (new,)), values[after:]])

    return spliced


def _summed(of_legs: Array) -> Array:
    """Return where each leg begins, and where the last one ends."""
    return np.concatenate([np.zeros(1, of_legs.dtype), np.cumsum(of_legs)])
