"""What is told of an area that is flown freely, where it is known place by place who has what of it.

Sources: 14 CFR 107.31, 107.33 (standing A). That of several observers the best counts at each place, and
what is said of the rest, is the project's own; distances never flatter.
"""

import math

import attrs
import numpy as np
import pytest

from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Basis, Mark
from planner.rules.sight_area import Grade, area_seen, grade_of, reach_known, share_words
from planner.sight.along import Viewer
from planner.sight.over_area import AreaSight
from planner.sight.ranges import SightRange
from tests.rules.hand_made import judged
from tests.worlds import area, box, ft, plan, points, record

CASE = judged(plan(path=(), area=area(box(100, -20, 140, 20), points([(0, 0, 60.0)])[0].height)))
N = len(CASE.area_samples.x_m)
WHICH = np.arange(0, N, 2)
PLACES = len(WHICH)
TOP_M = 60.0
INF, NAN = math.inf, math.nan


def has(key="observer", far_m=100.0, from_m=0.0, surely_m=None, **at):
    """What somebody has of the places; `at` are (place, value) pairs by the name of the figure."""
    far, low = np.full(PLACES, far_m), np.full(PLACES, from_m)
    sure = low.copy() if surely_m is None else np.full(PLACES, surely_m)
    for name, values in (("far", far), ("low", low), ("sure", sure)):
        for place, value in at.get(name, {}).items():
            values[place] = value
    return AreaSight(key, WHICH, far, low, sure)


WELL = SightRange(150.0, 500.0)


def told(*seen, reaches=None, own=WELL, **changes):
    """The findings on the area where all but those told of see all of it."""
    case = CASE
    people = {one.key for one in seen}
    crew = tuple(
        attrs.evolve(case.plan.crew[1 if key != "pilot" else 0], key=key)
        for key in sorted({"pilot", "observer"} | people)
    )
    parts = [*seen, *(has(key) for key in ("observer", "pilot") if key not in people)]
    reaches = reaches or {}
    viewers = tuple(Viewer(part.key, case.sight.viewers[0].eye, reaches.get(part.key, own)) for part in parts)
    sight = attrs.evolve(case.sight, area=tuple(parts), viewers=viewers, people=crew)
    flight = attrs.evolve(case.plan, crew=crew, **changes)
    return {one.rule: one for one in area_seen(attrs.evolve(case, plan=flight, sight=sight))}


def place_of(number):
    index = int(WHICH[number])
    samples = CASE.area_samples
    return CASE.mapped.frame.xy_to_place(float(samples.x_m[index]), float(samples.y_m[index]))


def near(place):
    return (pytest.approx(place.lon_deg, abs=1e-9), pytest.approx(place.lat_deg, abs=1e-9))


# ---- what somebody has of a place


@pytest.mark.parametrize(
    ("far_m", "from_m", "reach", "grade"),
    [
        (100.0, 0.0, WELL, Grade.SEEN),
        (150.0, 0.0, WELL, Grade.SEEN),
        (150.1, 0.0, WELL, Grade.UNTRIED),
        (500.0, 0.0, WELL, Grade.UNTRIED),
        (500.1, 0.0, WELL, Grade.TOO_FAR),
        (100.0, INF, WELL, Grade.HIDDEN),
        (900.0, INF, WELL, Grade.HIDDEN),
        (100.0, NAN, WELL, Grade.UNKNOWN),
        (NAN, 0.0, WELL, Grade.UNKNOWN),
        (900.0, NAN, WELL, Grade.TOO_FAR),
        (300.0, NAN, WELL, Grade.UNKNOWN),
        # What is not known of their range is told once, elsewhere.
        (900.0, 0.0, SightRange(), Grade.SEEN),
        (900.0, INF, SightRange(), Grade.HIDDEN),
        (900.0, 0.0, SightRange(150.0), Grade.UNTRIED),
        (900.0, 0.0, SightRange(None, 500.0), Grade.TOO_FAR),
    ],
)
def test_the_gravest_lack_is_the_grade_of_a_place(far_m, from_m, reach, grade):
    part = AreaSight("x", np.array([0]), np.array([far_m]), np.array([from_m]), np.array([from_m]))
    assert grade_of(part, reach).tolist() == [grade]


def test_a_range_is_known_where_both_of_its_ends_are():
    ranges = (SightRange(), SightRange(134.0), SightRange(None, 500.0), WELL)
    assert [reach_known(one) for one in ranges] == [False, False, False, True]


# ---- what is told


