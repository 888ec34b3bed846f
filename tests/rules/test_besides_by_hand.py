"""What a return on lost link takes beside what is drawn: ways and heights put in by hand.

That a permission holds only within its outline and up to its height: 14 CFR 107.41 (check values 1, A). What
the automated service gives: JO 7210.3 ch. 12 section 10. What has to be asked for is our own reckoning.
"""

from functools import lru_cache

import attrs
import numpy as np
import pytest
import shapely

from planner.geo.heights import AboveGround, AboveLaunch
from planner.permission.besides import Besides
from planner.permission.need import Route
from planner.permission.request import requests_of
from planner.permission.routes import TOLERANCE_M
from planner.plan.aircraft import LinkLoss, LinkLossAction, Readout, ReadoutSource
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.case import AboveAsked
from planner.rules.flown_besides import besides_asked_about, flown_besides, home_on_lost_link
from planner.rules.loss_above_asked import return_above_asked
from planner.world.airspace import AirspaceKind
from tests.rules.hand_made import judged
from tests.worlds import area, at, box, cell, plan, points, record, volume, world

PLANNED_M = 30.0


@lru_cache(maxsize=1)
def asking():
    """A path round a corner, 30 m above level ground in Class D; what loses its link lands."""
    craft = attrs.evolve(plan().aircraft, link_loss=LinkLoss(LinkLossAction.LAND, 1.0))
    flight = plan(
        path=points([(0, 0, PLANNED_M), (400, 0, PLANNED_M), (400, 200, PLANNED_M)]),
        aircraft=craft,
        launch=GroundSpot(at(), LandStatus.OWN),
        landing=GroundSpot(at(400, 200), LandStatus.OWN),
    )
    return judged(flight, world(airspace=(volume(name="D"),), cells=(cell(200),)))


def column():
    return asking().uses[0].volumes[0]


def above(metres, columns=None):
    """What is flown so far above what is asked for at each sample, in Class D unless said otherwise."""
    n = len(asking().track)
    given = np.resize(np.asarray(metres, dtype=float), n)
    return AboveAsked(np.full(n, column()) if columns is None else np.resize(columns, n), given)


def told(one, need=None, **changes):
    case = attrs.evolve(asking(), loss_above_asked=one, **changes)
    if need is not None:
        (use,) = case.uses
        case = attrs.evolve(case, uses=(attrs.evolve(use, need=attrs.evolve(use.need, **need)),))
    return list(return_above_asked(case))


def test_the_highest_of_all_returns_is_told_where_it_is_lost():
    rows = np.zeros(len(asking().track))
    rows[3], rows[5], rows[7] = 2.0, 12.0, 4.0
    (one,) = told(above(rows))
    assert one.numbers == {"above_asked_m": 12.0, "asked_agl_m": pytest.approx(PLANNED_M)}
    assert f"Lost at {asking().track.distance_m[5]:.0f} m" in one.message
    # 12 m are 39.4 ft, 42 m 137.8 ft, both rounded up.
    assert "up to 138 ft over the lowest ground about it, where the plan needs 99 ft otherwise" in one.message
    assert one.remedy.startswith("ask for 138 ft there")
    assert "40 ft lower" in one.remedy


@pytest.mark.parametrize(("error_m", "more"), [(None, False), (0.0, False), (3.0, True)])
def test_what_the_readout_may_be_off_is_asked_for_as_well(error_m, more):
    """42 m are 137.8 ft; 45 m, with the 3 m that the readout may be off, 147.6 ft, both rounded up."""
    readout = Readout(ReadoutSource.BAROMETER, error_m)
    craft = attrs.evolve(asking().plan.aircraft, readout=readout)
    (one,) = told(above(12.0), plan=attrs.evolve(asking().plan, aircraft=craft))
    assert one.remedy.startswith(
        "ask for 148 ft there, with what the readout may be off, " if more else "ask for 138 ft there, end "
    )


def test_what_is_not_known_of_some_returns_hides_none_of_the_others():
    rows = np.full(len(asking().track), np.nan)
    rows[4] = 3.0
    (one,) = told(above(rows))
    assert one.numbers["above_asked_m"] == 3.0
    rows[4] = -3.0
    assert not told(above(rows))
    assert not told(above(np.nan))


