"""The ways between launch, landing or bail-out places and what is drawn: flown, but not drawn."""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel, Height
from planner.rules.case import Case
from planner.track.mapped import Mapped
from planner.track.track import Track

HERE_M = 1.0
"""A way as short as this on the map is a column straight up or down."""
_SAMPLES = 201
_MOST_NAMED = 36
"""So many letters of a figure's name leave the title whole on paper."""

Floats = NDArray[np.float64]


@attrs.frozen(eq=False)
class UndrawnWay:
    """A straight way that is not drawn, from the ground to the height flown at its other end."""

    words: str
    line: shapely.LineString
    ground_amsl_m: Floats
    planned_amsl_m: Floats
    cure: str = "draw the path from the launch point and to the landing point"

    @property
    def shares(self) -> Floats:
        """Shares of the way at its samples."""
        return np.linspace(0.0, 1.0, len(self.ground_amsl_m))

    @property
    def is_column(self) -> bool:
        """Whether it leads straight up or down: its ends lie at one place on the map."""
        return bool(self.line.length <= HERE_M)

    def height_amsl_m(self, shares: Floats) -> Floats:
        """Return the heights flown at shares of the way [m AMSL]."""
        first_m, last_m = float(self.planned_amsl_m[0]), float(self.planned_amsl_m[-1])
        return np.asarray(first_m + shares * (last_m - first_m))

    def places(self, shares: Floats) -> Floats:
        """Return the plane places (n, 2) at shares of the way [m]."""
        here, there = np.asarray(self.line.coords)[:, :2]
        return np.asarray(here + shares[:, None] * (there - here))

    def shares_on(self, met: shapely.Geometry) -> Floats:
        """Return shares of the way on pieces of it: the ends of each, and samples between."""
        found = []
        for piece in shapely.get_parts(met):
            corners = shapely.get_coordinates(piece)
            ends = [self.line.project(shapely.Point(corner), normalized=True) for corner in corners]
            between = self.shares[(self.shares > min(ends)) & (self.shares < max(ends))]
            found.append(np.concatenate([[min(ends)], between, [max(ends)]]))
        return np.concatenate(found)

    def over(self, met: shapely.Geometry) -> NDArray[np.bool_]:
        """Return which samples lie on a piece of the way, those beside its ends included."""
        corners = shapely.get_coordinates(met)
        shares = [self.line.project(shapely.Point(corner), normalized=True) for corner in corners]
        step = 1.0 / (_SAMPLES - 1)
        return np.asarray((self.shares >= min(shares) - step) & (self.shares <= max(shares) + step))


def ways_not_drawn(case: Case, mapped: Mapped) -> tuple[UndrawnWay, ...]:
    """Return the straight ways between what is drawn and launch point, landing point or a bail-out place."""
    return case.once(("ways not drawn", id(mapped)), lambda: tuple(_ways_not_drawn(case, mapped)))


def hand_on_ways(laid: Case, case: Case) -> None:
    """Let a case with the same plan, track and area know the ways that were found for another one."""
    if laid.mapped is not None:
        ways = ways_not_drawn(laid, laid.mapped)
        case.once(("ways not drawn", id(laid.mapped)), lambda: ways)


def _ways_not_drawn(case: Case, mapped: Mapped) -> Iterator[UndrawnWay]:
    plan, launch = case.plan, case.plan.launch
    landing = plan.landing or launch
    if case.track is not None and len(case.track):
        first = (float(case.track.x_m[0]), float(case.track.y_m[0]))
        last = (float(case.track.x_m[-1]), float(case.track.y_m[-1]))
        ends = (
            ("from the launch point to the path", launch, first, float(case.track.planned_amsl_m[0])),
            ("from the path to the landing point", landing, last, float(case.track.planned_amsl_m[-1])),
        )
        for words, spot, there, height_m in ends:
            if spot is not None:
                yield _way(mapped, words, mapped.frame.place_to_xy(spot.place), there, height_m)
        yield from _ways_out(case, mapped, case.track)
    elif case.area_samples is not None and plan.area is not None and plan.area.top is not None:
        for words, spot in (("to the flying area", launch), ("from the flying area", plan.landing)):
            if spot is None:
                continue
            here = mapped.frame.place_to_xy(spot.place)
            east_m, north_m = shapely.shortest_line(case.area_samples.footprint, shapely.Point(here)).coords[
                0
            ]
            nearest = (east_m, north_m)
            yield _way(mapped, words, here, nearest, _top(case, plan.area.top, nearest))


def _ways_out(case: Case, mapped: Mapped, track: Track) -> Iterator[UndrawnWay]:
    """Yield the ways on which figures are broken off: from where each begins, and ends, to its own place."""
    for span in case.plan.figure_spans():
        if span.figure.bail_out is None:
            continue
        called = " ".join(span.figure.called.split())[:_MOST_NAMED]
        here = mapped.frame.place_to_xy(span.figure.bail_out)
        for end, index in (("entry", span.first), ("exit", span.last)):
            k = int(track.point_sample[index])
            there, height_m = (float(track.x_m[k]), float(track.y_m[k])), float(track.planned_amsl_m[k])
            way = _way(mapped, f"from {called} ({end}) to its bail-out", here, there, height_m)
            yield attrs.evolve(way, cure="choose another bail-out place")


def launch_ground_m(case: Case) -> float:
    """Return the ground at the launch point [m AMSL], NaN where it is not known."""
    samples = next((one for one in (case.track, case.area_samples) if one is not None), None)
    return samples.launch_ground_amsl_m if samples is not None else float("nan")


def _top(case: Case, top: Height, there: tuple[float, float]) -> float:
    assert case.mapped is not None
    match top:
        case AboveSeaLevel():
            return top.m
        case AboveLaunch():
            return launch_ground_m(case) + top.m
        case AboveGround():
            return float(_ground(case.mapped, np.array([there[0]]), np.array([there[1]]))[0]) + top.m


def _way(
    mapped: Mapped, words: str, here: tuple[float, float], there: tuple[float, float], height_m: float
) -> UndrawnWay:
    shares = np.linspace(0.0, 1.0, _SAMPLES)
    x_m = here[0] + shares * (there[0] - here[0])
    y_m = here[1] + shares * (there[1] - here[1])
    ground_m = _ground(mapped, x_m, y_m)
    planned_m = ground_m[0] + shares * (height_m - ground_m[0])
    return UndrawnWay(words, shapely.LineString([here, there]), ground_m, planned_m)


def _ground(mapped: Mapped, x_m: Floats, y_m: Floats) -> Floats:
    return mapped.ground.ground(x_m, y_m) if mapped.ground else np.full(len(x_m), np.nan)
