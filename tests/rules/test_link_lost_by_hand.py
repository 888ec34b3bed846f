"""What is told of the way on lost link, where it is known from each sample how that goes.

What is too low, too high or too far is the project's own rule: no law speaks of the action on lost link.
"""

import math

import attrs
import numpy as np
import pytest
import shapely

from planner.plan.aircraft import LinkLossAction
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.rules import flight_loss
from planner.rules.finding import Basis, Mark
from planner.rules.flight_loss import (
    charge_lets_it,
    clears,
    known,
    least_room_m,
    low_words,
    over_cover_of_no_height,
    too_low,
    under_ceiling,
    wind_lets_it,
)
from planner.rules.stretches import place_at
from planner.saying import told
from planner.world.obstacles import Obstacles
from tests.rules.hand_flown import FIXED, at, complete, flown, row
from tests.worlds import at as place
from tests.worlds import tower

CASE = complete()
TRACK, LOSS, CHARGE = CASE.track, CASE.flight.loss, CASE.flight.charge
ALONG_M = TRACK.distance_m
N = len(TRACK)
RETURNS, STAYS = LinkLossAction.RETURN_FIXED, (LinkLossAction.DROP, LinkLossAction.LAND, LinkLossAction.HOLD)
# The path is 30 m above level ground, and 10 m of clearance are wanted.
FLOWN_M, WANTED_M = 30.0, 10.0


def lost(action=RETURNS, link_loss=FIXED, case=None, assumed=(), **loss):
    """Where its clearance is given, that of what it does in the end, or while it flies on if it stays."""
    failsafe = attrs.evolve(LOSS.failsafe, action=action, assumed=assumed)
    if "clearance_m" in loss:
        loss = {"acting_m" if action is RETURNS else "waiting_m": loss["clearance_m"], **loss}
    return flown({"link_loss": link_loss}, case, loss=attrs.evolve(LOSS, failsafe=failsafe, **loss))


def the(rule, case):
    found = list(rule(case))
    assert len(found) <= 1
    return found[0] if found else None


# ---- over the ground


@pytest.mark.parametrize(
    ("clearance_m", "agl_m", "low"),
    [
        (WANTED_M, 30.0, False),
        (WANTED_M - 0.1, 30.0, True),
        # No nearer is wanted than the flight itself is there, but for a metre that a path wiggles.
        (4.0, 5.0, False),
        (3.9, 5.0, True),
        (0.0, 0.5, False),
        (-0.1, 0.5, True),
        (math.nan, 30.0, False),
        (math.inf, 30.0, False),
        (9.9, math.nan, True),
    ],
)
def test_a_return_is_too_low_under_what_is_wanted_or_flown(clearance_m, agl_m, low):
    track = attrs.evolve(TRACK, planned_amsl_m=TRACK.ground_amsl_m + row(FLOWN_M, {5: agl_m}))
    loss = attrs.evolve(LOSS, acting_m=row(50.0, {5: clearance_m}), margin_m=WANTED_M)
    assert np.flatnonzero(too_low(track, loss)).tolist() == ([5] if low else [])


@pytest.mark.parametrize("action", STAYS)
@pytest.mark.parametrize(
    ("clearance_m", "agl_m", "low"),
    [(0.1, 30.0, False), (0.0, 30.0, True), (-3.0, 30.0, True), (-3.0, 1.0, True), (-3.0, 1.1, True),
     (-0.6, 0.5, True), (-0.5, 0.5, True), (-0.4, 0.5, False), (0.0, 1.0, True), (0.1, 1.0, False),
     (math.nan, 30.0, False)],
)  # fmt: skip
def test_what_stays_where_it_is_is_too_low_only_in_the_ground(action, clearance_m, agl_m, low):
    track = attrs.evolve(TRACK, planned_amsl_m=TRACK.ground_amsl_m + row(FLOWN_M, {5: agl_m}))
    failsafe = attrs.evolve(LOSS.failsafe, action=action)
    loss = attrs.evolve(LOSS, failsafe=failsafe, waiting_m=row(50.0, {5: clearance_m}), margin_m=WANTED_M)
    assert np.flatnonzero(too_low(track, loss)).tolist() == ([5] if low else [])