@pytest.mark.parametrize(("metres", "number"), [(2 * TOLERANCE_M, 1), (TOLERANCE_M, 0), (0.0, 0), (-1.0, 0)])
def test_equal_heights_are_none_above(metres, number):
    assert len(told(above(metres))) == number


def test_only_what_comes_above_in_the_airspace_itself_counts():
    assert not told(above(5.0, [-1]))
    assert not told(above(5.0, [column() + 1]))
    (one,) = told(above([5.0, 9.0], [column(), -1]))
    assert one.numbers["above_asked_m"] == 5.0


@pytest.mark.parametrize(
    ("top_m", "low_m", "most_m", "where"),
    [(3.0, 9.0, 9.0, "low in the area"), (9.0, 3.0, 9.0, "at the area's top")],
)
def test_of_a_flying_area_s_returns_the_highest_is_told(top_m, low_m, most_m, where):
    craft = attrs.evolve(
        plan().aircraft, link_loss=LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, AboveLaunch(PLANNED_M))
    )
    drawn = area(box(-50, -50, 50, 50), AboveGround(PLANNED_M))
    flight = plan(path=(), area=drawn, aircraft=craft)
    case = judged(flight, world(airspace=(volume(name="D"),), cells=(cell(200),)))
    there = case.uses[0].volumes[0]
    returns = [
        AboveAsked(np.full(len(loss.clearance_m), there), np.full(len(loss.clearance_m), metres))
        for loss, metres in zip(case.area_flight.losses, (top_m, low_m), strict=True)
    ]
    (one,) = return_above_asked(attrs.evolve(case, area_loss_above_asked=tuple(returns)))
    assert one.numbers["above_asked_m"] == most_m
    assert one.message.startswith(f"Lost {where} the aircraft")


def test_what_is_on_record_or_has_no_height_is_told_elsewhere():
    assert not told(above(5.0), {"record": record("D", 60.0)})
    assert not told(above(5.0), {"asked_agl_m": None})
    assert not told(None)
    assert not told(above(5.0), track=None)


@pytest.mark.parametrize(
    ("cell_m", "route", "how", "lower"),
    [
        (42.0, Route.AUTOMATED, "ask for", "40 ft"),
        (41.0, Route.FURTHER_COORDINATION, "ask by a further coordination request for", "4 ft"),
        (41.0, Route.ASK_AUTHORITY, "ask the authority for", "4 ft"),
        (30.0, Route.FURTHER_COORDINATION, "ask by a further coordination request for", "40 ft"),
        # The flight itself is above the cell: by the automated service nothing is to be had.
        (29.0, Route.FURTHER_COORDINATION, "ask by a further coordination request for", "40 ft"),
        (0.0, Route.FURTHER_COORDINATION, "ask by a further coordination request for", "40 ft"),
        (None, Route.HEADQUARTERS, "ask for", "40 ft"),
    ],
)
def test_how_to_ask_and_how_much_lower_the_automated_service_would_do(cell_m, route, how, lower):
    """The need holds the return's 42 m; 12 m are 39.4 ft, 1 m 3.3 ft, 41 m 134.5 ft rounded down."""
    need = {"cell_ceiling_agl_m": cell_m, "route": route, "asked_agl_m": 42.0, "rise_m": 12.0}
    (one,) = told(above(12.0), need)
    assert one.remedy.startswith(f"{how} 138 ft there")
    assert f"end the climb {lower} lower" in one.remedy
    back = attrs.evolve(asking().plan.aircraft, link_loss=LinkLoss(LinkLossAction.RETURN_FIXED, 1.0))
    (one,) = told(above(12.0), need, plan=attrs.evolve(asking().plan, aircraft=back))
    assert f"a return height that is {lower} lower" in one.remedy
    assert ("The automated service gives 134 ft" in one.message) is (lower == "4 ft")
    assert ("The automated service" in one.message) is (cell_m in (41.0, 30.0))


# ---- what the request holds


