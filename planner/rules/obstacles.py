"""Rules on structures in the way: a record that gives height is also a thing to hit."""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.flight.fall import PLACE_ERROR_M
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.stretches import Stretch, place_at, stretches
from planner.rules.words import along, over_ft, room_ft
from planner.track.track import Track
from planner.world.obstacles import Obstacles
from planner.world.structures import UNSTATED_ERROR_M, Structure

CITATION = "common practice: 14 CFR 107.23(a), 107.49(a)(4) on hazards to persons and property (from memory)"
_OWN_HALF_WIDTH_M = 1.0
"""Half the width of a slim structure; records say nothing of it."""
_NAMED = 3

Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]


def structures_in_the_way(case: Case) -> Iterator[Finding]:
    """Yield a stop where the path meets a structure, an act where it may, by the record's errors."""
    track = case.track
    if track is None or case.mapped is None or len(track) < 2:
        return
    obstacles = case.mapped.obstacles
    west, east = float(np.nanmin(track.x_m)), float(np.nanmax(track.x_m))
    south, north = float(np.nanmin(track.y_m)), float(np.nanmax(track.y_m))
    for index in _near(case, obstacles, (west, south, east, north)):
        passed = _Passed.by(case, track, obstacles.structures[index], index)
        if passed is not None:
            yield from passed.findings()


@attrs.frozen(eq=False)
class _Passed:
    """A path beside a structure: per sample, how far the path runs from it on the map [m].

    `may_m` is how near it may come to be met: by the record's error, and the aircraft's own.
    """

    track: Track
    structure: Structure
    aside_m: Floats
    touch_m: float
    may_m: float
    top_amsl_m: float | None

    @classmethod
    def by(cls, case: Case, track: Track, structure: Structure, index: int) -> "_Passed | None":
        assert case.mapped is not None
        obstacles = case.mapped.obstacles
        x_m, y_m = float(obstacles.x_m[index]), float(obstacles.y_m[index])
        touch_m = _touch_m(case)
        may_m = touch_m + _error(structure.horizontal_error_m) + PLACE_ERROR_M
        aside_m = _aside(track, x_m, y_m)
        if not (aside_m <= may_m).any():
            return None
        top_m = structure.top_amsl_m
        if top_m is None and structure.height_agl_m is not None and case.mapped.ground is not None:
            top_m = float(case.mapped.ground.ground(np.array([x_m]), np.array([y_m]))[0])
            top_m = top_m + structure.height_agl_m if np.isfinite(top_m) else None
        return cls(track, structure, aside_m, touch_m, may_m, top_m)

    def findings(self) -> Iterator[Finding]:
        """Yield what the path meets, then what it may meet."""
        hit = self.aside_m <= self.touch_m
        if self.top_amsl_m is None:
            there = self.aside_m <= self.may_m - PLACE_ERROR_M
            for part in stretches(self.track, there):
                yield self._of_unknown_top(part)
            if not there.any():
                for part in stretches(self.track, self.aside_m <= self.may_m):
                    yield self._may_meet(part)
            return
        with np.errstate(invalid="ignore"):
            low = ~(self.track.planned_amsl_m > self.top_amsl_m)
            low_at_worst = ~(
                self.track.planned_amsl_m > self.top_amsl_m + _error(self.structure.vertical_error_m)
            )
        meets = hit & low
        may = self.aside_m <= self.may_m
        for part in stretches(self.track, meets):
            yield self._meets(part)
        if not meets.any():
            for part in stretches(self.track, may & low_at_worst):
                yield self._may_meet(part)

    def _meets(self, part: Stretch) -> Finding:
        return self._finding(
            part,
            Mark.STOP,
            "structure-in-the-way",
            f"Flies into {self.structure.label}",
            f"At {along(part.from_m)} the path leads through the place of the structure, below its top.",
            "bend the path round it, or fly above its top",
        )

    def _may_meet(self, part: Stretch) -> Finding:
        nearest = float(self.aside_m[part.slice].min())
        assumed = " (assumed: it states no accuracy)" if self.structure.horizontal_error_m is None else ""
        return self._finding(
            part,
            Mark.ACT,
            "structure-close",
            f"Close to {self.structure.label}",
            f"The path passes {room_ft(nearest)} beside it, {self._how_high()}; its record may be "
            f"{over_ft(_error(self.structure.horizontal_error_m))} off{assumed}, and no aircraft is where it "
            f"is planned more exactly than {over_ft(PLACE_ERROR_M)}. Wires and guys are not in the record.",
            "look at it on the spot, and keep clear of it and its wires",
        )

    def _how_high(self) -> str:
        return "and no record says how high it is" if self.top_amsl_m is None else "below its top"

    def _of_unknown_top(self, part: Stretch) -> Finding:
        return self._finding(
            part,
            Mark.UNKNOWN,
            "structure-of-unknown-height",
            f"Height of {self.structure.label} not known",
            f"At {along(part.from_m)} the path passes its place, and no record says how high it is.",
            "bend the path round it, or find out how high it is",
        )

    def _finding(
        self, part: Stretch, mark: Mark, rule: str, title: str, message: str, remedy: str
    ) -> Finding:
        worst = part.first + int(np.argmin(self.aside_m[part.slice]))
        return Finding(
            rule=rule,
            mark=mark,
            basis=Basis.SAFETY,
            title=title,
            message=message,
            citation=CITATION,
            remedy=remedy,
            from_m=part.from_m,
            to_m=part.to_m,
            place=place_at(self.track, worst),
            numbers={"aside_m": float(self.aside_m[worst])},
        )


