"""One line of sight laid open: from somebody's eye to the aircraft at a place of the path."""

import math

import attrs
import numpy as np

from planner.sight.along import Viewer
from planner.sight.answer import SightAnswer
from planner.sight.curvature import REFRACTION, bend_per_m
from planner.sight.line import Line, Section, line_of_sight, section_of
from planner.sight.spot import Spot
from planner.sight.surely import vertical_error_m
from planner.sight.surfaces import Surfaces
from planner.track.track import Track


@attrs.frozen(eq=False)
class Crossing:
    """A line of sight with the cross-section under it.

    Parameters
    ----------
    distance_m : where along the path the aircraft is.
    target : the aircraft.
    line, section : as `planner.sight.line` has them; distances count from the eye.
    sag_m : by how much the middle of the line lies under the chord of its ends,
        heights taken above sea level: the earth's curvature less refraction.
    surfaces : what was looked through.
    lifted : the line over ground as much higher as its stated or assumed error allows.
    """

    viewer: Viewer
    distance_m: float
    target: Spot
    line: Line
    section: Section
    sag_m: float
    surfaces: Surfaces
    lifted: Line

    @property
    def barely(self) -> bool:
        """Whether the line is free over the ground as it is given, not over it as high as it may be."""
        return self.line.clear is True and self.lifted.clear is False

    @property
    def tightest(self) -> tuple[float, float]:
        """How the line clears what is in its way where that matters most, and how far from the eye [m].

        Hidden: the least clearance, below zero. Else where the line would touch first if the aircraft
        sank; the eye's own height above ground, always the least on open ground, tells nothing.
        """
        line = self.line
        if line.clear is False or not math.isfinite(line.spare_m) or line.length_m <= 0.0:
            return line.clearance_m, line.clearance_at_m
        return line.spare_m * line.spare_at_m / line.length_m, line.spare_at_m


def crossing_of(answer: SightAnswer, track: Track, key: str, distance_m: float) -> Crossing | None:
    """Return the line of sight of a crew member to a place of the path [m].

    None where nobody of that key stands anywhere, or no ground is known at all.
    """
    viewer = next((one for one in answer.viewers if one.key == key), None)
    surfaces = answer.surfaces
    if viewer is None or surfaces is None:
        return None
    x_m, y_m, amsl_m = (
        float(np.interp(distance_m, track.distance_m, axis))
        for axis in (track.x_m, track.y_m, track.planned_amsl_m)
    )
    ground_m = float(surfaces.ground.ground(np.array([x_m]), np.array([y_m]))[0])
    target = Spot(x_m, y_m, amsl_m, ground_m)
    refraction = answer.conditions.refraction if answer.conditions else REFRACTION
    line = line_of_sight(surfaces, viewer.eye, target, refraction)
    lifted = line_of_sight(surfaces, viewer.eye, target, refraction, vertical_error_m(surfaces))
    section = section_of(surfaces, viewer.eye, target, refraction)
    sag_m = bend_per_m(refraction) * line.length_m**2 / 4.0
    return Crossing(viewer, distance_m, target, line, section, sag_m, surfaces, lifted)
