"""What each viewer sees of the aircraft along the track."""

from collections.abc import Sequence
from enum import StrEnum
from typing import TypeVar

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.sight.curvature import REFRACTION
from planner.sight.grid import box_about
from planner.sight.lines import Lines, Outlook, Targets, lines_to, rays_to, slant_m
from planner.sight.long_window import LongWindow
from planner.sight.ranges import SightRange
from planner.sight.spot import Spot
from planner.sight.sun import GLARE_CONE_DEG, least_sun_angle_deg
from planner.sight.surely import Surely, surely
from planner.sight.surfaces import Surfaces
from planner.sight.targets import FineTargets, fine_targets
from planner.track.track import Track
from planner.world.sun_position import SunCourse

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Ints = NDArray[np.int64]
_Found = TypeVar("_Found", Lines, Surely)

# Farther lines are not drawn where no detection distance is known.
FARTHEST_M = 5_000.0


class Sight(StrEnum):
    """How the aircraft is seen at a place, the gravest first.

    `BRIEFLY_HIDDEN` is hidden within the pilot's own limit of time; only who must see
    (`planner.rules.must_see`) knows of that, a profile never has it. `BARELY` is seen over the ground
    as it is given, but hidden if that is as high as its stated error allows.
    """

    HIDDEN = "hidden"
    TOO_FAR = "too-far"
    UNKNOWN = "unknown"
    UNTRIED = "untried"
    AGAINST_SUN = "against-the-sun"
    BRIEFLY_HIDDEN = "hidden-within-own-limit"
    BARELY = "barely-seen"
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
    for no sun at all; `cone_deg` is the angle within which it dazzles. Of a `long` window `suns` has only
    some starts, for searches; what is judged is judged at each of its own.
    """

    suns: tuple[SunCourse, ...] = ()
    cone_deg: float = GLARE_CONE_DEG
    refraction: float = REFRACTION
    long: LongWindow | None = None

    def least_sun_angle_deg(self, eye: Spot, targets: Targets) -> Floats:
        """Return the least angle to the sun at each sample [deg], NaN while it is down."""
        if self.long is not None:
            return self.long.least_angle_deg(eye, targets)
        return least_sun_angle_deg(eye, targets, self.suns)


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
    sure_spare_m : the least of `Surely.spare_m`.
    sun_angle_deg : least angle to the sun, NaN while it is down.
    hidden, too_far, unknown, untried, against_sun, barely : masks, not exclusive.
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
    sure_spare_m: Floats
    sun_angle_deg: Floats
    hidden: Mask
    too_far: Mask
    unknown: Mask
    untried: Mask
    against_sun: Mask
    barely: Mask
    thin: Mask
    behind: Ints
    unmeasured: Ints

    @property
    def grave(self) -> NDArray[np.int64]:
        """Index into `GRAVEST_FIRST` of the gravest thing at each sample."""
        return self._gravest({Sight.HIDDEN: self.hidden, Sight.BARELY: self.barely})

    @property
    def grave_but_for_hiding(self) -> NDArray[np.int64]:
        """`grave` as if nothing stood in the way."""
        return self._gravest({})

    @property
    def grave_but_for_errors(self) -> NDArray[np.int64]:
        """`grave` as if the ground were as it is given."""
        return self._gravest({Sight.HIDDEN: self.hidden})

    def _gravest(self, in_the_way: dict[Sight, Mask]) -> NDArray[np.int64]:
        masks = in_the_way | {
            Sight.TOO_FAR: self.too_far,
            Sight.UNKNOWN: self.unknown,
            Sight.UNTRIED: self.untried,
            Sight.AGAINST_SUN: self.against_sun,
        }
        order = [sight for sight in GRAVEST_FIRST if sight in masks]
        indices = [GRAVEST_FIRST.index(sight) for sight in order]
        seen = GRAVEST_FIRST.index(Sight.SEEN)
        return np.asarray(np.select([masks[sight] for sight in order], indices, default=seen), dtype=np.int64)

    @property
    def sight(self) -> tuple[Sight, ...]:
        """The gravest thing at each sample."""
        return tuple(GRAVEST_FIRST[index] for index in self.grave)


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
    met: dict[tuple[Spot, float | None], _Met] = {}
    for viewer in viewers:
        # Who stands at one place and sees as far meets the same.
        place = viewer.eye, viewer.reach.detection_m
        if place not in met:
            angle_deg = conditions.least_sun_angle_deg(viewer.eye, samples)
            met[place] = _Met(*_lines_in_reach(fine.targets, viewer, surfaces, conditions), angle_deg)
    return tuple(
        _profile(samples, fine, viewer, met[viewer.eye, viewer.reach.detection_m], conditions)
        for viewer in viewers
    )


def all_must_see(profiles: Sequence[SightProfile]) -> NDArray[np.int64]:
    """Return, per sample, the gravest of all viewers as an index into `GRAVEST_FIRST`."""
    return np.asarray(np.min([profile.grave for profile in profiles], axis=0), dtype=np.int64)


def one_must_see(profiles: Sequence[SightProfile]) -> NDArray[np.int64]:
    """Return, per sample, the best of all viewers as an index into `GRAVEST_FIRST`."""
    return np.asarray(np.max([profile.grave for profile in profiles], axis=0), dtype=np.int64)


@attrs.frozen(eq=False)
class _Met:
    """What lines from one place meet: of the fine targets, and the angles to the sun at the samples."""

    lines: Lines
    sure: Surely
    angle_deg: Floats


def _profile(
    samples: Targets, fine: FineTargets, viewer: Viewer, met: _Met, conditions: Conditions
) -> SightProfile:
    eye, reach = viewer.eye, viewer.reach
    lines, sure, angle_deg = met.lines, met.sure, met.angle_deg
    far_m = slant_m(eye, fine.targets)
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
        sure_spare_m=fine.least(sure.spare_m),
        sun_angle_deg=angle_deg,
        hidden=fine.any(lines.hidden),
        too_far=fine.any(too_far),
        unknown=fine.any(unsure & ~too_far & ~lines.hidden),
        untried=fine.any(untried),
        against_sun=angle_deg <= conditions.cone_deg,
        barely=fine.any(sure.barely & ~too_far),
        thin=fine.any(lines.hidden) & ~fine.any(lines.hidden & ~lines.thin),
        behind=fine.of_least(lines.clearance_m, lines.behind),
        unmeasured=fine.any_of(lines.unmeasured),
    )


def _lines_in_reach(
    targets: Targets, viewer: Viewer, surfaces: Surfaces | None, conditions: Conditions
) -> tuple[Lines, Surely]:
    reach_m = viewer.reach.detection_m
    eye = viewer.eye
    flat_m = np.hypot(targets.x_m - eye.x_m, targets.y_m - eye.y_m)
    near = flat_m <= (FARTHEST_M if reach_m is None else reach_m)
    lines = Lines.unseen(slant_m(eye, targets))
    sure = Surely(lines.spare_m, lines.spare_doubt_m, np.zeros(len(targets), dtype=bool))
    if surfaces is None or not near.any():
        return lines, sure
    within = targets.take(near)
    box = box_about(np.append(within.x_m, eye.x_m), np.append(within.y_m, eye.y_m))
    outlook = Outlook.over(surfaces, box)
    found = lines_to(outlook, eye, within, conditions.refraction)
    rays = rays_to(eye, within, conditions.refraction)
    surely_found = surely(outlook, rays, found, (eye, within), within.amsl_m - within.ground_amsl_m)
    return _with(lines, found, near), _with(sure, surely_found, near)


def _with(whole: _Found, found: _Found, near: Mask) -> _Found:
    """Return arrays with what was found of some of the targets put in."""
    put = {}
    for field in attrs.fields(type(whole)):
        values = getattr(whole, field.name).copy()
        values[near] = getattr(found, field.name)
        put[field.name] = values
    return type(whole)(**put)
