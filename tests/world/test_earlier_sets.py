"""What a chart set made earlier holds otherwise: bare days, and what was not kept of structures.

A day lasts on earth from 10:00 UTC of the day before (UTC+14) to 12:00 UTC of the day after (UTC-12): the
IANA zones Pacific/Kiritimati and Etc/GMT+12. A stadium is closed from an hour before to an hour after (FAA
notice, check_values).
"""

from datetime import UTC, datetime

import attrs
import numpy as np
import pytest

from planner.world.airspace import AirspaceKind, AirspaceVolume
from planner.world.layers import LayerName
from planner.world.store.columns import encoded
from planner.world.store.geopackage import open_charts, write_features
from planner.world.structures import Structure
from tests.rules.test_near_times import closure, game
from tests.worlds import disc, tower, volume

DAY, NEXT = datetime(2027, 6, 12, tzinfo=UTC), datetime(2027, 6, 13, tzinfo=UTC)
HOUR = NEXT - datetime(2027, 6, 12, 23, tzinfo=UTC)


def kept(path, restriction, *, earlier):
    """A restriction as a chart set gives it back; of one made earlier without the column for bare days."""
    columns = encoded(AirspaceVolume, [restriction])
    return _back(
        path, LayerName.TEMPORARY, "airspace", _without(columns, "given_by_days") if earlier else columns
    )


def _without(columns, *gone):
    left = np.array([name not in gone for name in columns.names])
    return attrs.evolve(
        columns,
        names=tuple(np.array(columns.names)[left]),
        values=tuple(value for value, there in zip(columns.values, left, strict=True) if there),
    )


def _back(path, layer, field, columns):
    write_features(path, layer, field, columns)
    with open_charts(path) as charts:
        (found,) = charts.features(layer)
    return found


def closed(kind, begin, end):
    return volume(kind, disc(500.0), active_from_utc=begin, active_to_utc=end)


@pytest.mark.parametrize(
    ("then", "now"),
    [
        (closed(AirspaceKind.TEMPORARY, DAY, NEXT), closure("2027-06-12", "2027-06-12")[0]),
        (closed(AirspaceKind.STADIUM, DAY - HOUR, NEXT + HOUR), game("2027-06-12", "2027-06-12")[0]),
    ],
)
def test_a_day_that_was_kept_as_one_of_utc_closes_by_the_clock_of_any_place(tmp_path, then, now):
    found = kept(tmp_path / "charts.gpkg", then, earlier=True)
    assert found.given_by_days
    assert (found.active_from_utc, found.active_to_utc) == (now.active_from_utc, now.active_to_utc)
    assert found.active_from_utc < DAY - 10 * HOUR
    as_it_is = kept(tmp_path / "now.gpkg", then, earlier=False)
    assert (as_it_is.active_from_utc, as_it_is.active_to_utc) == (then.active_from_utc, then.active_to_utc)
    assert not as_it_is.given_by_days


@pytest.mark.parametrize(
    ("begin", "end", "first", "last", "by_days"),
    [
        (DAY + 19 * HOUR, DAY + 22 * HOUR, DAY + 19 * HOUR, DAY + 22 * HOUR, False),
        (DAY, DAY + 22 * HOUR, DAY - 14 * HOUR, DAY + 22 * HOUR, True),
        (DAY + 19 * HOUR, NEXT, DAY + 19 * HOUR, NEXT + 12 * HOUR, True),
        (None, NEXT, None, NEXT + 12 * HOUR, True),
        (DAY, None, DAY - 14 * HOUR, None, True),
        (None, None, None, None, False),
    ],
)
def test_only_a_bound_at_midnight_may_have_been_a_bare_day(tmp_path, begin, end, first, last, by_days):
    found = kept(tmp_path / "charts.gpkg", closed(AirspaceKind.TEMPORARY, begin, end), earlier=True)
    assert (found.active_from_utc, found.active_to_utc) == (first, last)
    assert found.given_by_days is by_days


@pytest.mark.parametrize(("error_m", "now_m"), [(3.0, 3.0 + 2.4), (None, None)])
def test_a_top_kept_before_dates_counted_is_taken_for_one_of_the_older_datum(tmp_path, error_m, now_m):
    """Heights of NGVD 29 part from those of NAVD 88 by 2.4 m at the most (NGVD29_M, its source there)."""
    mast = tower(300, vertical_error_m=error_m, horizontal_error_m=6.0)
    columns = encoded(Structure, [mast])
    old = _back(tmp_path / "old.gpkg", LayerName.OBSTACLES, "structures", _without(columns, "count"))
    assert (old.vertical_error_m, old.count) == (now_m and pytest.approx(now_m), 0)
    assert attrs.evolve(old, vertical_error_m=error_m, count=1) == mast
    new = _back(tmp_path / "new.gpkg", LayerName.OBSTACLES, "structures", columns)
    assert new == mast
    # What is imported into the set next keeps what was doubted, and is not doubted a second time.
    again = _back(tmp_path / "again.gpkg", LayerName.OBSTACLES, "structures", encoded(Structure, [old]))
    assert again == old


def test_other_airspace_keeps_its_dates(tmp_path):
    found = kept(tmp_path / "charts.gpkg", closed(AirspaceKind.RESTRICTED, DAY, NEXT), earlier=True)
    assert (found.active_from_utc, found.active_to_utc, found.given_by_days) == (DAY, NEXT, False)