def with_ways(x_m, y_m):
    """Ways on lost link with corners put in by hand; one row for each sample of the path."""
    case = asking()
    n = len(case.track)
    rows = [np.resize(np.asarray(given, dtype=float), (n, 4)) for given in (x_m, y_m)]
    loss = attrs.evolve(case.flight.loss, corner_x_m=rows[0], corner_y_m=rows[1])
    return attrs.evolve(case, flight=attrs.evolve(case.flight, loss=loss))


def test_all_that_ways_on_lost_link_sweep_over_is_asked_for():
    far = with_ways([[0.0, 0.0, 900.0, 900.0]], [[0.0, 700.0, 700.0, 0.0]])
    found = flown_besides(far)
    assert found.on_lost_link
    assert shapely.box(0, 0, 900, 700).difference(found.shape).area == pytest.approx(0.0, abs=1e-6)
    assert found.shape.bounds == pytest.approx((-0.1, -0.1, 900.1, 700.1), abs=0.3)


def test_of_a_leg_it_holds_what_lies_between_the_ways_from_its_two_ends():
    """From the first leg's start it leads north, from its end far to the east: all between is swept."""
    track = asking().track
    x_m, y_m = (np.repeat(one[:, None], 4, axis=1) for one in (track.x_m, track.y_m))
    first = np.flatnonzero(track.leg == track.leg[0])
    x_m[first[0], 3], y_m[first[0], 3] = 0.0, 900.0
    x_m[first[-1], 3], y_m[first[-1], 3] = 900.0, 900.0
    shape = flown_besides(with_ways(x_m, y_m)).shape
    assert shape.covers(shapely.Point(450.0, 850.0))
    # The second leg ends 200 m north of the corner: nothing of it reaches so far.
    assert not shape.covers(shapely.Point(900.0, 100.0))


@pytest.mark.parametrize("k", [0, -1])
def test_of_the_path_s_first_and_last_place_too(k):
    track = asking().track
    x_m, y_m = (np.repeat(one[:, None], 4, axis=1) for one in (track.x_m, track.y_m))
    x_m[k, 3], y_m[k, 3] = -700.0, 900.0
    assert flown_besides(with_ways(x_m, y_m)).shape.covers(shapely.Point(-700.0, 900.0))


def test_a_place_that_is_not_known_takes_nothing_from_the_others():
    found = flown_besides(with_ways([[0.0, 0.0, np.nan, 500.0]], [[0.0, 300.0, 300.0, np.nan]]))
    assert found.on_lost_link
    assert found.shape.covers(shapely.Point(0.0, 150.0))
    nothing = flown_besides(with_ways(np.full((1, 4), np.nan), np.full((1, 4), np.nan)))
    assert not nothing.on_lost_link


def test_without_an_action_only_the_ways_to_launch_and_landing_are_beside_it():
    case = attrs.evolve(asking(), flight=attrs.evolve(asking().flight, loss=None))
    found = flown_besides(case)
    assert not found.on_lost_link
    # Both lead straight up.
    assert found.shape.area < 1.0
    assert not flown_besides(attrs.evolve(case, flight=None)).on_lost_link
    assert flown_besides(attrs.evolve(case, mapped=None)).shape.is_empty


@pytest.mark.parametrize("asked_m", [None, PLANNED_M])
def test_a_request_asks_for_the_rise_beside_the_planned_height(asked_m):
    case = asking()
    (use,) = case.uses
    whole_m, rise_m = (None, 0.0) if asked_m is None else (asked_m + 12.5, 12.5)
    use = attrs.evolve(use, need=attrs.evolve(use.need, asked_agl_m=whole_m, rise_m=rise_m))
    besides = Besides(shapely.box(0, 0, 100, 600), on_lost_link=True)
    (one,) = requests_of(case.plan, case.mapped, (use,), case.track, besides=besides, margin_m=10.0)
    assert one.on_lost_link
    assert one.highest_agl_m == whole_m
    assert one.rise_m == rise_m
    ring = shapely.Polygon([case.mapped.frame.place_to_xy(place) for place in one.area.ring])
    assert ring.covers(shapely.box(0, 0, 100, 600))
    (bare,) = requests_of(case.plan, case.mapped, (use,), case.track, margin_m=10.0)
    assert not bare.on_lost_link


