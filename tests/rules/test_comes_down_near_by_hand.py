"""What comes down on lost link near airspace, records and the end of data: answers and places put in by hand.

Distances and rooms are differences. That the graver is told, and what is told of the flight itself not again,
are our own rules.
"""

from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from planner.permission.request import MARGIN_M
from planner.plan.aircraft import LinkLossAction
from planner.rules import beside_unknown_down, loss_band_down, loss_near_area
from planner.rules.beside_unknown_down import _comes_down, not_known_where_it_comes_down
from planner.rules.finding import Mark
from planner.rules.loss_band_down import _room_m, close_under_a_record
from planner.rules.loss_near_area import (
    _beside,
    _inside,
    _reaches,
    comes_down_near,
    may_reach_beyond_what_is_asked,
)
from tests.worlds import HERE

LAND, BACK = LinkLossAction.LAND, LinkLossAction.RETURN_FIXED
THERE = shapely.Point(0.0, 0.0)
FRAME = SimpleNamespace(xy_to_place=lambda _x, _y: HERE)


def put_in(monkeypatch, module, **answers):
    for name, one in answers.items():
        monkeypatch.setattr(module, name, one)


# ---- close beside, from an area


def opened():
    outlines = SimpleNamespace(polygon=lambda _column: shapely.box(-50, -50, 50, 50))
    mapped = SimpleNamespace(frame=FRAME, outlines=outlines, airspace={7: "R"})
    return SimpleNamespace(mapped=mapped, column=7, grants=())


@pytest.mark.parametrize(
    ("itself", "open_itself", "open_found", "told"),
    [
        (False, False, False, True),
        (False, False, True, True),
        (True, True, True, False),
        (True, False, True, True),
        (True, False, False, False),
        (True, True, False, False),
    ],
)
def test_what_the_area_itself_leaves_as_open_is_told_of_it_alone(
    itself, open_itself, open_found, told, monkeypatch
):
    near = "itself" if itself else None
    case = SimpleNamespace(
        mapped=opened().mapped, area_samples=SimpleNamespace(planned_amsl_m=[300.0, 330.0])
    )
    put_in(
        monkeypatch,
        loss_near_area,
        nearest_inside=lambda *_: near,
        nearest_part=lambda *_: near,
        leaves_open=lambda _volume, one: open_itself if one == near else open_found,
        is_open=lambda _case, _column, _volume, one: open_itself if one == near else open_found,
        close_to_end=lambda _case, _volume, found, _records: found,
        close_beside=lambda _case, _volume, found, open_question: (found, open_question),
    )
    ends, beside = _inside(case, opened(), THERE, 5.0), _beside(case, opened(), THERE, 5.0)
    assert (ends is not None, beside is not None) == (told, told)
    if told:
        assert (ends.away_m, ends.place, ends.outside) == (5.0, HERE, False)
        # From as high as the area is flown.
        assert (beside[0].away_m, beside[0].top_amsl_m, beside[1]) == (5.0, 330.0, open_found)
        assert _inside(case, opened(), shapely.Point(60.0, 0.0), 5.0).outside


@pytest.mark.parametrize(
    ("near_m", "reach_m", "away_m", "east_m"),
    [
        # What is shut begins 30 m east; 20 m and less are close (own rule).
        (30.0, 20.0, 10.0, 20.0),
        (30.0, 11.0, 19.0, 11.0),
        (30.0, 9.0, None, None),
        (30.0, 30.0, None, None),  # it comes into it
        (30.0, 35.0, None, None),
        # It is nearer by what the area's own samples may be apart: asked of where the area is.
        (45.0, 40.0, 5.0, 0.0),
    ],
)
@pytest.mark.parametrize("whole", [True, False])
def test_as_near_as_it_comes_down_ahead_of_the_area(near_m, reach_m, away_m, east_m, whole, monkeypatch):
    shut = shapely.box(30, -50, 90, 50)
    outline = shut if whole else shapely.box(-90, -50, 90, 50)
    held = SimpleNamespace(
        mapped=SimpleNamespace(outlines=SimpleNamespace(polygon=lambda _column: outline)), column=7
    )
    put_in(
        monkeypatch,
        loss_near_area,
        _beside=lambda _case, _opened, there, m: ("beside", there.x, there.y, m),
        _inside=lambda _case, _opened, there, m: ("inside", there.x, there.y, m),
    )
    found = comes_down_near(None, held, shut, SimpleNamespace(away_m=near_m, x_m=0.0, y_m=0.0), reach_m)
    kind = "beside" if whole else "inside"
    assert found == (None if away_m is None else (kind, east_m, 0.0, away_m))


# ---- beyond what is asked for


