"""Masts of the obstacle file in the line of sight: which, where along the path, and for how long.

Expected places and times follow from similar triangles, in the tests' own words. That a mast is taken to be
2 m wide, and that nothing is called hidden by it, are the project's own.
"""

import math

import attrs
import numpy as np
import pytest

from planner.plan.crew import Contact, CrewMember, Role
from planner.rules.finding import Basis, Mark
from planner.rules.sight_masts import behind_masts
from planner.sight.spot import Spot
from planner.world.obstacles import Obstacles
from planner.world.structures import Structure
from planner.world.terrain import SurfaceKind
from tests.rules.hand_made import complete
from tests.worlds import HERE, TRIED

CASE = complete()
TRACK = attrs.evolve(CASE.track, y_m=np.zeros(len(CASE.track)))
# The path runs along the plane's axis, 1 km from west to east, 30 m above the ground.
HALF_M = float(TRACK.length_m) / 2.0
GROUND_M = float(TRACK.ground_amsl_m[0])
EYE_M, FLOWN_M, SPEED_MPS, WIDTH_M = 1.7, 30.0, 10.0, 2.0
HIGH_M = 100.0


def mast(top_agl_m=HIGH_M, error_m=0.0, name="MAST", **changes):
    top = None if top_agl_m is None else GROUND_M + top_agl_m
    given = {
        "top_amsl_m": top,
        "height_agl_m": top_agl_m,
        "vertical_error_m": error_m,
        "horizontal_error_m": 0.0,
    }
    return Structure(name, "TOWER", HERE, name=name, **{**given, **changes})


def turn(east, north, deg):
    """What lies there, with the whole of it turned to the left."""
    sine, cosine = math.sin(math.radians(deg)), math.cos(math.radians(deg))
    return east * cosine - north * sine, east * sine + north * cosine


def told(*standing, eye=(0.0, -100.0), own_s=None, track=TRACK, turned_deg=0.0, **changes):
    """What is told to an observer at `eye` of masts (east, north, structure); the pilot stands above all."""
    track = attrs.evolve(
        track, **dict(zip(("x_m", "y_m"), turn(track.x_m, track.y_m, turned_deg), strict=True))
    )
    places_of = {"observer": Spot(*turn(*eye, turned_deg), GROUND_M + EYE_M, GROUND_M)}
    high_up = Spot(*turn(0.0, 50.0, turned_deg), GROUND_M + 9_000.0, GROUND_M)
    viewers = tuple(attrs.evolve(one, eye=places_of.get(one.key, high_up)) for one in CASE.sight.viewers)
    places = np.array([turn(east, north, turned_deg) for east, north, *_ in standing]).reshape(-1, 2)
    obstacles = Obstacles(
        tuple(one[2] if len(one) > 2 else mast() for one in standing), places[:, 0], places[:, 1]
    )
    times = attrs.evolve(CASE.sight.times, time_s=track.distance_m / SPEED_MPS)
    sight = attrs.evolve(CASE.sight, viewers=viewers, times=times)
    case = attrs.evolve(
        CASE,
        plan=attrs.evolve(CASE.plan, own_unseen_s=own_s),
        sight=sight,
        mapped=attrs.evolve(CASE.mapped, obstacles=obstacles),
        track=track,
    )
    return list(behind_masts(attrs.evolve(case, **changes)))


def crossing(east_m, north_m, eye=(0.0, -100.0)):
    """Where along the path the line through a mast meets it, and for how long it is lost [m, s]."""
    share = (north_m - eye[1]) / (0.0 - eye[1])
    x_m = eye[0] + (east_m - eye[0]) / share
    sine = abs(eye[1]) / math.hypot(x_m - eye[0], eye[1])
    return HALF_M + x_m, WIDTH_M / share / (SPEED_MPS * sine), share


@pytest.mark.parametrize(
    ("east_m", "north_m", "eye"),
    [
        (7.0, -50.0, (0.0, -100.0)),
        (-7.0, -50.0, (0.0, -100.0)),
        (40.0, -75.0, (0.0, -100.0)),
        (0.3, -1.0, (0.0, -100.0)),
        (30.0, 50.0, (20.0, 100.0)),
        # Close to the path, where a step of it is a wide angle.
        (2.0, -2.0, (0.0, -4.0)),
        (0.1, -0.25, (0.0, -0.5)),
        # The eye, and the mast, beyond either end of the path.
        (550.0, -50.0, (700.0, -100.0)),
        (-550.0, -50.0, (-700.0, -100.0)),
        (550.0, 50.0, (700.0, 100.0)),
    ],
)
@pytest.mark.parametrize("turned_deg", [0.0, 90.0, 217.0])
def test_where_and_for_how_long(east_m, north_m, eye, turned_deg):
    at_m, lost_s, _ = crossing(east_m, north_m, eye)
    (one,) = told((east_m, north_m), eye=eye, turned_deg=turned_deg)
    assert (one.rule, one.mark, one.basis) == ("behind-a-mast", Mark.ACT, Basis.SAFETY)
    assert one.title == "Behind a mast for observer"
    assert one.from_m == one.to_m == pytest.approx(at_m, abs=0.01)
    assert one.numbers["longest_s"] == pytest.approx(lost_s, rel=1e-3)
    assert f"MAST at {at_m:.0f} m: with 2 m of width it is lost for up to {lost_s:.1f} s." in one.message
    assert "own limit" not in one.message


