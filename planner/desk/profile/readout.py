"""What holds at one distance along the path, as numbers and as words; no Qt."""

import math

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.ceiling.profile import SAME_HEIGHT_M, AreaCeiling, Binding, CeilingProfile
from planner.desk.profile.binding_words import binding_words
from planner.desk.saying import bare, distance, limit_words, nearest_words, planned_words
from planner.track.track import Track
from planner.wording import UNKNOWN

Floats = NDArray[np.float64]

EMPTY = "Draw a path on the map: the profile of ground, ceiling and planned height appears here."


@attrs.frozen
class Readout:
    """Everything at one distance; heights [m], None where unknown.

    `requestable_amsl_m` is None too where asking gives no more than is allowed
    now.
    """

    distance_m: float
    ground_amsl_m: float | None
    planned_agl_m: float | None
    planned_above_launch_m: float | None
    planned_amsl_m: float | None
    ceiling_amsl_m: float | None
    requestable_amsl_m: float | None
    uncertainty_m: float | None
    open_below_amsl_m: float | None
    binding: Binding
    binding_name: str
    binding_words: str

    def words(self) -> tuple[str, ...]:
        """Return the parts of one line, feet first; limits rounded down, plans up."""
        return (
            f"{distance(self.distance_m)} along",
            f"ground {nearest_words(self.ground_amsl_m)}",
            f"planned {planned_words(self.planned_agl_m)} above ground"
            f" · {bare(planned_words(self.planned_above_launch_m))} above launch"
            f" · {bare(planned_words(self.planned_amsl_m))} above sea",
            self._ceiling_words(),
        )

    def _ceiling_words(self) -> str:
        if self.ceiling_amsl_m is None and self.open_below_amsl_m is not None:
            opened = _over_ground(self.open_below_amsl_m, self.ground_amsl_m)
            return f"ceiling {UNKNOWN}, open up to {opened} until the authority has answered"
        if self.ceiling_amsl_m is None:
            return f"ceiling {UNKNOWN}{f' ({self.binding_words})' if self.binding_name else ''}"
        words = f"ceiling {_over_ground(self.ceiling_amsl_m, self.ground_amsl_m)} ({self.binding_words})"
        if self.requestable_amsl_m is None:
            return words
        return f"{words}, {_over_ground(self.requestable_amsl_m, self.ground_amsl_m)} if asked for"


def describe(assessment: Assessment, distance_m: float) -> Readout | None:
    """Return what holds at a distance along the path [m]; None without a path.

    Between samples heights are straight lines. Where the axis repeats the
    distance (before and after a jump) the lower ceiling is told, and an
    unknown one before any.
    """
    track, profile = assessment.track, assessment.profile
    if track is None or profile is None or not len(track):
        return None
    at_m = float(np.clip(distance_m, track.distance_m[0], track.distance_m[-1]))
    position = _position(track.distance_m, profile.ceiling_amsl_m, at_m)
    found = _readout(track, profile, at_m, position)
    # Without a launch point nobody knows where the goggles will show nought.
    return found if assessment.plan.launch else attrs.evolve(found, planned_above_launch_m=None)


def _position(distance_m: Floats, ceiling_amsl_m: Floats, at_m: float) -> float:
    """Return the sample number, with a fraction between two samples."""
    first = int(np.searchsorted(distance_m, at_m, "left"))
    after = int(np.searchsorted(distance_m, at_m, "right"))
    if after == first:
        before_m, next_m = distance_m[first - 1], distance_m[first]
        return first - 1 + float((at_m - before_m) / (next_m - before_m))
    here = np.where(np.isnan(ceiling_amsl_m[first:after]), -np.inf, ceiling_amsl_m[first:after])
    return float(first + int(np.argmin(here)))


def _readout(track: Track, profile: CeilingProfile, at_m: float, position: float) -> Readout:
    index = int(position)
    following = min(index + 1, len(track) - 1)
    share = position - index

    def at(values: Floats) -> float | None:
        value = float(values[index])
        if share > 0:
            value += share * (float(values[following]) - value)
        return value if math.isfinite(value) else None

    ground, planned, ceiling = (
        at(track.ground_amsl_m),
        at(track.planned_amsl_m),
        at(profile.ceiling_amsl_m),
    )
    requestable = at(profile.requestable_amsl_m)
    if requestable is not None and ceiling is not None and requestable <= ceiling + SAME_HEIGHT_M:
        requestable = None
    nearest = index if share <= 0.5 else following
    binding, name = profile.binding[nearest], profile.binding_name[nearest]
    if ceiling is None and binding is not Binding.UNKNOWN:
        binding, name = Binding.UNKNOWN, ""
    return Readout(
        distance_m=at_m,
        ground_amsl_m=ground,
        planned_agl_m=_difference(planned, ground),
        planned_above_launch_m=_difference(planned, track.launch_ground_amsl_m),
        planned_amsl_m=planned,
        ceiling_amsl_m=ceiling,
        requestable_amsl_m=requestable,
        uncertainty_m=at(profile.uncertainty_m),
        open_below_amsl_m=at(profile.open_below_amsl_m(track.ground_amsl_m)),
        binding=binding,
        binding_name=name,
        binding_words=binding_words(binding, name),
    )


def area_words(area: AreaCeiling) -> tuple[str, ...]:
    """Return the lowest limit over the area, line by line, the main thing first."""
    if area.lowest_limit_amsl_m is None:
        lines = ["The lowest limit over the area is not known."]
    else:
        lines = [
            f"Lowest limit over the area: {limit_words(area.lowest_limit_agl_m)} above ground,"
            f" {limit_words(area.lowest_limit_amsl_m)} above sea level"
            f" ({binding_words(area.binding, area.binding_name)})."
        ]
    lines.append(_top_words(area))
    if area.unknown_share > 0:
        percent = math.ceil(area.unknown_share * 100)
        lines.append(f"The ground is not known under {percent} % of the area.")
    return tuple(line for line in lines if line)


def _top_words(area: AreaCeiling) -> str:
    if area.planned_top_amsl_m is None:
        return "The area has no top height."
    if area.over_by_m is None:
        return ""
    top = f"Its top there, {planned_words(area.planned_top_amsl_m)} above sea level,"
    if area.over_by_m > SAME_HEIGHT_M:
        return f"{top} is {planned_words(area.over_by_m)} over that limit."
    return f"{top} stays {limit_words(max(-area.over_by_m, 0.0))} below that limit."


def _over_ground(amsl_m: float, ground_amsl_m: float | None) -> str:
    if ground_amsl_m is None:
        return f"{limit_words(amsl_m)} above sea"
    return f"{limit_words(amsl_m - ground_amsl_m)} above ground"


def _difference(upper: float | None, lower: float | None) -> float | None:
    if upper is None or lower is None or not math.isfinite(lower):
        return None
    return upper - lower