def beyond(monkeypatch, given_m, most_m, reached=(2,), action=LAND, **without):
    asked = []

    def reaches(_case, _samples, column, between_m):
        asked.append(between_m)
        return column in reached

    put_in(
        monkeypatch,
        loss_near_area,
        area_failsafe=lambda _case: None if action is None else SimpleNamespace(action=action),
        straight_m=lambda comes, _failsafe: comes,
        _asked=lambda _case: [("D", (1, 2)), ("E", (3,))],
        _reaches=reaches,
        _may_reach=lambda _case, name, m: (name, m),
    )
    flight = SimpleNamespace(comes=given_m, at_most=most_m)
    case = SimpleNamespace(**{"area_samples": "samples", "mapped": "map", "area_flight": flight, **without})
    return list(may_reach_beyond_what_is_asked(case)), asked


def test_what_may_come_down_beyond_the_requests_margin_is_told(monkeypatch):
    held_m = 20.0 + MARGIN_M
    found, asked = beyond(monkeypatch, 20.0, held_m + 1.0)
    assert found == [("D", held_m + 1.0)]
    assert set(asked) == {(held_m, held_m + 1.0)}
    assert beyond(monkeypatch, 20.0, held_m + 1.0, (1, 3))[0] == [("D", held_m + 1.0), ("E", held_m + 1.0)]
    assert beyond(monkeypatch, 20.0, held_m - 1.0) == ([], [])
    for without in ({"area_samples": None}, {"mapped": None}, {"action": None}, {"action": BACK}):
        assert beyond(monkeypatch, 20.0, held_m + 1.0, **without) == ([], [])


@pytest.mark.parametrize(
    ("east_m", "near", "reached"),
    [
        # The area ends at 100 m, what is held at 150 m, and the most it comes to at 180 m.
        ((160.0, 400.0), True, True),
        ((160.0, 400.0), False, False),
        ((120.0, 145.0), True, False),
        ((185.0, 400.0), True, False),
        ((-400.0, 400.0), True, True),
    ],
)
def test_only_between_what_is_held_and_the_most_it_comes_to(east_m, near, reached, monkeypatch):
    monkeypatch.setattr(loss_near_area, "comes_near", lambda *_: near)
    outline = shapely.box(east_m[0], -10, east_m[1], 10)
    mapped = SimpleNamespace(outlines=SimpleNamespace(polygon=lambda _column: outline), airspace={1: "D"})
    samples = SimpleNamespace(footprint=shapely.box(-100, -100, 100, 100))
    assert _reaches(SimpleNamespace(mapped=mapped), samples, 1, (50.0, 80.0)) is reached


# ---- under a record by less than the uncertainty


def under(monkeypatch, room_m, itself_m, doubt_m=6.0, name="R", grants=2, closes=True):
    records = tuple(SimpleNamespace(record=SimpleNamespace(reference=f"INVENTED-{k}")) for k in range(grants))
    put_in(
        monkeypatch,
        loss_band_down,
        vertical_doubt_m=lambda *_: doubt_m,
        closes_or_asks=lambda *_: closes,
        opened_of=lambda *_: SimpleNamespace(grants=records),
        coming_down=lambda _case, _mapped, wanted: (
            "down" if wanted(1, None) and not wanted(2, None) else None
        ),
        _room_m=lambda _opened, flown: room_m if flown == "down" else {("path",): itself_m}[tuple(flown)],
        uncertain=lambda _case: "uncertain",
    )
    mapped = SimpleNamespace(airspace={1: SimpleNamespace(name=name)})
    case = SimpleNamespace(mapped=mapped, plan=None, track="path", area_samples=None)
    return list(close_under_a_record(case))


@pytest.mark.parametrize(
    ("room_m", "itself_m", "told"),
    [
        (5.0, 9.0, True),
        (6.5, 9.0, False),
        (0.0, 9.0, True),
        (-1.0, 9.0, False),  # above it, which is told as a stop
        (5.0, 5.0, False),  # as little as the flight itself
        (5.0, 4.0, False),
        (np.inf, np.inf, False),
    ],
)
def test_less_than_the_uncertainty_under_a_record_and_less_than_the_flight_is_told(
    room_m, itself_m, told, monkeypatch
):
    found = under(monkeypatch, room_m, itself_m)
    assert [one.numbers for one in found] == ([{"room_m": room_m, "uncertainty_m": 6.0}] if told else [])
    assert not under(monkeypatch, room_m, itself_m, grants=0)
    assert not under(monkeypatch, room_m, itself_m, closes=False)


def test_its_words(monkeypatch):
    (one,) = under(monkeypatch, 5.0, 9.0)
    # 5 m are 16.4 ft, rounded down; 6 m are 19.7 ft, rounded up.
    words = "it stays 16 ft under what INVENTED-0, INVENTED-1 opens of R; 20 ft are uncertain."
    assert one.message.endswith(words)
    assert one.mark is Mark.ACT
    assert "stays 1 ft under" in under(monkeypatch, 0.5, 9.0)[0].message
    assert "opens of an airspace without a name;" in under(monkeypatch, 5.0, 9.0, name="")[0].message