def test_through_a_sample_of_the_path_it_is_told_once():
    at = float(TRACK.x_m[12])
    at_m, lost_s, _ = crossing(at / 2.0, -50.0)
    (one,) = told((at / 2.0, -50.0))
    assert one.message.count("MAST at") == 1
    assert one.from_m == pytest.approx(at_m, abs=0.01)
    assert one.numbers["longest_s"] == pytest.approx(lost_s, rel=1e-3)


@pytest.mark.parametrize(
    ("east_m", "north_m"),
    [
        (7.0, 3.0),  # beyond the path
        (7.0, -150.0),  # behind the eye
        (-400.0, -50.0),  # the line meets the path's axis beyond its end
    ],
)
@pytest.mark.parametrize("turned_deg", [0.0, 40.0, 130.0])
def test_what_does_not_stand_between_is_not_told(east_m, north_m, turned_deg):
    assert not told((east_m, north_m), turned_deg=turned_deg)
    assert told((7.0, -50.0), turned_deg=turned_deg)


def test_along_the_line_it_is_lost_for_no_longer_than_a_slow_crossing():
    """Nearly toward the eye: 0.05 is the least that counts (own figure), so no line is lost for ever."""
    eye = (-3_000.0, -10.0)
    at_m, _, share = crossing(-1_500.0, -5.1, eye)
    assert 0.0 < at_m < 2 * HALF_M
    (one,) = told((-1_500.0, -5.1), eye=eye)
    assert one.numbers["longest_s"] == pytest.approx(WIDTH_M / share / (SPEED_MPS * 0.05), rel=1e-3)


def test_of_a_climb_on_the_spot_each_piece_is_lost_for_as_long_as_it_takes():
    nothing = np.zeros(len(TRACK))
    upright = attrs.evolve(TRACK, x_m=nothing, planned_amsl_m=GROUND_M + np.linspace(5.0, 60.0, len(TRACK)))
    (one,) = told((0.0, -50.0), track=upright)
    assert one.numbers["longest_s"] == pytest.approx(np.diff(TRACK.distance_m).max() / SPEED_MPS)


# ---- how high

_, _, HALF_WAY = crossing(7.0, -50.0)
LINE_M = EYE_M + (FLOWN_M - EYE_M) * HALF_WAY


@pytest.mark.parametrize(
    ("structure", "behind"),
    [
        (mast(LINE_M + 0.01), True),
        (mast(LINE_M - 0.01), False),
        (mast(LINE_M - 4.0, 4.1), True),
        (mast(LINE_M - 4.0, 3.9), False),
        # Without a stated error 30 m are taken (own figure).
        (mast(LINE_M - 29.9, None), True),
        (mast(LINE_M - 30.1, None), False),
        # Without a top above the sea its height stands on the ground there; without any it may be any.
        (mast(LINE_M + 0.01, top_amsl_m=None), True),
        (mast(LINE_M - 0.01, top_amsl_m=None), False),
        (mast(None), True),
    ],
)
def test_only_what_is_as_high_as_the_line_hides_it(structure, behind):
    assert bool(told((7.0, -50.0, structure))) is behind


# ---- in words


def test_masts_are_told_in_the_order_of_the_path_and_three_of_them_by_name():
    spots = {"a": 30.0, "b": 10.0, "c": -20.0, "d": 20.0, "e": -30.0}
    (one,) = told(*((east, -50.0, mast(name=name)) for name, east in spots.items()))
    where = [(name, HALF_M + 2.0 * east) for name, east in sorted(spots.items(), key=lambda item: item[1])]
    named = "; ".join(f"{name} at {at_m:.0f} m" for name, at_m in where[:3])
    assert f"The line of sight passes {named} and 2 more: with" in one.message
    assert (one.from_m, one.to_m) == (
        pytest.approx(where[0][1], abs=0.01),
        pytest.approx(where[-1][1], abs=0.01),
    )
    (three,) = told(*((spots[name], -50.0, mast(name=name)) for name in "abc"))
    assert "more:" not in three.message
    # The nearer to the eye the longer.
    (one,) = told((7.0, -50.0), (-14.0, -80.0))
    assert one.numbers["longest_s"] == pytest.approx(crossing(-14.0, -80.0)[1], rel=1e-3)


