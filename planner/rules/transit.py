"""Rules on the way between the launch or landing point and what is drawn: flown, but not drawn."""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel, Height
from planner.permission.entries import is_active
from planner.permission.inquiry import answers_on, inquired_of
from planner.permission.records import Grant, grants_for
from planner.permission.routes import TOLERANCE_M
from planner.rules.bibliography import airspace_rule, height_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flown import flown
from planner.rules.words import along
from planner.track.mapped import Mapped
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, NEEDS_AUTHORIZATION, AirspaceVolume

FARTHEST_M = 1_000.0
"""Farther than this a straight hop is no fair guess any more of how the path is reached: a rule of thumb."""
_SAMPLES = 201
HERE_M = 1.0

Floats = NDArray[np.float64]


@attrs.frozen(eq=False)
class UndrawnWay:
    """A straight way that is not drawn, from the ground to the height flown at its other end."""

    words: str
    line: shapely.LineString
    ground_amsl_m: Floats
    planned_amsl_m: Floats

    @property
    def shares(self) -> Floats:
        """Shares of the way at its samples."""
        return np.linspace(0.0, 1.0, len(self.ground_amsl_m))

    def over(self, met: shapely.Geometry) -> NDArray[np.bool_]:
        """Return which samples lie on a piece of the way, those beside its ends included."""
        corners = shapely.get_coordinates(met)
        shares = [self.line.project(shapely.Point(corner), normalized=True) for corner in corners]
        step = 1.0 / (_SAMPLES - 1)
        return np.asarray((self.shares >= min(shares) - step) & (self.shares <= max(shares) + step))


def undrawn_way(case: Case) -> Iterator[Finding]:
    """Yield an unknown for a long way to or from the path, or one through airspace or over unknown ground.

    An act where a straight one would meet the ground, or be too high in between.
    """
    if case.mapped is None:
        return
    for way in ways_not_drawn(case, case.mapped):
        if way.line.length <= HERE_M:
            continue
        crossed = _crossed(case, case.mapped, way)
        if crossed:
            yield _finding(case, way, Mark.UNKNOWN, f"leads through {crossed}")
        elif way.line.length > FARTHEST_M:
            yield _finding(case, way, Mark.UNKNOWN, "how it is flown is anybody's guess")
        elif np.isnan(way.ground_amsl_m).any():
            yield _finding(case, way, Mark.UNKNOWN, "leads over ground that is not known")
        elif trouble := _heights(way):
            yield _finding(case, way, Mark.ACT, trouble)


def _finding(case: Case, way: UndrawnWay, mark: Mark, why: str) -> Finding:
    assert case.mapped is not None
    return Finding(
        rule="way-not-drawn",
        mark=mark,
        basis=Basis.LAW,
        title=f"The way {way.words} is not drawn",
        message=f"It is {along(way.line.length)} long, and {why}. Only what is drawn is judged.",
        citation=f"{airspace_rule(case.plan.purpose)}; {height_rule(case.plan.purpose)}",
        remedy="draw the path from the launch point and to the landing point",
        place=case.mapped.frame.xy_to_place(*way.line.coords[0]),
        numbers={"length_m": way.line.length},
    )


def ways_not_drawn(case: Case, mapped: Mapped) -> Iterator[UndrawnWay]:
    """Yield the straight ways between launch or landing point and what is drawn."""
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


def _top(case: Case, top: Height, there: tuple[float, float]) -> float:
    assert case.mapped is not None
    match top:
        case AboveSeaLevel():
            return top.m
        case AboveLaunch():
            return case.area_samples.launch_ground_amsl_m + top.m if case.area_samples else float("nan")
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


def _heights(way: UndrawnWay) -> str:
    """Return what a straight way meets between its ends, '' if nothing."""
    with np.errstate(invalid="ignore"):
        agl_m = way.planned_amsl_m - way.ground_amsl_m
        if (agl_m < -TOLERANCE_M).any():
            return "flown straight it would meet the ground"
        # A path that is itself as high is judged by the rules on height.
        high = agl_m > GROUND_LIMIT_M + TOLERANCE_M
        if high.any() and not high[-1]:
            return "flown straight it would be higher than 400 ft above the ground"
    return ""


def _crossed(case: Case, mapped: Mapped, way: UndrawnWay) -> str:
    for column in map(int, mapped.outlines.columns_near(np.array(way.line.bounds))):
        volume = mapped.airspace.get(column)
        if volume is None or not _restricts(case, volume):
            continue
        inside = shapely.intersection(mapped.outlines.polygon(column), way.line)
        if flown(case, column, volume):
            inside = shapely.difference(inside, _opened(case, mapped, column, volume))
        if not inside.is_empty and _at_height(volume, way, inside):
            return volume.name or "an airspace without a name"
    return ""


def _restricts(case: Case, volume: AirspaceVolume) -> bool:
    closes = volume.kind in NEEDS_AUTHORIZATION | FORBIDDEN_WHILE_ACTIVE
    return (closes or inquired_of(volume, case.plan.purpose)) and is_active(volume, case.plan.window)


def _opened(case: Case, mapped: Mapped, column: int, volume: AirspaceVolume) -> shapely.Geometry:
    """Return where records open a volume that is flown in; all of it where none does: told anyway."""
    if inquired_of(volume, case.plan.purpose):
        grants = answers_on(volume, case.plan, mapped)
    else:
        settled = any(use.need.recorded for use in case.uses if column in use.volumes)
        grants = grants_for(volume, case.plan, mapped) if settled else ()
    if not grants:
        return mapped.outlines.polygon(column)
    opened = shapely.union_all([_reach(grant, mapped, column) for grant in grants])
    return shapely.buffer(opened, TOLERANCE_M)


def _reach(grant: Grant, mapped: Mapped, column: int) -> shapely.Geometry:
    outlines = [mapped.outlines.polygon(bound) for bound in (column, *grant.columns)]
    return shapely.intersection_all(outlines)


def _at_height(volume: AirspaceVolume, way: UndrawnWay, inside: shapely.Geometry) -> bool:
    """Whether the way lies in the volume at its height; a height that is not known does."""
    there = way.over(inside)
    ground_m, planned_m = way.ground_amsl_m[there], way.planned_amsl_m[there]
    with np.errstate(invalid="ignore"):
        below = planned_m < volume.floor.floor_amsl_m(ground_m)
        above = planned_m > volume.top.top_amsl_m(ground_m)
    return bool((~below & ~above).any())


RULES = (undrawn_way,)
