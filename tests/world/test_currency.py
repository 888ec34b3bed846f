"""How far a layer can be relied on; the rules are the program's own, so properties bind them."""

from datetime import UTC, date, datetime, timedelta

import attrs
import shapely
from hypothesis import given
from hypothesis import strategies as st

from planner.geo.window import TimeWindow
from planner.world.currency import LayerState, combined_coverage, records_of, state_of
from planner.world.cycles import current_cycle
from planner.world.layers import Jurisdiction, LayerName, LayerRecord

START = datetime(2027, 5, 1, 12, tzinfo=UTC)
WINDOW = TimeWindow(START, START + timedelta(hours=2))
PATH = shapely.LineString([(0.2, 0.2), (0.8, 0.8)])
GOOD = LayerRecord(
    LayerName.CLASS_AIRSPACE,
    "an office",
    "an edition",
    effective_utc=START - timedelta(days=3),
    expires_utc=START + timedelta(days=25),
    coverage=shapely.box(0, 0, 1, 1),
)


def state(*records, needed=PATH, window=WINDOW, needs_dates=True):
    return state_of(records, needed, window, needs_dates=needs_dates)[0]


def test_each_state_has_its_cause():
    hour = timedelta(hours=1)
    elsewhere = Jurisdiction("X", "elsewhere", area=shapely.box(5, 5, 6, 6))
    assert state() is LayerState.MISSING
    assert state(GOOD) is LayerState.OK
    assert state(attrs.evolve(GOOD, expires_utc=START + hour)) is LayerState.EXPIRED
    assert state(attrs.evolve(GOOD, effective_utc=START + hour)) is LayerState.NOT_YET_EFFECTIVE
    assert state(attrs.evolve(GOOD, coverage=None)) is LayerState.NOT_COVERING
    assert state(attrs.evolve(GOOD, coverage=shapely.box(0, 0, 0.5, 1))) is LayerState.NOT_COVERING
    assert state(attrs.evolve(GOOD, expires_utc=None)) is LayerState.UNDATED
    assert state(attrs.evolve(GOOD, expires_utc=None), needs_dates=False) is LayerState.OK
    assert state(attrs.evolve(GOOD, damage="torn")) is LayerState.DAMAGED
    assert state(attrs.evolve(GOOD, jurisdiction=elsewhere)) is LayerState.OTHER_JURISDICTION


def test_window_not_clock_decides():
    long_ago = attrs.evolve(
        GOOD, effective_utc=datetime(1999, 1, 1, tzinfo=UTC), expires_utc=datetime(1999, 2, 1, tzinfo=UTC)
    )
    then = TimeWindow(datetime(1999, 1, 10, tzinfo=UTC), datetime(1999, 1, 11, tzinfo=UTC))
    assert state(long_ago, window=then) is LayerState.OK
    assert state(long_ago) is LayerState.EXPIRED


def test_edges_meet_within_the_snap():
    # Facility map cells meet within 1e-5 deg (README of the sample data).
    just_short = attrs.evolve(GOOD, coverage=shapely.box(0, 0, 0.8 - 0.9e-5, 1))
    too_short = attrs.evolve(GOOD, coverage=shapely.box(0, 0, 0.8 - 3e-5, 1))
    assert state(just_short) is LayerState.OK
    assert state(too_short) is LayerState.NOT_COVERING


def test_records_in_date_cover_together_and_first_to_expire_answers():
    west = attrs.evolve(GOOD, coverage=shapely.box(0, 0, 0.5, 1))
    east = attrs.evolve(GOOD, coverage=shapely.box(0.5, 0, 1, 1), expires_utc=START + timedelta(days=2))
    assert state_of([west, east], PATH, WINDOW, needs_dates=True) == (LayerState.OK, east)
    stale = attrs.evolve(east, expires_utc=START)
    assert state(west, stale) is not LayerState.OK
    assert state(west, attrs.evolve(east, damage="torn")) is not LayerState.OK


