"""What each viewer sees of the aircraft along the track."""

from collections.abc import Sequence
from enum import StrEnum

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.sight.curvature import REFRACTION
from planner.sight.grid import box_about
from planner.sight.lines import Lines, Outlook, Targets, lines_to, slant_m
from planner.sight.ranges import SightRange
from planner.sight.spot import Spot
from planner.sight.sun import GLARE_CONE_DEG, least_sun_angle_deg
from planner.sight.surfaces import Surfaces
from planner.sight.targets import FineTargets, fine_targets
from planner.track.track import Track
from planner.world.sun_position import SunCourse

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Ints = NDArray[np.int64]

# Farther lines are not drawn where no detection distance is known.
FARTHEST_M = 5_000.0


class Sight(StrEnum):
    """How the aircraft is seen at a place, the gravest first.

    `BRIEFLY_HIDDEN` is hidden within the pilot's own limit of time; only who must see
    (`planner.rules.must_see`) knows of that, a profile never has it.
    """

    HIDDEN = "hidden"
    TOO_FAR = "too-far"
    UNKNOWN = "unknown"
    UNTRIED = "untried"
    AGAINST_SUN = "against-the-sun"
    BRIEFLY_HIDDEN = "hidden-within-own-limit"
    SEEN = "seen"


GRAVEST_FIRST: tuple[Sight, ...] = tuple(Sight)


@attrs.frozen(eq=False)
class Viewer:
    """Somebody who must see the aircraft: `key` of the crew member, eye, range."""

    key: str
    eye: Spot
    reach: SightRange


@attrs.frozen(eq=False)
class Conditions:
    """Under what the lines are judged.

    `suns` has the sun at each sample for every start that is considered, none
    for no sun at all; `cone_deg` is the angle within which it dazzles.
    """

    suns: tuple[SunCourse, ...] = ()
    cone_deg: float = GLARE_CONE_DEG
    refraction: float = REFRACTION


@attrs.frozen(eq=False)
class SightProfile:
    """What one viewer sees along the track, arrays (n,) on its samples.

    A sample also answers for the half-way to its neighbours: where they are
    more than 10 m apart points between them are looked at too, and the worst
    of them is kept.

    Parameters
    ----------
    slant_range_m : distance through the air; the horizontal one where a
        height is unknown.
    clearance_m : see `Line`; NaN where unknown or out of range.
    clearance_doubt_m : by how much `clearance_m` may be too great.
    spare_m, spare_at_m : see `Line`.
    sun_angle_deg : least angle to the sun, NaN while it is down.
    hidden, too_far, unknown, untried, against_sun : masks, not exclusive.
    thin : hidden by nothing but trees.
    behind, unmeasured : index among the surfaces' screens of what hides it, and
        among their unmeasured ones of what may hide it; -1: none.
    """

    key: str
    slant_range_m: Floats
    clearance_m: Floats
    clearance_doubt_m: Floats
    spare_m: Floats
    spare_at_m: Floats
    sun_angle_deg: Floats
    hidden: Mask
    too_far: Mask
    unknown: Mask
    untried: Mask
    against_sun: Mask
    thin: Mask
    behind: Ints
    unmeasured: Ints

    @property
    def grave(self) -> NDArray[np.int64]:
        """Index into `GRAVEST_FIRST` of the gravest thing at each sample."""
        return _gravest(self.hidden, self.too_far, self.unknown, self.untried, self.against_sun)

    @property
    def grave_but_for_hiding(self) -> NDArray[np.int64]:
        """`grave` as if nothing stood in the way."""
        nowhere = np.zeros_like(self.hidden)
        return _gravest(nowhere, self.too_far, self.unknown, self.untried, self.against_sun)

    @property
    def sight(self) -> tuple[Sight, ...]:
        """The gravest thing at each sample."""
        return tuple(GRAVEST_FIRST[index] for index in self.grave)


