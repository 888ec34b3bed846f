"""What home on lost link takes of a permission, where what it sweeps over and rises by is put in by hand.

A route to a height: JO 7210.3 ch. 12 §10 (the lowest cell touched by the automated service). That who asks
for less than the flight takes has asked for too little is our own rule.
"""

from functools import lru_cache
from types import SimpleNamespace

import attrs
import numpy as np
import pytest
import shapely

from planner.assess import assess_live
from planner.flight.failsafe import RETURNS
from planner.flight.return_places import ReturnPlaces
from planner.permission.cells import TouchedCells
from planner.permission.need import Route
from planner.plan.aircraft import LinkLossAction
from planner.rules import need_on_return
from planner.rules.need_on_return import return_samples, with_airspace_on_return, with_heights_on_return
from planner.rules.undrawn_samples import wants_authorization
from planner.track.way_samples import WaySamples
from planner.world.airspace import AirspaceKind
from tests.worlds import GROUND_M, box, cell, fixed_site, ft, plan, points, record, volume, world

AROUND = box(-800, -800, 800, 800)
NOTHING = shapely.Polygon()


@lru_cache(maxsize=2)
def case(permissions=()):
    """A path of 400 m, 30 m up, in Class D of 200 ft and within a fixed site; 50 ft begin 100 m north."""
    charts = world(
        airspace=(volume(AirspaceKind.CLASS_D, AROUND, name="D"),),
        cells=(cell(200, box(-800, -800, 800, 100)), cell(50, box(-800, 100, 300, 800))),
        fixed_sites=(fixed_site(box(-50, -50, 450, 50), 400.0),),
    )
    flight = plan(path=points([(0, 0, 30.0), (400, 0, 30.0)]), permissions=permissions)
    return assess_live(flight, charts).case


@pytest.fixture
def widened(monkeypatch):
    """The use with what home on lost link takes, and whether anything of it has changed."""

    def of(rises=None, swept=NOTHING, base=None, **need):
        base = case() if base is None else base
        (use,) = base.uses
        use = attrs.evolve(use, need=attrs.evolve(use.need, **need))
        base = attrs.evolve(base, uses=(use,), needs=(use.need,), rises_on_return=rises or {})
        monkeypatch.setattr(need_on_return, "home_on_lost_link", lambda _case: swept)
        found = with_heights_on_return(base)
        (wider,) = found.uses
        assert found.needs == (wider.need,)
        return wider, found is not base

    return of


def heights(use):
    return [one.ceiling_agl_m for one in use.cells.cells]


NEAR, NORTH, FAR = shapely.box(0, -10, 400, 10), shapely.box(0, 0, 10, 200), shapely.box(390, 0, 400, 200)


def test_nothing_swept_and_no_rise_changes_nothing(widened):
    assert not widened()[1]
    assert not widened(swept=NEAR)[1]
    assert not widened({7: 20.0})[1]


@pytest.mark.parametrize("rise_m", [0.5, 20.0])
def test_it_asks_for_as_much_more_as_it_rises(rise_m, widened):
    wider, changed = widened({0: rise_m})
    assert changed
    assert (wider.need.rise_m, wider.need.asked_agl_m) == (rise_m, 30.0 + rise_m)
    assert wider.cells == case().uses[0].cells
    unknown, _ = widened({0: rise_m}, asked_agl_m=None)
    assert (unknown.need.rise_m, unknown.need.asked_agl_m) == (0.0, None)


def test_of_several_outlines_the_one_it_rises_most_in_counts(widened):
    base = case()
    (use,) = base.uses
    both = attrs.evolve(base, uses=(attrs.evolve(use, volumes=(0, 1)),))
    assert widened({0: 20.0}, base=both)[0].need.rise_m == 20.0
    assert widened({0: 5.0, 1: 20.0}, base=both)[0].need.rise_m == 20.0


@pytest.mark.parametrize(
    ("rises", "down", "most"),
    [
        ({}, {0: 0.5}, {0: 0.5}),
        ({0: 0.5}, {}, {0: 0.5}),
        ({0: 0.5}, {0: 0.25, 1: 3.0}, {0: 0.5, 1: 3.0}),
        ({0: 0.25, 1: 3.0}, {0: 0.5}, {0: 0.5, 1: 3.0}),
    ],
)
def test_the_most_of_both_counts_in_each_airspace(rises, down, most):
    assert need_on_return._most(rises, down) == most


