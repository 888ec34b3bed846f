"""Who sees the aircraft where, at every minute at which the plan allows it to be there."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.window import TimeWindow
from planner.plan.crew import CrewMember, Role
from planner.plan.model import Plan
from planner.sight.along import Conditions, SightProfile, Viewer, one_must_see, sight_along
from planner.sight.footing import Footing, footing_of
from planner.sight.grid import Box, box_about
from planner.sight.lines import Targets
from planner.sight.long_window import LongWindow
from planner.sight.over_area import AreaSight, sight_over
from planner.sight.ranges import range_in_plan
from planner.sight.screens import surfaces_with_screens
from planner.sight.spot import eye_at
from planner.sight.surfaces import Surfaces
from planner.track.mapped import Mapped
from planner.track.samples import AreaSamples
from planner.track.timing import PathTimes, path_times
from planner.track.track import Track
from planner.world.sites import GroundFeature
from planner.world.sun_position import SunCourse, sun_course
from planner.world.world import World

# Whoever flies or watches must see; spectators need not.
WATCHING_ROLES: Final = (Role.OBSERVER, Role.REMOTE_PILOT, Role.PERSON_AT_CONTROLS)
_STEP_S = 60.0
_MOST_STARTS = 721
_YEAR_S = 366 * 86_400.0
_CHARTED_WITHIN_M = 600.0
"""So far about the plan's places charted screens count: who looks for a place to stand walks that far."""


@attrs.frozen(eq=False)
class SightAnswer:
    """What everybody who stands somewhere and has to see sees of the path.

    `people`, `viewers` and `profiles` belong together, in the plan's order;
    without a path there are no profiles. `times` is when the aircraft is
    where, `surfaces` what is looked through. `area` is what each of them has
    of an area that is flown freely. `footing` is where else they may stand.
    """

    people: tuple[CrewMember, ...]
    viewers: tuple[Viewer, ...]
    profiles: tuple[SightProfile, ...]
    times: PathTimes | None
    surfaces: Surfaces | None
    conditions: Conditions
    area: tuple[AreaSight, ...] = ()
    footing: Footing = attrs.field(factory=Footing)

    def profiles_of(self, *roles: Role) -> tuple[tuple[CrewMember, SightProfile], ...]:
        """Return people of some roles with what they see."""
        pairs = zip(self.people, self.profiles, strict=False)
        return tuple((member, profile) for member, profile in pairs if member.role in roles)

    @property
    def observed(self) -> NDArray[np.int64] | None:
        """Per sample the best any observer has of it, an index into `GRAVEST_FIRST`; None without one."""
        profiles = [profile for _, profile in self.profiles_of(Role.OBSERVER)]
        return one_must_see(profiles) if profiles else None


def sight_of(
    plan: Plan,
    mapped: Mapped | None,
    track: Track | None,
    area: AreaSamples | None = None,
    world: World | None = None,
) -> SightAnswer | None:
    """Return who sees what of the path and of the area; None where nothing is laid out.

    Of the `world` buildings and woods may be in the way; on closed land and water nobody stands.
    """
    world = World() if world is None else world
    if mapped is None:
        return None
    surfaces = surfaces_of(plan, mapped, world.ground_features)
    people = tuple(
        member for member in plan.crew if member.role in WATCHING_ROLES and member.place is not None
    )
    viewers = tuple(viewer_of(plan, member, mapped) for member in people)
    footing = _footing(plan, mapped, world, surfaces)
    answer = SightAnswer(people, viewers, (), None, surfaces, Conditions(), footing=footing)
    if area is not None and surfaces is not None:
        tops = Targets(area.x_m, area.y_m, area.planned_amsl_m, area.ground_amsl_m)
        answer = attrs.evolve(answer, area=sight_over(tops, viewers, surfaces))
    if track is None or not len(track):
        return answer
    times = path_times(track, plan.path)
    conditions = conditions_over(plan, times) if people else Conditions()
    profiles = sight_along(track, viewers, surfaces, conditions)
    return attrs.evolve(answer, profiles=profiles, times=times, conditions=conditions)


