"""Rule on how near a return on lost link comes to where the record ends that opens its airspace."""

from collections.abc import Iterator

import numpy as np

from planner.flight.failsafe import RETURNS
from planner.flight.way_home import LossWays
from planner.permission.routes import TOLERANCE_M
from planner.rules.beside_record import Inside, close_to_end, held_on_record, nearest_inside
from planner.rules.beside_return import nearest_of_return
from planner.rules.case import Case
from planner.rules.finding import Finding
from planner.rules.lost_ways import losses_of
from planner.rules.opened import Opened, opened_of
from planner.track.way_samples import sample_way


def return_close_to_the_end_of_a_record(case: Case) -> Iterator[Finding]:
    """Yield what it means that a return stays inside a record by less than anybody flies to.

    As of the flight itself; where that comes as close, it alone is told.
    """
    if case.mapped is None:
        return
    for columns, records in held_on_record(case):
        for column in columns:
            opened = opened_of(case, case.mapped, column)
            found = [near for loss, _ in losses_of(case) if (near := _nearest(opened, loss))]
            if not found or nearest_inside(case, case.mapped, opened) is not None:
                continue
            near = min(found, key=lambda one: one.away_m)
            if near.away_m > TOLERANCE_M:
                yield close_to_end(case, case.mapped.airspace[column], near, records)
                break


def _nearest(opened: Opened, loss: LossWays) -> Inside | None:
    """Return where returns come nearest, by the records that allow the highest of them."""
    if loss.failsafe.action not in RETURNS:
        return None
    ends = np.column_stack([loss.corner_x_m.ravel(), loss.corner_y_m.ravel()])
    ends = ends[np.isfinite(ends).all(axis=1)]
    highest_m = np.full(len(ends), float(np.max(loss.corner_amsl_m, initial=-np.inf)))
    beyond = opened.beyond(opened.all_along(sample_way(opened.mapped, ends, highest_m)))
    if beyond is None:
        return None
    near = nearest_of_return(opened.mapped, loss, beyond, opened.mapped.airspace[opened.column])
    return None if near is None else Inside(near.words, near.away_m, near.place)


RULES = (return_close_to_the_end_of_a_record,)
