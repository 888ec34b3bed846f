"""What holds at one moment of the window, in words; no Qt."""

import math

import attrs
import numpy as np
import shapely

from planner.assessment import Assessment
from planner.desk.hour.clock import FlightClock, Moment
from planner.desk.saying import distance, hour
from planner.plan.role_words import name_or_role
from planner.rules.must_see import demanded_keys
from planner.sight.lines import Targets
from planner.sight.sun import sun_angle_deg
from planner.track.restrictions import restriction_volumes
from planner.world.airspace import AirspaceVolume
from planner.world.light_kinds import LightSpan, light_at
from planner.world.schedule.model import Activity
from planner.world.sun_position import SunCourse, SunPosition, sun_position

_POINTS = (
    "north",
    "north-northeast",
    "northeast",
    "east-northeast",
    "east",
    "east-southeast",
    "southeast",
    "south-southeast",
    "south",
    "south-southwest",
    "southwest",
    "west-southwest",
    "west",
    "west-northwest",
    "northwest",
    "north-northwest",
)
_ACTIVITY_WORDS = {
    Activity.ACTIVE: "active",
    Activity.INACTIVE: "not active",
    Activity.BY_NOTICE: "active by notice, so taken as active",
    Activity.UNREADABLE: "hours not readable, so taken as active",
}
_NEAR_DEG = 0.02


@attrs.frozen
class MomentWords:
    """What holds at a moment.

    `hours` names airspace near the plan that has hours of its own, with what it is at the moment.
    """

    when: str
    where: str
    light: str
    sun: str
    dazzle: str
    hours: tuple[str, ...]

    @property
    def line(self) -> str:
        """All of it in one line."""
        parts = (f"{self.when}, aircraft at {self.where}", self.light, self.sun, self.dazzle, *self.hours)
        return "  ·  ".join(part for part in parts if part)


def moment_words(answer: Assessment, clock: FlightClock, moment: Moment) -> MomentWords:
    """Return what holds at a moment; the path's own anchor is the place."""
    anchor = answer.plan.anchor()
    assert anchor is not None
    at_utc = moment.at_utc(clock)
    sun = sun_position(anchor, at_utc)
    distance_m = clock.distance_at(moment.flown_s)
    return MomentWords(
        when=hour(at_utc, clock.window, "%H:%M:%S"),
        where=distance(distance_m),
        light=light_words(light_at(anchor, at_utc)),
        sun=sun_words(sun),
        dazzle=_dazzle(answer, sun, distance_m),
        hours=tuple(
            f"{volume.name or volume.ident} {_ACTIVITY_WORDS[volume.active_during(moment.instant(clock))]}"
            for volume in volumes_with_hours(answer)
        ),
    )


def light_words(span: LightSpan) -> str:
    """Return the light of a span: the 30 minutes of 14 CFR 107.29(c), night by the almanac, and both."""
    if span.day:
        return "day"
    if span.night and span.fixed_twilight:
        return "civil twilight by the 30 minutes, night by the almanac"
    if span.night:
        return "night"
    return "civil twilight" if span.fixed_twilight else "past the 30 minutes, not yet night"


def sun_words(sun: SunPosition) -> str:
    """Return where the sun stands, whole degrees."""
    point = _POINTS[round(sun.azimuth_deg / 22.5) % 16]
    azimuth = f"{round(sun.azimuth_deg) % 360:03d}° true"
    if sun.altitude_deg >= 0.5:
        return f"sun {azimuth} ({point}), {sun.altitude_deg:.0f}° up"
    if sun.altitude_deg > -0.8333:
        return f"sun {azimuth} ({point}), at the horizon"
    return f"sun {abs(sun.altitude_deg):.0f}° below the horizon"


def volumes_with_hours(answer: Assessment) -> tuple[AirspaceVolume, ...]:
    """Return airspace near the plan, restrictions of its own too, that is not always active."""
    places = [(place.lon_deg, place.lat_deg) for place in answer.plan.places()]
    if not places:
        return ()
    near = shapely.MultiPoint(places).convex_hull.buffer(_NEAR_DEG)
    volumes = (*restriction_volumes(answer.plan.restrictions), *answer.world.airspace)
    return tuple(
        volume
        for volume in volumes
        if (volume.schedule or volume.active_from_utc or volume.active_to_utc)
        and volume.outline.intersects(near)
    )


def _dazzle(answer: Assessment, sun: SunPosition, distance_m: float) -> str:
    """Return how near the sun is to the line of those who must see; '' where it is far off or down."""
    sight, track, case = answer.sight, answer.track, answer.case
    if sight is None or track is None or case is None:
        return ""
    keys = {key for group in demanded_keys(case) for key in group}
    height_m = np.interp(distance_m, track.distance_m, track.planned_amsl_m)
    place = Targets(
        np.array([np.interp(distance_m, track.distance_m, track.x_m)]),
        np.array([np.interp(distance_m, track.distance_m, track.y_m)]),
        np.array([height_m]),
        np.array([np.nan]),
    )
    course = SunCourse(np.array([sun.azimuth_deg]), np.array([sun.altitude_deg]))
    angles = {
        name_or_role(member, answer.plan.purpose): float(sun_angle_deg(viewer.eye, place, course)[0])
        for member, viewer in zip(sight.people, sight.viewers, strict=True)
        if member.key in keys
    }
    known = {name: angle for name, angle in angles.items() if not math.isnan(angle)}
    if not known:
        return ""
    name = min(known, key=lambda key: known[key])
    if known[name] > sight.conditions.cone_deg:
        return ""
    return f"against the sun for {name}, {known[name]:.0f}° off"