@pytest.mark.parametrize(
    ("flown", "asked_m", "rises"),
    [
        # Heights over the ground in the first and the second airspace, where it comes down in them.
        ([((30.0, 50.0), {0: (True, True)})], 40.0, {0: 10.0}),
        ([((30.0, 50.0), {0: (True, False)})], 40.0, {}),
        ([((30.0, 40.5), {0: (True, True)})], 40.0, {0: 0.5}),
        ([((30.0, 50.0), {0: (True, False), 1: (False, True)})], 20.0, {0: 10.0, 1: 30.0}),
        ([((30.0, 50.0), {0: (True, True)}), ((45.0, 60.0), {0: (True, True)})], 40.0, {0: 20.0}),
        ([((45.0, 60.0), {0: (True, True)}), ((30.0, 50.0), {0: (True, True)})], 40.0, {0: 20.0}),
        ([((np.nan, 50.0), {0: (True, True)})], 40.0, {0: 10.0}),
        # No height is needed there, or nobody knows which.
        ([((0.5, 0.25), {0: (True, True)})], None, {0: 0.5}),
        ([], 40.0, {}),
    ],
)
def test_how_much_higher_it_begins_to_come_down(flown, asked_m, rises, monkeypatch):
    ground_m = 300.0
    samples = [
        SimpleNamespace(
            planned_amsl_m=ground_m + np.array(high_m),
            lowest_ground_amsl_m=np.full(len(high_m), ground_m),
            there={column: np.array(mask) for column, mask in there.items()},
        )
        for high_m, there in flown
    ]

    def coming_down(_case, _mapped, wanted):
        assert wanted(0, None)
        assert wanted(1, None)
        assert not wanted(2, None)
        return samples

    part = SimpleNamespace(of=lambda one, _columns, _mapped: SimpleNamespace(by_volume=one.there))
    monkeypatch.setattr(need_on_return, "coming_down", coming_down)
    monkeypatch.setattr(need_on_return, "Part", part)
    use = SimpleNamespace(volumes=(0, 1), need=SimpleNamespace(asked_agl_m=asked_m))
    assert need_on_return._rises_coming_down(None, None, [use]) == pytest.approx(rises)


def test_what_comes_down_is_asked_in_each_airspace_that_it_passes(monkeypatch):
    """Three places: in the west airspace alone, in both, in neither; one whose place nobody knows."""
    shapes = {0: shapely.box(0, 0, 20, 10), 1: shapely.box(10, 0, 30, 10), 2: shapely.box(0, 0, 99, 99)}

    def sampled(_mapped, places, high_m, low_m):
        assert places.tolist() == [[5.0, 5.0], [15.0, 5.0]]
        return WaySamples(None, *places.T, high_m, high_m, high_m, low_m)

    monkeypatch.setattr(need_on_return, "sample_way", sampled)
    monkeypatch.setattr(need_on_return, "top_amsl_m", lambda top_m, one: np.full(len(one.x_m), top_m))
    outlines = SimpleNamespace(columns_near=lambda _box: [0, 1, 2, 3], polygon=shapes.__getitem__)
    mapped = SimpleNamespace(outlines=outlines, airspace={0: 330.0, 1: 400.0, 2: 500.0})
    down = SimpleNamespace(
        x_m=np.array([5.0, 15.0, 45.0, np.nan]),
        y_m=np.array([5.0, 5.0, 5.0, 5.0]),
        high_m=np.array([340.0, 350.0, 360.0, 370.0]),
        low_m=np.array([300.0, 301.0, 302.0, 303.0]),
    )
    found = list(need_on_return._down_through(mapped, down, lambda column, _volume: column != 2))
    assert [one.x_m.tolist() for one in found] == [[5.0, 15.0], [15.0]]
    # No higher than that airspace goes up.
    assert [one.planned_amsl_m.tolist() for one in found] == [[330.0, 330.0], [350.0]]
    assert [one.flown_from_amsl_m.tolist() for one in found] == [[300.0, 301.0], [301.0]]
    nowhere = attrs.make_class("Nowhere", ["x_m", "y_m"])(np.array([np.nan]), np.array([np.nan]))
    assert not list(need_on_return._down_through(mapped, nowhere, lambda *_: True))
    assert not list(need_on_return._down_through(mapped, down, lambda *_: False))