def structures_in_area(case: Case) -> Iterator[Finding]:
    """Yield one act for the structures that stand in a flying area, or so near that they may."""
    samples = case.area_samples
    if samples is None or case.mapped is None or case.area is None:
        return
    obstacles = case.mapped.obstacles
    near = np.array(_near(case, obstacles, samples.footprint.bounds), dtype=np.int64)
    errors = (_error(obstacles.structures[index].horizontal_error_m) for index in near.tolist())
    may_m = np.fromiter(errors, float, len(near)) + PLACE_ERROR_M + _touch_m(case)
    places = shapely.points(obstacles.x_m[near], obstacles.y_m[near])
    inside = near[shapely.distance(samples.footprint, places) <= may_m]
    found = sorted(obstacles.structures[index].label for index in inside.tolist())
    if not found:
        return
    more = f" and {len(found) - _NAMED} more" if len(found) > _NAMED else ""
    yield Finding(
        rule="structures-in-area",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="Structures stand in the flying area",
        message=f"On record in it, or no farther beside than record and aircraft may be off, are "
        f"{', '.join(found[:_NAMED])}{more}. Wires and guys are not in the records.",
        citation=CITATION,
        remedy="look at them on the spot, and tell the observer to call them",
        place=obstacles.structures[int(inside[0])].place,
    )


def _near(case: Case, obstacles: Obstacles, box_m: tuple[float, float, float, float]) -> list[int]:
    """Return which structures may be met in a box of the plane [m]: each as far off as its record may be."""
    by_m = PLACE_ERROR_M + _touch_m(case)
    west, south, east, north = box_m
    wide = west - by_m, south - by_m, east + by_m, north + by_m
    near: list[int] = obstacles.may_be_within(wide, UNSTATED_ERROR_M).tolist()
    return near


def _touch_m(case: Case) -> float:
    """Return how near to the middle of a slim structure the aircraft touches it [m]."""
    size_m = case.plan.aircraft.largest_dimension_m if case.plan.aircraft else 0.0
    return _OWN_HALF_WIDTH_M + size_m / 2


def _error(stated_m: float | None) -> float:
    return UNSTATED_ERROR_M if stated_m is None else stated_m


def _aside(track: Track, x_m: float, y_m: float) -> Floats:
    """Return, per sample, the least distance on the map of the pieces of path that meet in it [m]."""
    points = np.column_stack([track.x_m, track.y_m]) - (x_m, y_m)
    start, step = points[:-1], np.diff(points, axis=0)
    length2 = np.maximum((step**2).sum(axis=1), 1e-12)
    share = np.clip(-(start * step).sum(axis=1) / length2, 0.0, 1.0)
    pieces = np.hypot(*(start + share[:, None] * step).T)
    return np.asarray(np.minimum(np.append(pieces, np.inf), np.insert(pieces, 0, np.inf)))


RULES = (structures_in_the_way, structures_in_area)