def _gravest(*masks: Mask) -> NDArray[np.int64]:
    seen = GRAVEST_FIRST.index(Sight.SEEN)
    return np.asarray(np.select(masks, range(len(masks)), default=seen), dtype=np.int64)


def sight_along(
    track: Track,
    viewers: Sequence[Viewer],
    surfaces: Surfaces | None,
    conditions: Conditions | None = None,
) -> tuple[SightProfile, ...]:
    """Return what each viewer sees of the track; without surfaces all is unknown."""
    conditions = Conditions() if conditions is None else conditions
    fine = fine_targets(track, surfaces.ground if surfaces else None)
    samples = Targets(track.x_m, track.y_m, track.planned_amsl_m, track.ground_amsl_m)
    return tuple(_profile(samples, fine, viewer, surfaces, conditions) for viewer in viewers)


def all_must_see(profiles: Sequence[SightProfile]) -> NDArray[np.int64]:
    """Return, per sample, the gravest of all viewers as an index into `GRAVEST_FIRST`."""
    return np.asarray(np.min([profile.grave for profile in profiles], axis=0), dtype=np.int64)


def one_must_see(profiles: Sequence[SightProfile]) -> NDArray[np.int64]:
    """Return, per sample, the best of all viewers as an index into `GRAVEST_FIRST`."""
    return np.asarray(np.max([profile.grave for profile in profiles], axis=0), dtype=np.int64)


def _profile(
    samples: Targets, fine: FineTargets, viewer: Viewer, surfaces: Surfaces | None, conditions: Conditions
) -> SightProfile:
    eye, reach = viewer.eye, viewer.reach
    lines = _lines_in_reach(fine.targets, viewer, surfaces, conditions)
    far_m = slant_m(eye, fine.targets)
    angle_deg = least_sun_angle_deg(eye, samples, conditions.suns)
    found_m, judged_m = reach.detection_m, reach.attitude_m
    nowhere = np.zeros(len(fine.targets), dtype=bool)
    too_far = nowhere if found_m is None else far_m > found_m
    unsure = lines.unknown | np.isnan(fine.targets.amsl_m)
    unsure = ~nowhere if found_m is None or judged_m is None else unsure
    untried = nowhere if judged_m is None else ~too_far & (far_m > judged_m)
    return SightProfile(
        key=viewer.key,
        slant_range_m=slant_m(eye, samples),
        clearance_m=fine.least(lines.clearance_m),
        clearance_doubt_m=fine.greatest(lines.clearance_doubt_m),
        spare_m=fine.least(lines.spare_m),
        spare_at_m=lines.spare_at_m[fine.own],
        sun_angle_deg=angle_deg,
        hidden=fine.any(lines.hidden),
        too_far=fine.any(too_far),
        unknown=fine.any(unsure & ~too_far & ~lines.hidden),
        untried=fine.any(untried),
        against_sun=angle_deg <= conditions.cone_deg,
        thin=fine.any(lines.hidden) & ~fine.any(lines.hidden & ~lines.thin),
        behind=fine.of_least(lines.clearance_m, lines.behind),
        unmeasured=fine.any_of(lines.unmeasured),
    )


def _lines_in_reach(
    targets: Targets, viewer: Viewer, surfaces: Surfaces | None, conditions: Conditions
) -> Lines:
    reach_m = viewer.reach.detection_m
    eye = viewer.eye
    flat_m = np.hypot(targets.x_m - eye.x_m, targets.y_m - eye.y_m)
    near = flat_m <= (FARTHEST_M if reach_m is None else reach_m)
    lines = Lines.unseen(slant_m(eye, targets))
    if surfaces is None or not near.any():
        return lines
    within = targets.take(near)
    box = box_about(np.append(within.x_m, eye.x_m), np.append(within.y_m, eye.y_m))
    found = lines_to(Outlook.over(surfaces, box), eye, within, conditions.refraction)
    put = {}
    for field in attrs.fields(Lines):
        values = getattr(lines, field.name).copy()
        values[near] = getattr(found, field.name)
        put[field.name] = values
    return Lines(**put)