def test_the_highest_record_there_counts_where_it_is_in_the_airspace(monkeypatch):
    part = SimpleNamespace(
        of=lambda samples, _columns, _mapped: SimpleNamespace(entered=np.array(samples.there))
    )
    monkeypatch.setattr(loss_band_down, "Part", part)

    def grant(high_m, *covers):
        return SimpleNamespace(
            covers=lambda samples: np.array(covers)[: len(samples.planned_amsl_m)],
            height_amsl_m=lambda samples, _launch_m: np.full(len(samples.planned_amsl_m), high_m),
        )

    def flown(planned_m, there):
        return SimpleNamespace(planned_amsl_m=np.array(planned_m), there=there)

    both = (grant(100.0, True, True, False), grant(120.0, False, True, True))
    held = SimpleNamespace(grants=both, launch_m=0.0, column=7, mapped=None)
    # Rooms of 10, 25 and 40 m; outside the airspace none counts.
    planned_m = [90.0, 95.0, 80.0]
    assert _room_m(held, [flown(planned_m, [True, True, True])]) == 10.0
    assert _room_m(held, [flown(planned_m, [False, True, True])]) == 25.0
    assert (
        _room_m(held, [flown(planned_m, [False, False, True]), flown([110.0, 117.0], [False, True])]) == 3.0
    )
    assert _room_m(held, [flown(planned_m, [False, False, False])]) == np.inf
    assert _room_m(held, []) == np.inf
    # Covered by none it is told as outside.
    none = SimpleNamespace(grants=(grant(100.0, False),), launch_m=0.0, column=7, mapped=None)
    assert _room_m(none, [flown([90.0], [True])]) == -np.inf


# ---- where data end


def ends(monkeypatch, away_m, itself_m=(), *, action=LAND, known=3, shape=THERE, **given):
    parts = [(str(k), k) for k in range(len(itself_m))]
    put_in(
        monkeypatch,
        beside_unknown_down,
        open_anyway=lambda _case: given.get("open_anyway", False),
        _failsafe=lambda _case: None if action is None else SimpleNamespace(action=action),
        _comes_down=lambda _case, _failsafe: shape,
        drawn_parts=lambda _case, _mapped: parts,
        hole_beside=lambda _known, _words, part: SimpleNamespace(
            away_m=away_m if part is shape else itself_m[part]
        ),
        hole_finding=lambda _case, _mapped, _known, hole: hole.away_m,
    )
    polygon = {known: "known"}.__getitem__
    sky = SimpleNamespace(airspace_known_in=known, outlines=SimpleNamespace(polygon=polygon))
    return list(
        not_known_where_it_comes_down(SimpleNamespace(mapped=sky if given.get("mapped", True) else None))
    )


@pytest.mark.parametrize(
    ("away_m", "itself_m", "told"),
    [
        (19.0, (), True),
        (21.0, (), False),
        (19.0, (30.0, 25.0), True),
        (19.0, (15.0, 30.0), False),
        (5.0, (30.0, 15.0), True),  # open, which the flight itself leaves something to do
        (5.0, (6.0,), False),
        (9.0, (15.0,), False),
    ],
)
def test_data_that_end_near_where_it_comes_down(away_m, itself_m, told, monkeypatch):
    assert ends(monkeypatch, away_m, itself_m) == ([away_m] if told else [])
    assert ends(monkeypatch, away_m, itself_m, known=0) == ([away_m] if told else [])
    for without in (
        {"action": None},
        {"action": BACK},
        {"known": None},
        {"known": beside_unknown_down.NOWHERE},
        {"open_anyway": True},
        {"shape": shapely.Point()},
        {"mapped": False},
    ):
        assert not ends(monkeypatch, away_m, itself_m, **without), without


def test_over_what_it_comes_down_from_path_and_area(monkeypatch):
    put_in(
        monkeypatch,
        beside_unknown_down,
        home_on_lost_link=lambda _case: shapely.box(0, 0, 10, 10),
        straight_m=lambda comes, _failsafe: comes,
    )
    area = SimpleNamespace(footprint=shapely.box(100, 0, 200, 10))
    given = {"area_flight": SimpleNamespace(at_most=30.0), "area_samples": area, "area": object()}
    assert _comes_down(SimpleNamespace(**given), None).bounds == pytest.approx((0, -30, 230, 40))
    for lacking in given:
        assert _comes_down(SimpleNamespace(**{**given, lacking: None}), None).bounds == (0, 0, 10, 10)


def test_what_it_does_is_that_of_the_path_where_it_has_one(monkeypatch):
    monkeypatch.setattr(beside_unknown_down, "area_failsafe", lambda _case: "of the area")
    lost = SimpleNamespace(failsafe="of the path")
    for flight, does in (
        (None, "of the area"),
        (SimpleNamespace(loss=None), "of the area"),
        (SimpleNamespace(loss=lost), "of the path"),
    ):
        assert beside_unknown_down._failsafe(SimpleNamespace(flight=flight)) == does
