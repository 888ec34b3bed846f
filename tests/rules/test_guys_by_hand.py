"""At which place of the path a guyed mast's wires are told, on a path whose samples are put in by hand.

Wires out to 0.8 of the height, straight to the top: common practice, a rule of thumb.
"""

import attrs
import numpy as np
import pytest

from planner.geo.heights import AboveGround
from planner.plan.mast_wires import MastWires
from planner.rules import guys
from planner.rules.guys import guy_wires, guy_wires_in_area
from planner.rules.stretches import place_at
from planner.track.guy_wires import WireCone
from tests.rules.hand_made import judged
from tests.worlds import area, box, level, plan, points, terrain, tower, world

CASE = judged(
    plan(path=points([(-500, 10.0, 3.0), (500, 10.0, 3.0)])),
    world(
        terrain=terrain(level(), cell_m=250, cells=20),
        structures=(tower(60, (60.0, 0.0), guyed=True, horizontal_error_m=0.0, vertical_error_m=0.0),),
    ),
)
TRACK = CASE.track
# 0.8 x 60 ft: 14.63 m; the path passes 10 m beside, so 10.68 m before and after.
ALONG_M = 560.0


def sampled(*shares):
    """The same straight path, sampled at shares of it only; at its height of 3 m under the wires' line."""
    shares = np.array(shares)

    def line(values):
        return values[0] + (values[-1] - values[0]) * shares

    given = {
        name: line(getattr(TRACK, name))
        for name in ("distance_m", "x_m", "y_m", "lon_deg", "lat_deg", "ground_amsl_m", "planned_amsl_m")
    }
    given["lowest_ground_amsl_m"] = given["ground_amsl_m"]
    given |= {name: np.zeros(len(shares), dtype=np.int64) for name in ("leg", "stretch")}
    given["fraction"] = shares
    return attrs.evolve(CASE, track=attrs.evolve(TRACK, **given))


@pytest.mark.parametrize(
    ("shares", "nearest"),
    [
        ((0.0, 1.0), 1),  # one piece, passed at 56 % of it
        ((0.0, 0.5, 0.6, 1.0), 2),  # the mast abeam of the second piece's latter half
        ((0.0, 0.53, 0.7, 1.0), 1),  # and of its first half
        ((0.0, 0.555, 0.5599, 0.5605, 1.0), 2),  # within the third piece, nearer its beginning
        ((0.0, 0.5595, 0.565, 0.9), 1),
        ((0.5, 0.6), 1),
    ],
)
def test_the_pass_is_told_where_it_is_and_shown_at_the_sample_next_to_it(shares, nearest):
    case = sampled(*shares)
    (one,) = guy_wires(case)
    assert f"At {ALONG_M:.0f} m the path passes 32 ft beside the mast" in one.message  # 10 m are 32.8 ft
    assert one.numbers["aside_m"] == pytest.approx(10.0, abs=0.02)
    assert one.place == place_at(case.track, nearest)


def test_without_a_path_or_charts_nothing_is_told():
    assert not list(guy_wires(attrs.evolve(CASE, track=None)))
    assert not list(guy_wires(attrs.evolve(CASE, mapped=None)))


# ---- a flying area


BOX = judged(plan(path=(), area=area(box(-50, -50, 50, 50), AboveGround(60.0))), world())


def cones(*aside_and_reach, guyed=True):
    """Masts so far east of the area's edge, with wires that reach so far."""
    _, _, east, _ = BOX.area_samples.footprint.bounds
    north = BOX.area_samples.footprint.centroid.y
    return [
        WireCone(
            attrs.evolve(tower(60, (0.0, number), guyed=guyed, key=f"{number}"), name="BCDEA"[number]),
            east + aside_m,
            north,
            reach_m,
            20.0,
            400.0,
        )
        for number, (aside_m, reach_m) in enumerate(aside_and_reach)
    ]


def in_area(monkeypatch, made, **changes):
    monkeypatch.setattr(guys, "cones_in_box", lambda *_given: made)
    case = attrs.evolve(BOX, **changes)
    found = list(guy_wires_in_area(case))
    assert len(found) <= 1
    return found[0] if found else None


@pytest.mark.parametrize(("aside_m", "told"), [(14.9, True), (15.1, False), (-20.0, True)])
def test_wires_that_reach_into_an_area_are_told(aside_m, told, monkeypatch):
    one = in_area(monkeypatch, cones((aside_m, 15.0)))
    assert (one is not None) is told


