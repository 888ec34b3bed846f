"""What a request has to hold beside what is drawn: the ways to the spots, and home on lost link."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.way_home import LossWays
from planner.permission.besides import Besides
from planner.permission.need import Rise
from planner.permission.needs import AirspaceUse
from planner.rules.area_down import down_beside_area, down_over
from planner.rules.case import Case
from planner.rules.flown_higher import samples_as_flown
from planner.rules.flown_over_limit import over_height_limit
from planner.rules.lost_ways import losses_of, returned_in, ways_over
from planner.rules.undrawn import ways_not_drawn
from planner.rules.undrawn_samples import undrawn_samples
from planner.track.mapped import Mapped
from planner.track.way_samples import WaySamples
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, AirspaceVolume

_THIN_M = 0.1
_ROUNDING_M = 1e-6


def flown_besides(case: Case | None) -> Besides:
    """Return what the flight needs beside its path and area, in the plane."""
    if case is None or case.mapped is None:
        return Besides()
    ways: list[BaseGeometry] = [way.line for way in ways_not_drawn(case, case.mapped)]
    on_lost_link = list(_on_lost_link(case))
    closed = _closed_entered(case, case.mapped)
    lost, higher = tuple(_through_closed(case, case.mapped, closed)), tuple(samples_as_flown(case))
    over = {Rise.ON_LOST_LINK: lost, Rise.AS_FLOWN: higher}
    ways += [one.footprint for one in higher]
    return Besides(
        _wide(ways + on_lost_link),
        on_lost_link=bool(on_lost_link),
        samples=(*undrawn_samples(case, _closed), *lost),
        higher=higher,
        over_limit_m={
            rise: over_height_limit(case.plan, case.mapped, flown, closed) for rise, flown in over.items()
        },
    )


def besides_asked_about(case: Case | None, uses: Sequence[AirspaceUse]) -> Besides:
    """Return it with how far it comes above the limit on height in what the authority is asked about, too."""
    found, columns = flown_besides(case), [k for use in uses for k in use.volumes]
    if case is None or case.mapped is None or not columns:
        return found
    mapped = case.mapped
    flown = {
        Rise.ON_LOST_LINK: tuple(_through_closed(case, mapped, columns)),
        Rise.AS_FLOWN: found.higher,
    }
    over = {
        rise: {**found.over_limit_m.get(rise, {}), **over_height_limit(case.plan, mapped, these, columns)}
        for rise, these in flown.items()
    }
    return attrs.evolve(found, over_limit_m=over)


def _closed(volume: AirspaceVolume) -> bool:
    return volume.kind in FORBIDDEN_WHILE_ACTIVE


def _closed_entered(case: Case, mapped: Mapped) -> list[int]:
    """Return the columns of what only an agency opens and the plan has to ask for."""
    return [k for use in case.uses for k in use.volumes if _closed(mapped.airspace[k])]


def _through_closed(case: Case, mapped: Mapped, entered: Sequence[int]) -> Iterator[WaySamples]:
    """Yield samples of what is flown on lost link through airspace that is entered."""
    for loss, in_row in losses_of(case):
        for column in entered:
            for samples in ways_over(mapped, loss, mapped.outlines.polygon(column), in_row=in_row):
                yield attrs.evolve(samples, on_lost_link=True)
    # These are asked over the lowest ground, too.
    for places in case.returned:
        if (inside := returned_in(mapped, places, lambda column, _volume: column in entered)) is not None:
            yield attrs.evolve(inside, on_lost_link=True)
    for samples in down_beside_area(case, mapped, lambda column, _volume: column in entered):
        yield attrs.evolve(samples, on_lost_link=True)


def home_on_lost_link(case: Case) -> BaseGeometry:
    """Return what the ways on lost link sweep over, in the plane [m]."""
    return _wide(list(_on_lost_link(case)))


def _wide(found: Sequence[BaseGeometry]) -> BaseGeometry:
    # Between places in one line nothing would be left of an outline that thin.
    shapes = np.asarray(found, dtype=object)
    return shapely.union_all(shapely.buffer(shapes, _THIN_M + _ROUNDING_M, quad_segs=2))


def _on_lost_link(case: Case) -> Iterator[BaseGeometry]:
    """Yield what the ways on lost link sweep over: of a straight leg all between those from its ends."""
    if case.flight is not None and case.flight.loss is not None and case.track is not None:
        leg = case.track.leg
        ends = np.concatenate([[0], np.flatnonzero(np.diff(leg)) + 1, [len(leg) - 1]])
        corners = _corners(case.flight.loss)
        for first, last in pairwise(ends.tolist()):
            yield from _hull(corners[first : last + 1].reshape(-1, 2))
    elif case.area_flight is not None:
        for loss in case.area_flight.losses:
            for corners in _corners(loss):
                yield from _hull(corners)
    if (over := down_over(case)) is not None:
        yield over[0]


def _corners(loss: LossWays) -> NDArray[np.float64]:
    return np.stack([loss.corner_x_m, loss.corner_y_m], axis=2)


def _hull(places: NDArray[np.float64]) -> Iterator[BaseGeometry]:
    known = places[np.isfinite(places).all(axis=1)]
    if len(known):
        # Of places in one line rounding makes corners: to grow a hull of many of them takes seconds.
        yield shapely.simplify(shapely.MultiPoint(known).convex_hull, _ROUNDING_M)