@pytest.mark.parametrize("action", [*LinkLossAction])
def test_beneath_the_path_only_what_stays_comes_down_and_from_an_area_as_well(action, monkeypatch):
    monkeypatch.setattr(need_on_return, "ways_down", lambda loss: loss)
    monkeypatch.setattr(need_on_return, "_down_through", lambda *given: [given])
    monkeypatch.setattr(need_on_return, "down_beside_area", lambda *given: [given])
    loss = SimpleNamespace(failsafe=SimpleNamespace(action=action))
    flying, area_alone = (SimpleNamespace(flight=one) for one in (SimpleNamespace(loss=loss), None))
    beneath = [] if action in RETURNS else [("map", loss, "wanted")]
    found = list(need_on_return.coming_down(flying, "map", "wanted"))
    assert found == [*beneath, (flying, "map", "wanted")]
    assert list(need_on_return.coming_down(area_alone, "map", "wanted")) == [(area_alone, "map", "wanted")]


def test_another_cell_under_its_way_counts(widened):
    wider, changed = widened(swept=NORTH)
    assert changed
    assert heights(wider) == pytest.approx([ft(200), ft(50)])
    assert (wider.need.cell_ceiling_agl_m, wider.need.rise_m) == (pytest.approx(ft(50)), 0.0)
    assert wider.need.route is Route.FURTHER_COORDINATION
    assert len(wider.need.cells) == 2
    assert wider.cells.complete


@pytest.mark.parametrize(
    ("swept", "touched"),
    [
        # Published corners are rounded to about a metre (own choice: 1.1 m count as touching).
        (shapely.box(0, 0, 10, 99.5), True),
        (shapely.box(0, 0, 10, 98.0), False),
        (shapely.box(300.5, 150, 310, 200), True),
        (shapely.box(302.0, 150, 310, 200), False),
    ],
)
def test_a_cell_touched_but_for_its_rounding_counts(swept, touched, widened):
    assert (len(widened(swept=swept)[0].cells.cells) == 2) is touched


def without(**changes):
    base = case()
    return attrs.evolve(base, uses=(attrs.evolve(base.uses[0], **changes),))


def test_a_cell_south_of_its_way_is_touched_likewise(widened):
    bare = without(cells=TouchedCells((), complete=True))
    wider, _ = widened(swept=shapely.box(0, 100.5, 10, 150), base=bare)
    assert heights(wider) == pytest.approx([ft(200), ft(50)])


def test_where_no_cell_speaks_they_are_no_longer_complete(widened):
    wider, changed = widened(swept=FAR, base=without(in_sites=()))
    assert changed
    assert (heights(wider), wider.cells.complete) == ([pytest.approx(ft(200))], False)


@pytest.mark.parametrize(("north_m", "held"), [(40.0, True), (50.15, True), (50.5, False), (90.0, False)])
def test_a_site_holds_it_only_if_all_of_its_way_is_in_it(north_m, held, widened):
    # What it sweeps is grown by a little: 20 cm beyond the site's edge are its own.
    wider, changed = widened(swept=shapely.box(0, 0, 10, north_m))
    assert wider.in_sites == (case().uses[0].in_sites if held else ())
    assert changed is not held


@pytest.mark.parametrize(
    ("floor_m", "rises", "counts"),
    [(None, {}, True), (400.0, {}, False), (400.0, {0: 5.0}, True), (400.0, {7: 5.0}, False)],
)
def test_of_what_begins_above_all_returns_nothing_is_swept(floor_m, rises, counts, widened):
    wider, _ = widened(rises, NORTH, floor_amsl_m=floor_m)
    assert (len(wider.cells.cells) == 2) is counts