def test_three_masts_are_named_and_the_widest_wires_told(monkeypatch):
    # 20 m are 65.6 ft, rounded up.
    for count, words in ((1, "B."), (3, "B, C, D."), (4, "B, C, D and 1 more."), (5, "A, B, C and 2 more.")):
        made = cones(*((-1.0, reach_m) for reach_m in (10.0, 20.0, 12.0, 11.0, 9.0)[:count]))
        one = in_area(monkeypatch, made)
        assert f" from {words} No record" in one.message
        widest = made[min(1, count - 1)]
        assert one.numbers == {"reach_m": widest.reach_m}
        assert one.place == widest.mast.place
        assert ("out to 66 ft" in one.message) is (count > 1)


@pytest.mark.parametrize(
    ("share", "words"), [(None, "(a rule of thumb: 0.8 of its height)"), (0.7, "(as you say)")]
)
def test_it_is_said_whose_word_the_reach_is(share, words, monkeypatch):
    of_area = [attrs.evolve(one, said=share is not None) for one in cones((0.0, 15.0))]
    assert words in in_area(monkeypatch, of_area).message
    said = () if share is None else (MastWires("tower 60", share, "18.3 m, guyed"),)
    on_path = attrs.evolve(CASE, plan=attrs.evolve(CASE.plan, mast_wires=said))
    (one,) = guy_wires(on_path)
    assert words in one.message


@pytest.mark.parametrize(("north_m", "told"), [(44.0, True), (45.0, False)])
def test_a_mast_whose_record_states_no_accuracy_is_not_taken_as_exact(north_m, told):
    """0.8 x 60 ft = 14.63 m, and 30 m as of any record that is silent (rules/obstacles): 44.63 m."""
    mast = tower(60, (60.0, 0.0), guyed=True, horizontal_error_m=None, vertical_error_m=None)
    silent = judged(
        plan(path=points([(-500, north_m, 3.0), (500, north_m, 3.0)])),
        world(terrain=terrain(level(), cell_m=250, cells=20), structures=(mast,)),
    )
    found = list(guy_wires(silent))
    assert len(found) == told
    # 30 m are 98.4 ft, rounded up.
    words = "99 ft of it as its record does not state how far off it may be"
    assert all(words in one.message for one in found)


def test_without_an_area_that_is_judged_no_wires_reach_into_it(monkeypatch):
    for left_out in ("area_samples", "mapped", "area"):
        assert in_area(monkeypatch, cones((0.0, 15.0)), **{left_out: None}) is None


@pytest.mark.parametrize(("x_m", "y_m", "side"), [(-500, 10, (-1, 0)), (500, 10, (1, 0)), (0, 10, (0, 1))])
def test_wires_are_apart_from_a_path_only_where_they_reach_no_part_of_it(x_m, y_m, side):
    """Our own rule: a short cut to the same answer. The path runs 10 m north, from 500 m west to east."""
    (made,) = cones((0.0, 15.0))
    for away_m in (0.0, 14.9, 15.1, 400.0):
        cone = attrs.evolve(made, x_m=x_m + away_m * side[0], y_m=y_m + away_m * side[1])
        assert cone.is_apart(TRACK) is (away_m > 15.0)
        assert bool((cone.closest_m(TRACK) < cone.reach_m).any()) is (away_m < 15.0)


@pytest.mark.parametrize(
    ("doubt", "words"),
    [
        ({}, "No record says where they run"),
        ({"denied": True}, "one of them is wrong"),
        ({"older": True}, "it has changed since"),
    ],
)
def test_what_is_said_of_its_wires_and_doubted_is_to_be_looked_at_again(doubt, words, monkeypatch):
    made = [attrs.evolve(one, **doubt) for one in cones((-1.0, 15.0))]
    beside = [attrs.evolve(one, **doubt) for one in guys.wire_cones(CASE.plan, CASE.mapped, TRACK, 0.0)]
    monkeypatch.setattr(guys, "wire_cones", lambda *_given: beside)
    (along_path,) = guy_wires(CASE)
    for one in (along_path, in_area(monkeypatch, made)):
        assert words in one.message
        assert ("look again where the wires run" in one.remedy) is bool(doubt)