def test_what_stands_is_struck_however_low_it_is_flown():
    track = attrs.evolve(TRACK, planned_amsl_m=TRACK.ground_amsl_m + 0.5)
    loss = attrs.evolve(LOSS, waiting_m=row(50.0, {5: -0.3}), margin_m=0.0)
    assert not too_low(track, loss).any()
    strikes = np.arange(len(ALONG_M)) == 5
    assert np.flatnonzero(too_low(track, attrs.evolve(loss, strikes=strikes))).tolist() == [5]


def test_too_low_is_told_at_its_worst_with_what_is_wanted():
    clearances = row(50.0, {5: 4.0, 6: 2.0, 7: 3.0, 20: 9.0})
    one = the(clears, lost(clearance_m=clearances, margin_m=WANTED_M))
    assert (one.rule, one.mark, one.basis) == ("link-loss-too-low", Mark.STOP, Basis.SAFETY)
    assert one.title == "On lost link it comes too low"
    assert (one.from_m, one.to_m, one.place) == (ALONG_M[5], ALONG_M[7], place_at(TRACK, 6))
    assert one.numbers == {"clearance_m": 2.0, "wanted_m": WANTED_M}
    # 2 m are 6.6 ft, 10 m 32.8 ft, to the nearest.
    assert (
        f"Lost at {ALONG_M[6]:.0f} m the aircraft returns to where it was armed, at a fixed height; "
        "its way clears by only 7 ft over" in (one.message)
    )
    assert "over the ground, 33 ft are wanted." in one.message
    assert one.message.endswith("So it is on 1 more stretch of the path.")
    assert one.remedy == "raise the return height"
    own = the(clears, lost(clearance_m=clearances, link_loss=attrs.evolve(FIXED, clear_by_m=WANTED_M)))
    assert (own.basis, own.citation, own.mark) == (Basis.OWN_LIMIT, "", Mark.STOP)


def test_what_hits_is_told_as_that_whatever_is_wanted():
    own = attrs.evolve(FIXED, clear_by_m=WANTED_M)
    # 3 m are 9.8 ft, rounded up.
    one = the(clears, lost(clearance_m=row(50.0, {5: -3.0}), link_loss=own))
    assert one.title == "On lost link it hits the ground"
    assert one.basis is Basis.SAFETY
    assert "its way is 10 ft too low over the ground, 33 ft are wanted." in one.message
    touching = the(clears, lost(clearance_m=row(50.0, {5: 0.0}), link_loss=own))
    assert (touching.title, touching.basis) == ("On lost link it hits the ground", Basis.SAFETY)
    close = the(clears, lost(clearance_m=row(50.0, {5: 0.5}), link_loss=own))
    assert (close.title, close.basis) == ("On lost link it comes too low", Basis.OWN_LIMIT)
    assert the(clears, lost(clearance_m=row(50.0, {5: 0.5}))).title == "On lost link it comes too low"
    stays = the(clears, lost(LinkLossAction.LAND, clearance_m=row(50.0, {5: -3.0})))
    assert "wanted" not in stays.message
    # No leg's speed is said, and it flies on as fast as is assumed.
    says = (
        "say how fast the leg is flown, fly higher or sink more slowly there, keep clear of what lies ahead"
    )
    assert stays.remedy.startswith(says)
    assert not list(clears(lost(clearance_m=row(50.0))))


@pytest.mark.parametrize(
    ("clearance_m", "words"),
    [
        (-1.0, "is 4 ft too low over it"),
        (-0.2, "is 1 ft too low over it"),
        (-0.1, "comes down to it"),
        (0.0, "comes down to it"),
        (0.5, "clears by only 2 ft over it"),
    ],
)
def test_less_than_half_a_foot_is_no_figure_to_say(clearance_m, words):
    assert told(low_words(clearance_m, "it")) == words


