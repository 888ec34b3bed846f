"""What the crew has of the path, on its own axis: one line for paper, JSON and screen."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.plan.crew import CrewMember
from planner.rules.case import Case
from planner.rules.must_see import Demand, all_stand_somewhere, demands_of
from planner.sight.along import GRAVEST_FIRST, Sight, Viewer

Floats = NDArray[np.float64]


@attrs.frozen(eq=False)
class SightAxis:
    """Arrays (n,) on the track's samples, each of the person who decides there.

    Of those who must see the one with the gravest lack decides; where one of
    several observers is enough it is the one who has it best. `grave` is an
    index into `GRAVEST_FIRST`, `who` one into `people`. `sun_tried` tells where
    that person has tried their range toward the sun; `spare_m` is by how much the
    aircraft could be lower and still be seen, `sure_spare_m` the same with the ground as high as its
    stated error allows. Without `all_placed` somebody who
    must see is missing or stands nowhere: then nothing is better than not known.
    """

    grave: NDArray[np.int64]
    who: NDArray[np.int64]
    people: tuple[CrewMember, ...]
    slant_range_m: Floats
    clearance_m: Floats
    spare_m: Floats
    sure_spare_m: Floats
    sun_angle_deg: Floats
    sun_tried: NDArray[np.bool_]
    all_placed: bool

    def nobody_knows(self, sight: Sight) -> bool:
        """Whether something is not known, though all who stand somewhere may see it, for want of a place."""
        return sight is Sight.UNKNOWN and not self.all_placed

    def sight_at(self, sample: int) -> Sight:
        """Return how it is seen at a sample."""
        return GRAVEST_FIRST[int(self.grave[sample])]

    def person_at(self, sample: int) -> CrewMember:
        """Return who decides at a sample."""
        return self.people[int(self.who[sample])]


def sight_axis(case: Case | None) -> SightAxis | None:
    """Return what the crew has of the path; None without a path or without anybody who must see."""
    sight = case.sight if case is not None else None
    if case is None or sight is None or not (demands := demands_of(case)):
        return None
    keys = [member.key for member in sight.people]
    best = [_best(demand, keys) for demand in demands]
    grave = np.stack([of_demand for of_demand, _ in best])
    worst = grave.argmin(axis=0)
    rows = np.arange(grave.shape[1])
    deciding_grave = grave[worst, rows]
    all_placed = all_stand_somewhere(case.plan)
    if not all_placed:
        deciding_grave = np.minimum(deciding_grave, GRAVEST_FIRST.index(Sight.UNKNOWN))
    who = np.stack([deciding for _, deciding in best])[worst, rows]

    def of_person(name: str) -> Floats:
        values = np.stack([getattr(profile, name) for profile in sight.profiles])
        return np.asarray(values[who, rows], dtype=float)

    return SightAxis(
        grave=deciding_grave,
        who=who,
        people=sight.people,
        slant_range_m=of_person("slant_range_m"),
        clearance_m=of_person("clearance_m"),
        spare_m=of_person("spare_m"),
        sure_spare_m=of_person("sure_spare_m"),
        sun_angle_deg=of_person("sun_angle_deg"),
        sun_tried=np.array([_tried_toward_sun(viewer) for viewer in sight.viewers])[who],
        all_placed=all_placed,
    )


def _tried_toward_sun(viewer: Viewer) -> bool:
    return viewer.reach.tried is not None and viewer.reach.tried.against_sun


def _best(demand: Demand, keys: list[str]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return, per sample, the best that any of them has, and whose it is."""
    graves = demand.graves
    best = graves.argmax(axis=0)
    indices = np.array([keys.index(member.key) for member in demand.people])
    return graves[best, np.arange(graves.shape[1])], indices[best]