def surfaces_of(plan: Plan, mapped: Mapped, charted: Sequence[GroundFeature] = ()) -> Surfaces | None:
    """Return what may stand in the way, None where no ground is known."""
    if mapped.ground is None:
        return None
    within = _around(plan, mapped)
    if within is None:
        return Surfaces(mapped.ground)
    return surfaces_with_screens(mapped.ground, plan.beneath, charted, within)


def _footing(plan: Plan, mapped: Mapped, world: World, surfaces: Surfaces | None) -> Footing:
    within = _around(plan, mapped)
    if within is None:
        return Footing()
    standing = (*surfaces.screens, *surfaces.unmeasured) if surfaces else ()
    return footing_of(plan, mapped.frame, world.closed_lands, world.ground_features, within, standing)


def _around(plan: Plan, mapped: Mapped) -> Box | None:
    """Return the box within which charts count, None for a plan without any place."""
    places = plan.places()
    if not places:
        return None
    lon_deg, lat_deg = np.array([(place.lon_deg, place.lat_deg) for place in places]).T
    x_m, y_m = mapped.frame.forward(lon_deg, lat_deg)
    return box_about(np.asarray(x_m), np.asarray(y_m), _CHARTED_WITHIN_M)


def viewer_of(plan: Plan, member: CrewMember, mapped: Mapped) -> Viewer:
    """Return somebody who stands somewhere as a viewer of the plan's aircraft."""
    assert member.place is not None
    reach = range_in_plan(plan, member)
    return Viewer(member.key, eye_at(member.place, mapped.ground, mapped.frame), reach)


def conditions_over(plan: Plan, times: PathTimes) -> Conditions:
    """Return the sun at each sample for every minute at which the flight may begin."""
    if plan.window is None:
        return Conditions()
    return conditions_at(plan, times, starts_within(plan.window, times.duration_s))


def conditions_at(plan: Plan, times: PathTimes, starts_s: NDArray[np.float64]) -> Conditions:
    """Return the sun at each sample for starts [s after the window's own]."""
    anchor = plan.anchor()
    if plan.window is None or anchor is None:
        return Conditions()
    if len(starts_s) <= _MOST_STARTS:
        return Conditions(suns=suns_at(plan, times, starts_s))
    some_s = np.linspace(float(starts_s[0]), float(starts_s[-1]), _MOST_STARTS)
    every = LongWindow(anchor, plan.window.start_utc, starts_s, times.time_s)
    return Conditions(suns=suns_at(plan, times, some_s), long=every)


def suns_at(plan: Plan, times: PathTimes, starts_s: NDArray[np.float64]) -> tuple[SunCourse, ...]:
    """Return the sun at each sample for starts [s after the window's own]."""
    anchor = plan.anchor()
    if plan.window is None or anchor is None:
        return ()
    moments_s = starts_s[:, None] + times.time_s[None, :]
    course = sun_course(anchor, plan.window.start_utc, moments_s.ravel())
    azimuth, altitude = (axis.reshape(moments_s.shape) for axis in (course.azimuth_deg, course.altitude_deg))
    return tuple(SunCourse(*rows) for rows in zip(azimuth, altitude, strict=True))


def starts_within(window: TimeWindow, duration_s: float) -> NDArray[np.float64]:
    """Return seconds after the window's start at which a flight may begin: each minute, and the last moment.

    A flight longer than the window begins at its start; of more than a year the first counts.
    """
    room_s = max((window.end_utc - window.start_utc) / timedelta(seconds=1) - duration_s, 0.0)
    room_s = min(room_s, _YEAR_S)
    return np.linspace(0.0, room_s, int(np.ceil(room_s / _STEP_S)) + 1)