@pytest.mark.parametrize(
    ("waiting_m", "acting_m", "room_m"),
    [(-3.0, 8.0, -3.0), (0.0, 8.0, 0.0), (0.5, 8.0, 8.0), (5.0, 8.0, 8.0)],
)
def test_while_it_flies_on_only_what_it_strikes_counts(waiting_m, acting_m, room_m):
    """By as much, and as long as that, it may be as near as the flight itself."""
    acting, waiting = row(50.0, {5: acting_m}), row(50.0, {5: waiting_m})
    loss = attrs.evolve(LOSS, acting_m=acting, waiting_m=waiting, margin_m=WANTED_M)
    assert least_room_m(TRACK, loss)[5] == room_m
    one = the(clears, lost(acting_m=acting, waiting_m=waiting, margin_m=WANTED_M))
    assert ("are wanted" in one.message) is (waiting_m > 0.0)
    flies_on = "say how fast the leg is flown, fly higher or sink"
    assert one.remedy.startswith("raise the return height" if waiting_m > 0.0 else flies_on)
    stays = the(clears, lost(LinkLossAction.LAND, acting_m=row(50.0, {5: -1.0}), waiting_m=row(50.0)))
    assert "wanted" not in stays.message


def test_what_it_comes_too_near_to_is_named():
    told, untold = tower(100.0, name="TALL"), attrs.evolve(tower(90.0), top_amsl_m=None, key="0")
    barn = BeneathItem(
        BeneathKind.BUILDING, DrawnAs.AREA, (place(), place(9), place(9, 9)), "barn", height_m=9.0
    )
    base = lost()
    case = {
        "plan": attrs.evolve(base.plan, beneath=(barn,)),
        "mapped": attrs.evolve(base.mapped, obstacles=Obstacles((untold, told), np.zeros(2), np.zeros(2))),
    }
    ways = {"acting_m": row(50.0, {5: 2.0}), "margin_m": WANTED_M}
    nothing, first = row(-1).astype(int), row(-1, {5: 0}).astype(int)
    for obstacle, cover, name in (
        (first, nothing, "TALL"),
        (nothing, first, "barn"),
        (first, first, "barn"),
        (nothing, nothing, "the ground"),
    ):
        made = attrs.evolve(base.flight.loss, obstacle=obstacle, cover=cover, **ways)
        flight = attrs.evolve(base.flight, loss=made)
        one = the(clears, attrs.evolve(base, flight=flight, **case))
        assert f"7 ft over {name}," in one.message
        blind = attrs.evolve(base, flight=flight, mapped=None, plan=case["plan"])
        assert "over the ground," in the(clears, blind).message


@pytest.mark.parametrize(
    ("level_m", "low"), [(9.9, True), (10.0, False), (math.inf, False), (math.nan, False)]
)
def test_the_level_part_owes_the_margin_however_low_it_was_flown(level_m, low):
    """The issue asks for the pilot's margin; a flight that was lower does not lower it (own choice)."""
    track = attrs.evolve(TRACK, planned_amsl_m=TRACK.ground_amsl_m + row(FLOWN_M, {5: 3.0}))
    loss = attrs.evolve(
        LOSS, acting_m=row(50.0, {5: 3.0}), level_m=row(50.0, {5: level_m}), margin_m=WANTED_M
    )
    assert np.flatnonzero(too_low(track, loss)).tolist() == ([5] if low else [])


def test_it_is_told_how_near_the_level_part_comes_not_how_low_it_was_flown():
    flown_low = {"planned_amsl_m": TRACK.ground_amsl_m + row(FLOWN_M, {5: 3.0})}
    case = lost(clearance_m=row(50.0, {5: 3.0}), level_m=row(50.0, {5: 7.0}), margin_m=WANTED_M)
    one = the(clears, attrs.evolve(case, track=attrs.evolve(TRACK, **flown_low)))
    # 7 m are 23 ft.
    assert "clears by only 23 ft over" in one.message
    highest = lost(LinkLossAction.RETURN_HIGHEST, level_m=row(50.0, {5: 7.0}), margin_m=WANTED_M)
    assert the(clears, highest).remedy.startswith("climb as high as it takes, on the spot or straight out")