@pytest.mark.parametrize(
    ("own_s", "basis"), [(0.39, Basis.SAFETY), (0.42, Basis.OWN_LIMIT), (60.0, Basis.OWN_LIMIT)]
)
def test_the_own_limit_is_said_and_allows_what_is_shorter(own_s, basis):
    (one,) = told((7.0, -50.0), own_s=own_s)
    assert one.numbers["longest_s"] == pytest.approx(0.404, abs=0.001)
    assert (one.mark, one.basis) == (Mark.ACT, basis)
    assert (one.title == "Behind a mast for observer, within your own limit") is (basis is Basis.OWN_LIMIT)
    assert one.message.endswith(f"Your own limit for that is {own_s:g} s; it is no rule.")


def test_an_own_limit_allows_no_more_than_the_call_that_lands_it():
    """5 s by default: 8 m of a mast at 1 m/s."""
    slow = attrs.evolve(CASE.sight.times, time_s=TRACK.distance_m)
    viewers = tuple(
        attrs.evolve(one, eye=Spot(0.0, -100.0, GROUND_M + EYE_M, GROUND_M)) for one in CASE.sight.viewers
    )
    masts = Obstacles((mast(),), np.array([1.0]), np.array([-70.0]))
    found = behind_masts(
        attrs.evolve(
            CASE,
            plan=attrs.evolve(CASE.plan, own_unseen_s=60.0),
            sight=attrs.evolve(CASE.sight, viewers=viewers, times=slow),
            mapped=attrs.evolve(CASE.mapped, obstacles=masts),
        )
    )
    told_to = {one.title: one for one in found}
    assert set(told_to) == {"Behind a mast for observer", "Behind a mast for remote pilot"}
    assert all(one.numbers["longest_s"] == pytest.approx(6.67, abs=0.01) for one in told_to.values())
    assert {one.basis for one in told_to.values()} == {Basis.SAFETY}


def test_who_is_told_once_under_a_name_is_not_told_again():
    twins = tuple(
        CrewMember(key, Role.OBSERVER, "Ash", HERE, Contact.BESIDE, TRIED) for key in ("first", "second")
    )
    answer = CASE.sight
    people = (CASE.plan.crew[0], *twins)
    viewers = tuple(
        attrs.evolve(answer.viewers[0], key=one.key, eye=Spot(0.0, -100.0, GROUND_M + EYE_M, GROUND_M))
        for one in people
    )
    profiles = tuple(attrs.evolve(answer.profiles[0], key=one.key) for one in people)
    masts = Obstacles((mast(),), np.array([7.0]), np.array([-50.0]))
    found = behind_masts(
        attrs.evolve(
            CASE,
            plan=attrs.evolve(CASE.plan, crew=people),
            sight=attrs.evolve(answer, people=people, viewers=viewers, profiles=profiles),
            mapped=attrs.evolve(CASE.mapped, obstacles=masts),
        )
    )
    assert [one.title for one in found] == ["Behind a mast for Ash", "Behind a mast for remote pilot"]


def test_over_a_surface_model_that_holds_them_already_nothing_is_told():
    ground = CASE.sight.surfaces.ground
    for surface, tells in (
        (SurfaceKind.SURFACE, False),
        (SurfaceKind.BARE_EARTH, True),
        (SurfaceKind.UNKNOWN, True),
    ):
        made = attrs.evolve(ground, terrain=attrs.evolve(ground.terrain, surface=surface))
        sight = attrs.evolve(CASE.sight, surfaces=attrs.evolve(CASE.sight.surfaces, ground=made))
        obstacles = Obstacles((mast(),), np.array([7.0]), np.array([-50.0]))
        viewers = tuple(
            attrs.evolve(one, eye=Spot(0.0, -100.0, GROUND_M + EYE_M, GROUND_M)) for one in sight.viewers
        )
        case = attrs.evolve(
            CASE,
            sight=attrs.evolve(sight, viewers=viewers),
            mapped=attrs.evolve(CASE.mapped, obstacles=obstacles),
        )
        assert bool(list(behind_masts(case))) is tells


def test_without_a_path_a_place_or_an_answer_nothing_is_told():
    assert told((7.0, -50.0))
    assert not told((7.0, -50.0), sight=None)
    assert not told((7.0, -50.0), mapped=None)
    assert not list(behind_masts(attrs.evolve(CASE, track=None)))
    for lacking in ({"times": None}, {"surfaces": None}):
        assert not told((7.0, -50.0), sight=attrs.evolve(CASE.sight, **lacking))