def through(kind, action):
    """The path and its request in airspace of a kind; what returns does so 60 m above the launch point."""
    craft = attrs.evolve(plan().aircraft, link_loss=LinkLoss(action, 1.0, AboveLaunch(60.0)))
    spots = {"launch": GroundSpot(at(), LandStatus.OWN), "landing": GroundSpot(at(400, 0), LandStatus.OWN)}
    flight = plan(path=points([(0, 0, PLANNED_M), (400, 0, PLANNED_M)]), aircraft=craft, **spots)
    case = judged(flight, world(airspace=(volume(kind, name="R"),), cells=(cell(200),)))
    besides = flown_besides(case)
    (one,) = requests_of(case.plan, case.mapped, case.uses, case.track, besides=besides)
    return besides.samples, one.highest_agl_m


def test_an_agency_is_asked_for_the_height_of_returns_and_of_ways_that_are_not_drawn():
    """14 CFR 107.45: what is closed opens up to what is granted; Class D asks otherwise."""
    closed = AirspaceKind.RESTRICTED
    returns, high_m = through(closed, LinkLossAction.RETURN_FIXED)
    assert high_m == pytest.approx(60.0, abs=0.01)
    ways, low_m = through(closed, LinkLossAction.LAND)
    assert 0 < len(ways) < len(returns)
    assert low_m == pytest.approx(PLANNED_M, abs=0.01)
    assert through(AirspaceKind.CLASS_D, LinkLossAction.LAND)[0] == ()


def test_what_runs_on_close_beside_an_airspace_has_its_margin_everywhere():
    """It leaves the airspace northward, and runs on 15 m beside it: 24 m beyond that are within 25 m."""
    case = judged(
        plan(path=points([(-100, -15, 30.0), (0, -15, 30.0), (0, 15, 30.0), (300, 15, 30.0)])),
        world(airspace=(volume(outline=box(-1_000, -1_000, 1_000, 0), name="D"),)),
    )
    (one,) = requests_of(case.plan, case.mapped, case.uses, case.track, margin_m=25.0)
    ring = shapely.Polygon([case.mapped.frame.place_to_xy(place) for place in one.area.ring])
    assert ring.covers(shapely.Point(19.0, 39.0))


@pytest.mark.parametrize("seed", range(6))
def test_what_falls_beside_a_straight_leg_is_swept_by_few_corners_and_none_of_it_left_out(seed):
    """Places in one line but for a bow of 0.1 micrometres, which makes corners of all, and one far aside."""
    draw, case = np.random.default_rng(seed), asking()
    count = len(case.track)
    share, turn = np.linspace(0.0, 1.0, 4 * count).reshape(count, 4), draw.uniform(0.0, 2 * np.pi)
    bow_m = 4e-7 * share * (1.0 - share)
    x_m = 700.0 * np.cos(turn) * share - bow_m * np.sin(turn) + 1e3 / 3
    y_m = 700.0 * np.sin(turn) * share + bow_m * np.cos(turn) - 1e3 / 7
    x_m[count // 2, 3], y_m[count // 2, 3] = draw.uniform(-200.0, 200.0, 2)
    loss = attrs.evolve(case.flight.loss, corner_x_m=x_m, corner_y_m=y_m)
    swept = home_on_lost_link(attrs.evolve(case, flight=attrs.evolve(case.flight, loss=loss)))
    ways = shapely.linestrings(np.stack([x_m, y_m], axis=2))
    assert shapely.covers(swept, ways).all()
    # Nearer than any edge is drawn to: each leg's hull, and 10 cm.
    corners = [np.flatnonzero(case.track.leg <= 1), np.flatnonzero(case.track.leg >= 1)]
    hulls = [
        shapely.MultiPoint(np.column_stack([x_m[k].ravel(), y_m[k].ravel()])).convex_hull for k in corners
    ]
    assert shapely.hausdorff_distance(swept, shapely.union_all(hulls)) < 0.2
    assert shapely.get_num_coordinates(swept) < 60


def test_where_nothing_is_judged_or_asked_about_nothing_is_above_the_limit():
    for case in (None, attrs.evolve(asking(), mapped=None), asking()):
        found = besides_asked_about(case, ())
        assert found.over_limit([column()])[0] == 0.0
    assert besides_asked_about(None, ()).shape.is_empty