def test_what_is_on_record_stays_as_it_is(widened):
    held = case((record("D", 60.0),))
    assert held.uses[0].need.recorded
    assert not widened({0: 20.0}, NORTH, base=held)[1]
    unmapped = attrs.evolve(case(), mapped=None, rises_on_return={0: 20.0})
    assert with_heights_on_return(unmapped) is unmapped


# ---- airspace of its own


def returning(x_m, y_m, amsl_m=340.0):
    n = len(x_m)
    places = ReturnPlaces(np.zeros(n, dtype=np.int64), np.array(x_m), np.array(y_m), np.full(n, amsl_m))
    return attrs.evolve(case(), returned=(places,), uses=())


def test_only_known_places_within_airspace_that_is_wanted_are_asked(monkeypatch):
    monkeypatch.setattr(need_on_return, "home_on_lost_link", lambda _case: NEAR)
    inside = returning([0.0, 900.0, np.nan, 10.0, np.inf], [0.0, 0.0, 0.0, np.nan, 5.0])
    (samples,) = return_samples(inside, lambda _column, volume: wants_authorization(volume))
    assert (samples.x_m.tolist(), samples.y_m.tolist()) == ([0.0], [0.0])
    assert samples.footprint is NEAR
    assert samples.on_lost_link
    for off_m in (900.0, -900.0):
        (samples,) = return_samples(returning([off_m, 0.0], [off_m, 0.0]), lambda *_given: True)
        assert samples.x_m.tolist() == [0.0]
    for away in (returning([900.0], [0.0]), returning([np.nan], [np.nan]), attrs.evolve(inside, mapped=None)):
        assert return_samples(away, lambda *_given: True) == ()
    assert return_samples(inside, lambda *_given: False) == ()


def test_airspace_that_nothing_drawn_enters_is_a_need_of_its_own(monkeypatch):
    monkeypatch.setattr(need_on_return, "home_on_lost_link", lambda _case: NEAR)
    inside = returning([0.0], [0.0])
    (use,) = with_airspace_on_return(inside).uses
    assert (use.volumes, use.need.airspace) == ((0,), "D")
    assert (use.need.not_drawn, use.need.way_rise_m) == (True, 0.0)
    used = attrs.evolve(inside, uses=case().uses)
    assert with_airspace_on_return(used) is used
    shut = attrs.evolve(inside.mapped, airspace={0: volume(AirspaceKind.RESTRICTED, AROUND, name="R")})
    assert not with_airspace_on_return(attrs.evolve(inside, mapped=shut)).uses


NAN = np.nan


@pytest.mark.parametrize(
    ("x_m", "y_m", "places"),
    [
        ((-900.0, 0.0, 300.0, 900.0), (0.0, 0.0, 10.0, 0.0), [1, 2]),
        # Of places that are not known nothing is asked, and they hide none of the others.
        ((NAN, 0.0, NAN, 300.0), (0.0, NAN, NAN, 10.0), [3]),
        ((NAN, NAN, NAN, NAN), (0.0, 0.0, 0.0, 0.0), []),
        ((-900.0, -901.0, 900.0, 901.0), (0.0, 0.0, 900.0, 0.0), []),
    ],
)
def test_what_comes_down_by_itself_flies_in_what_it_comes_down_through(x_m, y_m, places):
    """14 CFR 107.41: Class D of 800 m about, up to 2,500 ft; above its top it is not in it."""
    mapped = case().mapped
    top_m = GROUND_M + ft(2500)
    high_m = np.array([GROUND_M + 30.0, top_m + 50.0, GROUND_M + 40.0, GROUND_M + 50.0])
    down = SimpleNamespace(x_m=np.array(x_m), y_m=np.array(y_m), high_m=high_m, low_m=np.full(4, GROUND_M))
    found = list(need_on_return._down_through(mapped, down, lambda _, one: wants_authorization(one)))
    assert len(found) == (1 if places else 0)
    for one in found:
        assert one.planned_amsl_m == pytest.approx(np.minimum(high_m, top_m)[places])
        assert one.flown_from_amsl_m == pytest.approx([GROUND_M] * len(places))
    assert not list(need_on_return._down_through(mapped, down, lambda *_: False))
