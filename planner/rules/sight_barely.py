"""The rule on what is seen by less than the terrain's vertical error may take."""

import math
from collections.abc import Iterator

import numpy as np

from planner.plan.crew import CrewMember
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.must_see import Demand, demands_of
from planner.rules.sight import names_of
from planner.rules.stretches import Stretch, place_at, stretches
from planner.rules.words import along, error_words, over_ft, room_ft
from planner.sight.along import SightProfile
from planner.sight.line import line_of_sight
from planner.sight.spot import Spot
from planner.sight.surely import vertical_error_m
from planner.track.track import Track
from planner.world.terrain import Terrain


def barely_seen(case: Case) -> Iterator[Finding]:
    """Yield what is seen over the ground as it is given, but not over it as high as it may be."""
    track = case.track
    if case.sight is None or case.sight.surfaces is None or track is None:
        return
    terrain = case.sight.surfaces.ground.terrain
    found: dict[Stretch, tuple[list[CrewMember], Demand]] = {}
    for demand in demands_of(case):
        for part in stretches(track, demand.barely):
            found.setdefault(part, ([], demand))[0].extend(demand.people)
    for part, (people, demand) in sorted(found.items(), key=lambda one: one[0].first):
        yield _finding(case, track, terrain, part, (tuple(people), demand))


def _finding(
    case: Case, track: Track, terrain: Terrain, part: Stretch, watched: tuple[tuple[CrewMember, ...], Demand]
) -> Finding:
    people, demand = watched
    profile, worst = _tightest(demand, part)
    spare_m, sure_m = _exactly(case, track, profile, worst)
    who, at = names_of(people, case.plan.purpose), along(float(track.distance_m[worst]))
    return Finding(
        rule="barely-seen",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=f"Barely seen by {who}",
        message=(
            f"{who} may lose it {_ends(part)}: at {at} it could sink {room_ft(max(spare_m, 0.0))} before it "
            f"is hidden, and {over_ft(spare_m - sure_m)} are uncertain, as the ground between may be "
            f"{error_words(terrain)} higher than given."
        ),
        citation=demand.citation,
        remedy=(
            f"{_higher(case, track, worst, -sure_m)}let them stand nearer or elsewhere, or look from where "
            "they stand before the flight: the ground there shows what no chart does"
        ),
        from_m=part.from_m,
        to_m=part.to_m,
        place=place_at(track, worst),
        numbers={
            "spare_m": spare_m,
            "uncertainty_m": spare_m - sure_m,
            "ground_error_m": terrain.vertical_uncertainty_m,
        },
    )


def _tightest(demand: Demand, part: Stretch) -> tuple[SightProfile, int]:
    """Return the sample at which whoever sees the stretch best has the least, and what they have."""

    def least_m(profile: SightProfile) -> float:
        return float(
            np.nanmin(np.where(profile.barely[part.slice], profile.sure_spare_m[part.slice], math.inf))
        )

    profile = max(demand.profiles, key=least_m)
    barely_m = np.where(profile.barely[part.slice], profile.sure_spare_m[part.slice], math.inf)
    return profile, part.first + int(np.nanargmin(barely_m))


def _exactly(case: Case, track: Track, profile: SightProfile, sample: int) -> tuple[float, float]:
    """Return by how much it could sink, nominally and surely."""
    spare_m, sure_m = float(profile.spare_m[sample]), float(profile.sure_spare_m[sample])
    sight = case.sight
    if sight is None or sight.surfaces is None:
        return spare_m, sure_m
    eye = next(viewer.eye for viewer in sight.viewers if viewer.key == profile.key)
    axes = (track.x_m, track.y_m, track.planned_amsl_m, track.ground_amsl_m)
    target = Spot(*(float(axis[sample]) for axis in axes))
    given, lifted = (
        line_of_sight(sight.surfaces, eye, target, sight.conditions.refraction, error_m)
        for error_m in (0.0, vertical_error_m(sight.surfaces))
    )
    # A sample answers for points beside it, too.
    return min(spare_m, given.spare_m), lifted.spare_m if lifted.clear is False else sure_m


def _ends(part: Stretch) -> str:
    if part.to_m - part.from_m < 0.5:
        return f"at {along(part.from_m)}"
    return f"from {along(part.from_m)} to {along(part.to_m)}"


def _higher(case: Case, track: Track, sample: int, rise_m: float) -> str:
    """Return by how much higher it would surely be seen where that is allowed."""
    if case.profile is None or not math.isfinite(rise_m):
        return ""
    room_m = float(case.profile.ceiling_amsl_m[sample] - track.planned_amsl_m[sample])
    at = along(float(track.distance_m[sample]))
    return f"fly {over_ft(rise_m)} higher at {at}, " if room_m >= rise_m else ""


RULES = (barely_seen,)