@pytest.mark.parametrize(
    ("seen", "rule", "mark", "words"),
    [
        ({"low": {1: INF, 2: INF}}, "area-hidden", Mark.STOP, "is hidden even at the area's top."),
        # 600 m are 1,968.5 ft, rounded up; 150 m are 492.1 ft, rounded down.
        (
            {"far": {1: 600.0, 2: 550.0}},
            "area-too-far",
            Mark.STOP,
            "is up to 1,969 ft away, farther than the",
        ),
        ({"low": {1: NAN, 2: NAN}}, "area-sight-not-known", Mark.UNKNOWN, "may be hidden: ground there"),
        (
            {"far": {1: 200.0, 2: 150.1}},
            "area-not-tried",
            Mark.UNKNOWN,
            "is up to 657 ft away, farther than the 492 ft that are",
        ),
    ],
)
def test_each_lack_is_told_by_its_share_and_its_first_place(seen, rule, mark, words):
    found = told(has(**seen))
    assert set(found) == {rule}
    one = found[rule]
    assert (one.mark, one.basis, one.citation) == (mark, Basis.LAW, "14 CFR 107.31, 107.33")
    assert one.message.startswith(f"{100 * 2 / PLACES:.0f} % of the area ")
    assert words in one.message
    assert one.numbers["share"] == pytest.approx(2 / PLACES)
    assert (one.place.lon_deg, one.place.lat_deg) == near(place_of(1))
    assert one.remedy
    waiver = record("14 CFR 107.31", None, PermissionKind.WAIVER)
    assert told(has(**seen), permissions=(waiver,))[rule].mark is (Mark.ACT if mark is Mark.STOP else mark)


def test_less_than_a_hundredth_is_not_told_as_nothing():
    mask = np.zeros(1_000, dtype=bool)
    mask[:9] = True
    assert share_words(mask) == "Less than 1 %"
    mask[:10] = True
    assert share_words(mask) == "1 %"
    mask[:26] = True
    assert share_words(mask) == "3 %"
    mask[:900] = True
    assert share_words(mask) == "90 %"


def test_what_is_seen_only_higher_up_is_told_from_two_metres_on():
    """Lower it is landed (own choice). 10 m are 32.8 ft, rounded up."""
    assert not told(has(low={1: 2.0}))
    (one,) = told(has(low={1: 2.1, 3: 10.0})).values()
    assert (one.rule, one.mark) == ("area-seen-above", Mark.ACT)
    assert "is seen only from 33 ft up." in one.message
    assert one.remedy == "stay 33 ft or more above the ground there, or let the observer stand elsewhere"
    assert one.numbers["share"] == pytest.approx(2 / PLACES)
    # What is hidden, too far or not known is told as that; what is not tried is told as both.
    assert set(told(has(low={1: 10.0}, far={1: 600.0}))) == {"area-too-far"}
    assert set(told(has(low={1: 10.0}, far={1: 200.0}))) == {"area-not-tried", "area-seen-above"}


def test_what_is_barely_seen_is_told_with_the_height_from_which_it_surely_is():
    assert not told(has(sure={1: 2.0}))
    assert not told(has(low={1: 5.0}, sure={1: 5.005}))["area-seen-above"].message.startswith("Less")
    (one,) = told(has(sure={1: 2.1, 3: 10.0})).values()
    assert (one.rule, one.mark, one.basis) == ("area-barely-seen", Mark.ACT, Basis.SAFETY)
    assert "surely seen only from 33 ft up." in one.message
    assert one.numbers["share"] == pytest.approx(2 / PLACES)
    assert "not even at the top" not in one.message
    both = told(has(low={1: 5.0}, sure={1: 5.1}))
    assert set(both) == {"area-seen-above", "area-barely-seen"}
    assert set(told(has(low={1: 5.0}, sure={1: 5.005}))) == {"area-seen-above"}
    assert set(told(has(sure={1: 10.0}, far={1: 600.0}))) == {"area-too-far"}
    assert set(told(has(sure={1: 10.0}, far={1: 200.0}))) == {"area-not-tried", "area-barely-seen"}


def test_of_what_is_barely_seen_it_is_told_how_much_is_not_surely_seen_at_its_top():
    sure = {1: TOP_M - 0.1, 2: TOP_M + 0.1, 3: TOP_M + 5.0}
    one = told(has(sure=sure))["area-barely-seen"]
    assert f"; {100 * 2 / PLACES:.0f} % not even at the top." in one.message
    assert f"only from {math.ceil((TOP_M + 5.0) / ft(1))} ft up;" in one.message
    one = told(has(sure={1: TOP_M - 0.1, 2: TOP_M + 0.005}))["area-barely-seen"]
    assert "not even at the top" not in one.message


# ---- by whom


def test_of_several_observers_the_best_counts_at_each_place_by_what_they_have_of_it():
    poor = has("first", low={1: INF, 2: 8.0, 4: 20.0}, far={3: 600.0})
    other = has("observer", low={1: 5.0, 2: INF, 4: 12.0}, far={3: 400.0})
    found = told(poor, other)
    assert set(found) == {"area-not-tried", "area-seen-above"}
    # The best of place 1 is 5 m, of 2 it is 8 m, of 4 it is 12 m: 39.4 ft.
    assert "only from 40 ft up" in found["area-seen-above"].message
    assert found["area-seen-above"].numbers["share"] == pytest.approx(3 / PLACES)
    # 400 m are 1,312.3 ft.
    assert "up to 1,313 ft away" in found["area-not-tried"].message
    sure = has("first", sure={5: 30.0}), has("observer", sure={5: 20.0})
    assert f"only from {math.ceil(20.0 / ft(1))} ft up" in told(*sure)["area-barely-seen"].message
    # What one has who has it worse does not help: seen from 5 m, but too far off.
    low = has("first", low={1: 5.0}, far={1: 600.0}), has("observer", low={1: 15.0})
    assert f"only from {math.ceil(15.0 / ft(1))} ft up" in told(*low)["area-seen-above"].message


