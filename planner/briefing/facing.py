"""Where the observer stands and what lies at their twelve o'clock."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.briefing.words import plain
from planner.geo.geodesy import TrueBearing, bearing, distance_m
from planner.geo.magnetic import MagneticBearing, declination_deg, magnetic
from planner.geo.place import Place
from planner.plan.crew import CrewMember, Role
from planner.plan.model import Plan

Floats = NDArray[np.float64]

_HERE_M = 1.0


@attrs.frozen
class Facing:
    """Whose sheet it is, and which way they face.

    Parameters
    ----------
    stand : where they stand: the observer, else the launch point.
    observer : the person; None if no observer has a place.
    toward : true bearing of twelve o'clock.
    landmark : its name; '' where none is chosen and the middle of the flight is faced.
    declination_deg : how far magnetic north lies east of true [deg]; None if not known.
    """

    stand: Place
    observer: CrewMember | None
    toward: TrueBearing
    landmark: str
    declination_deg: float | None

    @property
    def by_compass(self) -> MagneticBearing | None:
        """Twelve o'clock as a compass shows it; None where the declination is not known."""
        return None if self.declination_deg is None else magnetic(self.toward, self.declination_deg)

    def clock(self, place: Place) -> int:
        """Return the hour, 1 to 12, at which a place lies."""
        return clock_hour(bearing(self.stand, place).deg - self.toward.deg)


def clock_hour(turned_deg: float) -> int:
    """Return the hour of a direction so many degrees clockwise from twelve o'clock."""
    return round((turned_deg % 360.0) / 30.0) % 12 or 12


def facing_of(assessment: Assessment) -> Facing | None:
    """Return how the observer of the sheet faces; None where nobody and nothing has a place."""
    plan = assessment.plan
    observer = next((one for one in plan.crew_in(Role.OBSERVER) if one.place), None)
    stand = observer.place if observer else (plan.launch.place if plan.launch else plan.anchor())
    if stand is None:
        return None
    landmark = plan.sheet.landmark if plan.sheet else None
    target = landmark.place if landmark else _middle(plan)
    apart = target is not None and distance_m(stand, target) > _HERE_M
    toward = bearing(stand, target) if target is not None and apart else TrueBearing(0.0)
    east = declination_deg(stand, plan.window.start_utc) if plan.window else None
    return Facing(stand, observer, toward, plain(landmark.name, 40) if landmark else "", east)


def _middle(plan: Plan) -> Place | None:
    """Return the middle of the path, else of the area."""
    places = [point.place for point in plan.path] or (list(plan.area.ring) if plan.area else [])
    if not places:
        return None
    lons = np.unwrap([place.lon_deg for place in places], period=360.0)
    lon = float(lons.min() + lons.max()) / 2
    lats = [place.lat_deg for place in places]
    return Place((lon + 180.0) % 360.0 - 180.0, (min(lats) + max(lats)) / 2)


def facing_words(facing: Facing | None) -> tuple[str, str]:
    """Return what is at twelve o'clock, and its bearing: ('the mast', '049° magnetic (060° true)')."""
    if facing is None:
        return "", ""
    true = f"{degrees(facing.toward.deg)} true"
    compass = facing.by_compass
    what = facing.landmark or "the middle of the flight"
    if compass is None:
        return what, f"{true}; magnetic not known for that date"
    return what, f"{degrees(compass.deg)} magnetic ({true})"


def degrees(deg: float) -> str:
    """Return a bearing in three figures: '007°'."""
    return f"{round(deg) % 360:03d}°"


def declination_words(declination: float | None) -> str:
    """Return a declination: '12° E'."""
    if declination is None:
        return ""
    return f"{abs(declination):.0f}° {'E' if declination >= 0 else 'W'}"