def test_damage_tells_only_where_it_lies():
    spoilt = attrs.evolve(GOOD, coverage=shapely.box(0.4, 0.4, 0.6, 0.6), damage="torn")
    rest = attrs.evolve(GOOD, coverage=shapely.box(0, 0, 1, 1).difference(shapely.box(0.4, 0.4, 0.6, 0.6)))
    assert state(spoilt, rest) is LayerState.DAMAGED
    assert state(spoilt, rest, needed=shapely.box(0.1, 0.1, 0.2, 0.2)) is LayerState.OK


def test_records_of_picks_one_layer():
    other = attrs.evolve(GOOD, name=LayerName.ROADS)
    assert records_of([other, GOOD], LayerName.CLASS_AIRSPACE) == (GOOD,)


moments = st.one_of(st.none(), st.integers(-40, 40).map(lambda hours: START + timedelta(hours=hours)))
boxes = st.tuples(st.floats(-1, 1), st.floats(-1, 1), st.floats(0.1, 2), st.floats(0.1, 2)).map(
    lambda box: shapely.box(box[0], box[1], box[0] + box[2], box[1] + box[3])
)
records = st.builds(
    LayerRecord,
    name=st.just(LayerName.CLASS_AIRSPACE),
    publisher=st.just(""),
    source=st.sampled_from(["a", "b"]),
    effective_utc=moments,
    expires_utc=moments,
    coverage=st.one_of(st.none(), boxes),
    damage=st.sampled_from(["", "", "torn"]),
)
record_lists = st.lists(records, max_size=5)


@given(record_lists, st.randoms(use_true_random=False))
def test_order_of_records_does_not_matter(given_records, random):
    shuffled = random.sample(given_records, len(given_records))
    assert state(*given_records) is state(*shuffled)


@given(record_lists, records)
def test_one_more_record_never_makes_a_good_layer_bad(given_records, more):
    if state(*given_records) is LayerState.OK:
        assert state(*given_records, more) is LayerState.OK


@given(record_lists)
def test_good_means_every_point_is_spoken_for_in_date(given_records):
    if state(*given_records) is not LayerState.OK:
        return
    for share in (0.0, 0.25, 0.5, 0.75, 1.0):
        point = PATH.interpolate(share, normalized=True)
        assert any(
            record.coverage is not None
            and record.coverage.distance(point) <= 1.1e-5
            and not record.damage
            and record.effective_utc is not None
            and record.effective_utc <= WINDOW.start_utc
            and record.expires_utc is not None
            and record.expires_utc >= WINDOW.end_utc
            for record in given_records
        )


@given(record_lists, st.integers(0, 4))
def test_spoiling_a_record_never_makes_a_layer_good(given_records, index):
    if index >= len(given_records) or state(*given_records) is LayerState.OK:
        return
    for worse in (
        attrs.evolve(given_records[index], damage="torn"),
        attrs.evolve(given_records[index], coverage=None),
        attrs.evolve(given_records[index], expires_utc=WINDOW.start_utc),
    ):
        spoilt = [*given_records[:index], worse, *given_records[index + 1 :]]
        assert state(*spoilt) is not LayerState.OK


def test_combined_coverage_leaves_damage_out():
    torn = attrs.evolve(GOOD, coverage=shapely.box(3, 3, 4, 4), damage="torn")
    outline = combined_coverage([GOOD, torn])
    assert outline.covers(shapely.Point(0.5, 0.5))
    assert not outline.covers(shapely.Point(3.5, 3.5))
    assert combined_coverage([torn]) is None


def test_an_evening_before_a_change_rests_on_the_edition_that_still_holds():
    """20:10 to 20:50 EDT of 9 June 2027 is after 00:00 UTC of the 10th; the change comes at 09:01 UTC."""
    old, new = (
        attrs.evolve(GOOD, effective_utc=one.effective_utc, expires_utc=one.expires_utc)
        for one in (current_cycle(date(2027, 6, 9)), current_cycle(date(2027, 6, 10)))
    )
    evening = datetime(2027, 6, 10, 0, 10, tzinfo=UTC)
    for begins, holds, other in ((evening, old, new), (new.effective_utc, new, old)):
        window = TimeWindow(begins, begins + timedelta(minutes=40))
        assert state(holds, window=window) is LayerState.OK
        assert state(other, window=window) is not LayerState.OK