def test_of_observer_and_pilot_the_worse_counts():
    watching, flying = (
        has("observer", low={1: 10.0}, far={3: 160.0}),
        has("pilot", low={1: 4.0, 2: INF}, far={3: 170.0}),
    )
    found = told(watching, flying)
    assert set(found) == {"area-hidden", "area-not-tried", "area-seen-above"}
    assert f"only from {math.ceil(10.0 / ft(1))} ft up" in found["area-seen-above"].message
    # 170 m are 557.7 ft.
    assert "up to 558 ft away" in found["area-not-tried"].message
    (barely,) = told(has("observer", sure={1: 20.0}), has("pilot", sure={1: 10.0})).values()
    assert f"only from {math.ceil(20.0 / ft(1))} ft up" in barely.message


def test_of_a_recreational_flight_only_what_the_observers_have_counts():
    """49 USC 44809(a)(3) (standing A): within the line of sight of whoever flies or of the observer."""
    fun = {"purpose": Purpose.RECREATIONAL}
    assert not told(has("pilot", low={1: INF}), **fun)
    (one,) = told(has("observer", low={1: INF}), **fun).values()
    assert (one.rule, one.mark) == ("area-hidden", Mark.STOP)
    assert one.citation.startswith("49 USC 44809(a)(3)")


def test_what_is_tried_is_the_most_of_one_group_and_the_least_of_all():
    far = {3: 300.0}
    # 200 m are 656.1 ft, 180 m 590.5 ft, rounded down.
    reaches = {"first": SightRange(200.0, 500.0), "observer": SightRange(150.0, 500.0)}
    found = told(has("first", far=far), has(far=far), reaches=reaches, own=SightRange(180.0, 500.0))
    assert "farther than the 590 ft that are tried" in found["area-not-tried"].message
    found = told(has("first", far=far), has(far=far), reaches=reaches, own=SightRange(400.0, 500.0))
    assert "farther than the 656 ft that are tried" in found["area-not-tried"].message


def test_whose_range_is_not_known_counts_only_where_nobodys_is():
    reaches = {"first": SightRange()}
    # What is seen only by somebody of unknown range is not seen by the one who is known to see it.
    assert "area-hidden" in told(has("first"), has(low={1: INF}), reaches=reaches)
    both = {"first": SightRange(), "observer": SightRange(134.0)}
    assert "area-hidden" not in told(has("first"), has(low={1: INF}), reaches=both)
    assert "area-hidden" in told(has("first", low={1: INF}), has(low={1: INF}), reaches=both)


def test_with_something_of_unknown_height_about_what_is_told_is_sure():
    surfaces = attrs.evolve(CASE.sight.surfaces, unmeasured=("anything",))
    case = attrs.evolve(CASE, sight=attrs.evolve(CASE.sight, surfaces=surfaces))
    for low, rule, words in (
        ({1: 10.0}, "area-seen-above", "is surely seen only from 33 ft up."),
        ({1: NAN}, "area-sight-not-known", "may be hidden"),
    ):
        parts = (has(low=low), has("pilot"))
        viewers = tuple(Viewer(part.key, case.sight.viewers[0].eye, WELL) for part in parts)
        sight = attrs.evolve(case.sight, area=parts, viewers=viewers)
        (one,) = area_seen(attrs.evolve(case, sight=sight))
        assert one.rule == rule
        assert words in one.message
        assert "buildings and trees" in one.remedy
    assert "buildings and trees" not in told(has(low={1: NAN}))["area-sight-not-known"].remedy


def test_without_an_area_people_or_an_answer_nothing_is_told():
    assert not list(area_seen(attrs.evolve(CASE, sight=None)))
    assert not list(area_seen(attrs.evolve(CASE, area=None)))
    assert not list(area_seen(attrs.evolve(CASE, sight=attrs.evolve(CASE.sight, area=()))))
    hidden = attrs.evolve(CASE.sight, area=(has(low={1: INF}), has("pilot")))
    nobody = attrs.evolve(CASE.plan, crew=())
    assert not list(area_seen(attrs.evolve(CASE, plan=nobody, sight=hidden)))
    (one,) = area_seen(attrs.evolve(CASE, sight=hidden, mapped=None))
    assert one.place is None
    blind = attrs.evolve(CASE.sight, surfaces=None, area=(has(sure={1: 10.0}), has("pilot")))
    assert not list(area_seen(attrs.evolve(CASE, sight=blind)))