# ---- under the ceiling


def test_a_return_above_the_ceiling_is_told_where_it_is_highest():
    over = row(-math.inf, {5: 2.0, 6: math.nan, 7: 4.0, 8: 3.0})
    one = the(under_ceiling, lost(case={"loss_over_ceiling_m": over}))
    assert (one.rule, one.mark, one.basis) == ("link-loss-above-ceiling", Mark.STOP, Basis.SAFETY)
    assert (one.from_m, one.to_m, one.place) == (ALONG_M[5], ALONG_M[8], place_at(TRACK, 7))
    assert one.numbers == {"over_m": 4.0}
    # 4 m are 13.1 ft, rounded up.
    assert (
        f"Lost at {ALONG_M[7]:.0f} m the aircraft returns to where it was armed, at a fixed height, "
        "14 ft above what is" in one.message
    )
    assert one.citation == "14 CFR 107.51(b)"


@pytest.mark.parametrize("over_m", [0.0, -1.0, math.nan, -math.inf])
def test_what_is_not_above_the_ceiling_or_not_known_to_be_is_not_told_as_above(over_m):
    assert the(under_ceiling, lost(case={"loss_over_ceiling_m": row(over_m)})) is None
    assert the(under_ceiling, lost(case={"loss_over_ceiling_m": None})) is None


# ---- wind and charge


def test_where_the_wind_forbids_the_return_is_told_from_its_first_place():
    one = the(wind_lets_it, lost(blown_away=at(5, 6, 20)))
    assert (one.rule, one.mark) == ("link-loss-blown-away", Mark.STOP)
    assert (one.from_m, one.to_m, one.place) == (ALONG_M[5], ALONG_M[6], place_at(TRACK, 5))
    assert f"against the wind from {ALONG_M[5]:.0f} m on. So it is on 1 more stretch" in one.message
    assert the(wind_lets_it, lost(blown_away=at())) is None


def returning(monkeypatch, left, enough=None, **loss):
    monkeypatch.setattr(flight_loss, "left_after_return", lambda *_given: left)
    good = np.ones(N, dtype=bool) if enough is None else enough
    charge = attrs.evolve(CHARGE, reserve=0.25, turn_back=attrs.evolve(CHARGE.turn_back, enough=good))
    case = lost(**loss)
    return list(charge_lets_it(attrs.evolve(case, flight=attrs.evolve(case.flight, charge=charge))))


def test_a_battery_that_is_empty_before_it_is_home_is_a_stop(monkeypatch):
    left = row(0.5, {5: -0.1, 6: -0.3, 7: 0.0, 8: 0.01, 12: math.nan})
    empty, low = returning(monkeypatch, left, duration_s=row(61.0, {6: 125.0}))
    assert (empty.rule, empty.mark) == ("link-loss-empty", Mark.STOP)
    assert (empty.from_m, empty.to_m, empty.place) == (ALONG_M[5], ALONG_M[7], place_at(TRACK, 6))
    assert empty.numbers == {"left": -0.3, "reserve": 0.25}
    assert f"Lost at {ALONG_M[6]:.0f} m its return takes 2 min 05 s," in empty.message
    assert "leaves nothing; 25 % is the reserve." in empty.message
    assert (low.rule, low.mark, low.from_m) == ("link-loss-under-reserve", Mark.ACT, ALONG_M[8])


