"""Rule on how near an action on lost link comes to where the record ends that opens its airspace."""

from collections.abc import Iterator

import attrs
import numpy as np

from planner.flight.failsafe import RETURNS
from planner.flight.upright import Upright, ways_down
from planner.flight.way_home import LossWays
from planner.permission.entries import top_amsl_m
from planner.permission.routes import TOLERANCE_M
from planner.plan.records import PermissionRecord
from planner.rules.beside import Beside
from planner.rules.beside_record import Inside, close_to_end, held_on_record, leaves_open, nearest_inside
from planner.rules.beside_return import closes_or_asks, near_ways, nearest_down, nearest_of_return
from planner.rules.case import Case
from planner.rules.finding import Finding
from planner.rules.lost_ways import comes_into, losses_of
from planner.rules.opened import Opened, opened_of
from planner.track.mapped import Mapped
from planner.track.way_samples import sample_way


def return_close_to_the_end_of_a_record(case: Case) -> Iterator[Finding]:
    """Yield what it means that a way on lost link stays inside a record by less than anybody flies to.

    As of the flight itself; where that leaves it open as well, or as little, it alone is told.
    """
    mapped = case.mapped
    if mapped is None:
        return
    for columns, records in (*held_on_record(case), *_held_on_lost_link(case, mapped)):
        for column in columns:
            opened, volume = opened_of(case, mapped, column), mapped.airspace[column]
            found = [near for loss, _ in losses_of(case) if (near := _nearest(opened, loss))]
            near = min(found, key=lambda one: one.away_m, default=None)
            if near is None or near.away_m <= TOLERANCE_M:
                continue
            flown = nearest_inside(case, mapped, opened)
            graver = leaves_open(volume, near) and not (flown and leaves_open(volume, flown))
            if flown is None or graver:
                yield close_to_end(case, volume, near, records)
                break


def _held_on_lost_link(
    case: Case, mapped: Mapped
) -> Iterator[tuple[tuple[int, ...], tuple[PermissionRecord, ...]]]:
    """Yield what only ways on lost link enter with leave on record: columns, and the records."""
    told = {column for columns, _ in held_on_record(case) for column in columns}
    for column in sorted({column for loss, _ in losses_of(case) for column in near_ways(mapped, loss)}):
        volume = mapped.airspace.get(column)
        if volume is None or column in told or not closes_or_asks(case, volume):
            continue
        grants = opened_of(case, mapped, column).grants
        if grants and comes_into(case, column, volume):
            yield (column,), tuple(grant.record for grant in grants)


def _nearest(opened: Opened, loss: LossWays) -> Inside | None:
    """Return where ways on lost link come nearest to the end of what is open at their heights."""
    if loss.failsafe.action in RETURNS:
        near = _nearest_of_return(opened, loss)
    else:
        found = _nearest_down(opened, ways_down(loss))
        near = min(found, key=lambda one: round(one.away_m, 1), default=None)
    return None if near is None else Inside(near.words, near.away_m, near.place)


def _nearest_of_return(opened: Opened, loss: LossWays) -> Beside | None:
    """Return where returns come nearest, by the records that allow the highest of them.

    One whose height is not known, which is told, hides no other.
    """
    ends = np.column_stack([loss.corner_x_m.ravel(), loss.corner_y_m.ravel()])
    ends = ends[np.isfinite(ends).all(axis=1)]
    highest_m = np.full(len(ends), float(np.fmax.reduce(loss.corner_amsl_m, axis=None, initial=-np.inf)))
    beyond = opened.beyond(opened.all_along(sample_way(opened.mapped, ends, highest_m)))
    if beyond is None:
        return None
    return nearest_of_return(opened.mapped, loss, beyond, opened.mapped.airspace[opened.column])


def _nearest_down(opened: Opened, down: Upright) -> Iterator[Beside]:
    """Yield, for each part of what comes down that the same records allow, where it comes nearest."""
    volume = opened.mapped.airspace[opened.column]
    places = np.column_stack([down.x_m, down.y_m])
    known = np.isfinite(places).all(axis=1)
    places, high_m, low_m = places[known], down.high_m[known], down.low_m[known]
    samples = sample_way(opened.mapped, places, high_m, low_m)
    # What it passes above the airspace takes no record.
    to_m = np.fmin(high_m, top_amsl_m(volume, samples))
    allowed = opened.high_enough(attrs.evolve(samples, planned_amsl_m=to_m))
    for counts in np.unique(allowed, axis=1).T:
        if (beyond := opened.beyond(counts)) is not None:
            there = (allowed == counts[:, None]).all(axis=0)
            x_m, y_m = places[there].T
            part = Upright(down.owner[known][there], x_m, y_m, low_m[there], high_m[there])
            if (near := nearest_down(opened.mapped, part, beyond, volume)) is not None:
                yield near


RULES = (return_close_to_the_end_of_a_record,)