@pytest.mark.parametrize(
    ("left", "told"), [(0.25, False), (0.2499, True), (0.001, True), (0.3, False), (math.nan, False)]
)
def test_on_less_than_the_reserve_it_is_something_to_do(left, told, monkeypatch):
    found = returning(monkeypatch, row(0.5, {5: left}))
    assert [one.rule for one in found] == (["link-loss-under-reserve"] if told else [])
    # Where the battery does not bring it home anyway that is told, not this again.
    short = np.ones(N, dtype=bool)
    short[5] = False
    assert not returning(monkeypatch, row(0.5, {5: left}), short)


def test_the_least_that_is_left_is_the_place_that_is_told(monkeypatch):
    (one,) = returning(monkeypatch, row(0.5, {5: 0.2, 6: 0.1, 7: 0.15}))
    assert one.place == place_at(TRACK, 6)
    assert "leaves 10 %; 25 % is the reserve." in one.message


# ---- not known


def test_what_nobody_can_say_is_open_over_unknown_ground_and_else_something_to_do():
    """Ground that is not known leaves the answer open, as on the pilot's way home: own choice."""
    one = the(known, lost(clearance_m=row(50.0, {5: math.nan})))
    assert (one.rule, one.mark, one.from_m) == ("link-loss-not-known", Mark.UNKNOWN, ALONG_M[5])
    level = LOSS.corner_amsl_m.copy()
    level[5, 2:] = math.nan
    no_height = the(known, lost(clearance_m=row(50.0, {5: math.nan}), corner_amsl_m=level))
    assert (no_height.mark, no_height.from_m) == (Mark.UNKNOWN, ALONG_M[5])
    over = {"loss_over_ceiling_m": row(-math.inf, {9: math.nan})}
    one = the(known, lost(case=over, clearance_m=row(50.0)))
    assert (one.mark, one.from_m) == (Mark.ACT, ALONG_M[9])
    both = the(known, lost(case=over, clearance_m=row(50.0, {5: math.nan})))
    assert (both.from_m, "1 more stretch" in both.message) == (ALONG_M[5], True)
    assert the(known, lost(case={"loss_over_ceiling_m": None}, clearance_m=row(50.0))) is None


def test_a_return_over_what_has_no_height_is_something_to_do(monkeypatch):
    shapes = (("the wood", shapely.Point(0, 0)), ("the barn", shapely.Point(1, 1)))
    monkeypatch.setattr(flight_loss, "untold_cover", lambda *_given: shapes[:1])
    monkeypatch.setattr(flight_loss, "untold_structures", lambda *_given: shapes[1:])
    met = {0.0: at(5, 6), 1.0: at(8, 9, 20)}
    monkeypatch.setattr(type(LOSS), "meets", lambda _self, shape: met[shape.x])
    wood, barn = over_cover_of_no_height(lost())
    assert (wood.rule, wood.mark) == ("return-over-cover", Mark.ACT)
    assert wood.title == "On lost link it returns over the wood of unknown height"
    assert (wood.from_m, wood.to_m) == (ALONG_M[5], ALONG_M[6])
    assert (
        f"Lost from {ALONG_M[8]:.0f} m to {ALONG_M[9]:.0f} m its way home leads over the barn,"
        in barn.message
    )
    for action in STAYS:
        assert not list(over_cover_of_no_height(lost(action)))
    met[0.0] = at()
    (barn,) = over_cover_of_no_height(lost())
    assert "barn" in barn.title
    assert not list(over_cover_of_no_height(lost(case={"mapped": None})))


RULES = (clears, under_ceiling, wind_lets_it, charge_lets_it, known, over_cover_of_no_height)


@pytest.mark.parametrize("rule", RULES)
def test_without_a_path_an_answer_or_an_action_nothing_is_told(rule):
    bad = lost(case={"loss_over_ceiling_m": row(5.0)}, clearance_m=row(math.nan, {5: -9.0}), blown_away=at(5))
    for lacking in ({"flight": None}, {"track": None}, {"flight": attrs.evolve(bad.flight, loss=None)}):
        assert not list(rule(attrs.evolve(bad, **lacking)))
    assert not list(charge_lets_it(attrs.evolve(bad, flight=attrs.evolve(bad.flight, charge=None))))
