"""What is told of wind, time and what the flight was reckoned with, where each sample is known by hand.

Source: 14 CFR 107.51(a) (standing A): 87 knots over the ground, 44.757 m/s. All else is common practice.
"""

import math

import attrs
import pytest

from planner.flight.weather_now import Air
from planner.plan.model import Purpose
from planner.plan.performance import Performance
from planner.plan.records import PermissionKind
from planner.rules import unknowns
from planner.rules.finding import Basis, Mark
from planner.rules.flight_axis import battery_lacks, charge_of, link_axis, link_lacks
from planner.rules.flight_given import flight_given
from planner.rules.flight_wind import airspeed_given, ground_speed, lee, times, way_held
from planner.rules.flight_words import clock, feet, fine_miles, miles, percent, wind_words, worst_of
from planner.rules.stretches import place_at
from planner.saying import told
from planner.units import KNOT_MPS
from tests.rules.hand_flown import ABLE, CONTROL, VIDEO, at, complete, flown, row
from tests.worlds import record

CASE = complete()
TRACK, MOTION = CASE.track, CASE.flight.motion
ALONG_M = TRACK.distance_m
N = len(TRACK)
LIMIT_MPS = 87 * KNOT_MPS


def moving(weather=None, wind=None, case=None, aircraft=None, flight=None, **motion):
    given = {"held": ~at(), "held_in_gusts": ~at(), "slowed": at(), "assumed_speed": at()}
    given |= {"ground_speed_mps": row(10.0), "fastest_mps": row(12.0), "climb_mps": row(0.0)}
    return flown(
        aircraft,
        case,
        motion=attrs.evolve(MOTION, **{**given, **motion}),
        weather=attrs.evolve(CASE.flight.weather, **(weather or {})),
        wind=attrs.evolve(CASE.flight.wind, **(wind or {})),
        **(flight or {}),
    )


# ---- the way


def test_where_the_way_is_not_held_is_told_from_its_first_place():
    (one,) = way_held(moving(held=~at(5, 6, 20), wind={"speed_mps": 9.0, "gust_mps": 14.0}))
    assert (one.rule, one.mark) == ("way-not-held", Mark.STOP)
    assert (one.from_m, one.to_m, one.place) == (ALONG_M[5], ALONG_M[6], place_at(TRACK, 5))
    # 9 m/s are 17.5 kt, 14 m/s 27.2 kt.
    assert f"The way can't be held from {ALONG_M[5]:.0f} m on: wind 17 kt, gusts 27 kt" in one.message
    assert one.numbers == {"wind_mps": 9.0, "gust_mps": 14.0}
    assert "1 more stretch" in one.message


def test_what_is_held_but_in_gusts_is_a_stop_of_its_own():
    both = moving(held=~at(5), held_in_gusts=~at(5, 6))
    away, gusty = way_held(both)
    assert [away.rule, gusty.rule] == ["way-not-held", "way-not-held-in-gusts"]
    assert (gusty.mark, gusty.from_m, gusty.to_m) == (Mark.STOP, ALONG_M[6], ALONG_M[6])
    assert not list(way_held(moving()))
    assert not list(way_held(moving(held=~at(5), weather={"wind": None})))


@pytest.mark.parametrize(
    ("able", "told_of"),
    [
        (attrs.evolve(ABLE, highest_mps=8.0), True),
        (attrs.evolve(ABLE, highest_mps=10.0), False),
        (attrs.evolve(ABLE, highest_mps=None, cruise_mps=8.0), True),
        (attrs.evolve(ABLE, highest_mps=None, cruise_mps=11.0), False),
        (Performance(), False),
        (None, False),
    ],
)
def test_a_gust_faster_than_the_aircraft_is_not_held_whatever_the_way(able, told_of, monkeypatch):
    monkeypatch.setattr(type(CASE.flight.wind), "at", lambda _self, _agl, gust: row(gust))
    case = moving(wind={"gust_mps": 10.0}, aircraft={"performance": able})
    assert bool(list(way_held(case))) is told_of


def test_a_gust_at_an_unknown_height_is_none():
    case = moving(case={"track": attrs.evolve(TRACK, planned_amsl_m=row(math.nan))}, wind={"gust_mps": 99.0})
    assert not list(way_held(case))


@pytest.mark.parametrize(
    ("weather", "airspeed", "tells"), [({}, False, True), ({}, True, False), ({"wind": None}, False, False)]
)
def test_a_wind_without_an_airspeed_is_something_to_do(weather, airspeed, tells):
    case = moving(
        weather=weather, wind={"speed_mps": 9.0, "gust_mps": 9.0}, flight={"airspeed_given": airspeed}
    )
    found = list(airspeed_given(case))
    assert bool(found) is tells
    for one in found:
        assert (one.rule, one.mark) == ("wind-not-compared", Mark.ACT)
        assert one.message.startswith("Wind 17 kt (")
        assert one.numbers == {"wind_mps": 9.0, "gust_mps": 9.0}
        assert not list(airspeed_given(attrs.evolve(case, track=None)))


# ---- 87 knots


def fast(**given):
    return {one.rule: one for one in ground_speed(moving(**given))}


def test_wind_from_behind_above_87_knots_is_a_stop_where_no_speed_is_stated():
    """Where one is stated, the rule of the leg's speed tells of it."""
    speeds = row(40.0, {5: LIMIT_MPS + 0.1, 6: LIMIT_MPS + 2.0, 9: LIMIT_MPS + 5.0})
    found = fast(ground_speed_mps=speeds, assumed_speed=~at(9))
    (one,) = found.values()
    assert (one.rule, one.mark, one.basis) == ("speed-limit", Mark.STOP, Basis.LAW)
    assert one.citation.startswith("14 CFR 107.51(a)")
    assert (one.from_m, one.to_m, one.place) == (ALONG_M[5], ALONG_M[6], place_at(TRACK, 6))
    # 2 m/s are 3.9 kt.
    assert "Wind from behind makes it 90.9 kt over the ground." in one.message


def test_a_climb_counts_and_the_worst_is_of_both():
    """30-40-50: 36 m/s level and 27 m/s up are 45 m/s, 87.5 kt."""
    speeds, climbs = row(10.0, {5: 36.0, 6: 44.0}), row(0.0, {5: 27.0, 6: 12.0})
    (one,) = fast(ground_speed_mps=speeds, climb_mps=climbs, assumed_speed=~at()).values()
    assert one.place == place_at(TRACK, 6)
    assert f"{math.hypot(44.0, 12.0) / KNOT_MPS:.1f} kt" in one.message
    assert one.from_m == ALONG_M[5]


def test_in_gusts_it_is_something_to_do_where_they_are_held():
    given = {"fastest_mps": row(12.0, {5: LIMIT_MPS + 1.0, 6: LIMIT_MPS + 3.0, 7: LIMIT_MPS + 4.0})}
    (one,) = fast(**given, held_in_gusts=~at(7)).values()
    assert (one.rule, one.mark, one.basis) == ("speed-limit-in-gusts", Mark.ACT, Basis.LAW)
    assert one.citation.startswith("14 CFR 107.51(a)")
    assert (one.from_m, one.to_m, one.place) == (ALONG_M[5], ALONG_M[6], place_at(TRACK, 6))
    assert "A gust from behind makes it 92.8 kt" in one.message


@pytest.mark.parametrize("purpose", [Purpose.RECREATIONAL, None])
def test_87_knots_are_a_limit_of_part_107_that_can_be_waived(purpose):
    speeds = {"ground_speed_mps": row(50.0), "assumed_speed": ~at()}
    assert set(fast(**speeds)) == {"speed-limit"}
    assert not fast(**speeds, case={"plan": attrs.evolve(flown().plan, purpose=purpose)})
    waiver = record("14 CFR 107.51(a)", None, PermissionKind.WAIVER)
    assert not fast(**speeds, case={"plan": attrs.evolve(flown().plan, permissions=(waiver,))})


def test_slower_than_planned_is_something_to_do_where_the_way_is_held():
    found = fast(slowed=at(5, 6, 7), held=~at(5), ground_speed_mps=row(10.0, {6: 6.0, 7: 2.0}))
    (one,) = found.values()
    assert (one.rule, one.mark) == ("leg-slower-than-planned", Mark.ACT)
    assert (one.from_m, one.to_m, one.place) == (ALONG_M[6], ALONG_M[7], place_at(TRACK, 6))
    # 6 m/s are 11.7 kt.
    assert "the aircraft makes 12 kt over the ground" in one.message
    assert one.title == "Slower than planned against the wind"
    (still,) = fast(slowed=at(5), weather={"wind": None}).values()
    assert still.title == "Slower than planned"


def test_where_the_path_lies_in_the_lee_is_told():
    (one,) = lee(moving(flight={"sheltered": at(5, 6, 9)}))
    assert (one.rule, one.mark, one.from_m, one.to_m) == ("in-lee", Mark.ACT, ALONG_M[5], ALONG_M[6])
    assert "1 more stretch" in one.message
    assert not list(lee(moving(flight={"sheltered": at()})))


# ---- time


def timed(weather=None, wind=None, **given):
    clocks = {
        "time_s": row(0, {N - 1: 125.0}),
        "early_s": row(0, {N - 1: 118.0}),
        "late_s": row(0, {N - 1: 3_700.0}),
    }
    case = moving(weather, {"speed_mps": 9.0, "gust_mps": 9.0, "from_true_deg": 45.0, **(wind or {})},
                  **{**clocks, **given})  # fmt: skip
    found = list(times(case))
    if not found:
        return ""
    (one,) = found
    assert (one.rule, one.mark) == ("flight-time", Mark.NOTE)
    assert one.numbers == {"duration_s": 125.0}
    return one.message


def test_how_long_the_path_takes_and_in_what_wind():
    source = CASE.flight.weather.wind_source
    here = {"from_any_side": False, "between_deg": None, "air": None}
    assert timed({"wind": None, "air": None}) == "The path takes 2 min 05 s in still air; no wind is given."
    assert timed(here) == (
        "The path takes 2 min 05 s, 1 min 58 s to 61 min 40 s as the wind varies: 17 kt from 045 degrees "
        f"true ({source})."
    )
    assert ", or much more: 17 kt" in timed(here, held_in_gusts=~at(5))
    as_early = {"late_s": row(0, {N - 1: 118.0})}
    assert ", however the wind varies: 17 kt" in timed(here, **as_early)
    assert ", or much more: 17 kt" in timed(here, **as_early, held_in_gusts=~at(5))
    assert ", if the aircraft holds its speed over the ground: " in timed(
        here, flight={"airspeed_given": False}
    )
    assert "17 kt from any side (" in timed({**here, "from_any_side": True})
    assert "from between 350 and 010 degrees true (" in timed({**here, "between_deg": (350.0, 10.0)})
    assert timed(here, assumed_speed=at(5)).endswith(" Some legs state no speed.")
    # 1,000 m are 3,280.8 ft.
    high = timed({**here, "air": Air(1.1, 1_000.0)})
    assert high.endswith(" Density altitude at the launch point: 3,281 ft.")


def test_of_a_path_that_is_not_held_no_time_is_told():
    assert timed(time_s=row(0, {N - 1: math.nan})) == ""


RULES = (way_held, airspeed_given, ground_speed, lee, times)


@pytest.mark.parametrize("rule", RULES)
def test_without_a_path_or_an_answer_nothing_is_told_of_wind(rule):
    bad = moving(
        held=~at(5), slowed=at(6), flight={"sheltered": at(5), "airspeed_given": False}, time_s=row(1.0)
    )
    assert list(rule(bad))
    for lacking in ({"flight": None}, {"track": None}):
        assert not list(rule(attrs.evolve(bad, **lacking)))


# ---- words


def test_the_worst_of_what_holds():
    assert worst_of(TRACK, at()) is None
    first = worst_of(TRACK, at(5, 6, 20, 30))
    assert (first.sample, first.stretch.first, first.stretch.last) == (5, 5, 6)
    assert first.more == " So it is on 2 more stretches of the path."
    bad = row(0.0, {4: 99.0, 20: 3.0, 30: math.nan})
    worst = worst_of(TRACK, at(5, 6, 20, 30), bad)
    assert (worst.sample, worst.stretch.first) == (20, 20)
    assert worst_of(TRACK, at(5, 6), row(math.nan)).sample == 5
    # What is minus infinitely bad everywhere is told where it begins.
    assert worst_of(TRACK, at(5, 6), row(-math.inf)).sample == 5
    assert worst_of(TRACK, at(5), bad).more == ""
    assert worst_of(TRACK, at(5, 9)).more == " So it is on 1 more stretch of the path."
    finding = worst.finding(rule="r", mark=Mark.ACT, title="t", message="m", remedy="do")
    assert finding.message == "m So it is on 2 more stretches of the path."
    assert (finding.basis, finding.citation, finding.numbers) == (Basis.SAFETY, "common practice", {})


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0.4, "0 s"), (59.4, "59 s"), (59.6, "1 min 00 s"), (61.0, "1 min 01 s"), (3_661.0, "61 min 01 s"),
        (math.inf, "for ever"), (math.nan, "for ever"),
    ],
)  # fmt: skip
def test_times_in_words(seconds, words):
    assert clock(seconds) == words


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.0, "0 %"), (0.29, "29 %"), (0.2999, "29 %"), (1.0, "100 %"), (-0.01, "nothing"),
     (math.nan, "nothing"), (-math.inf, "nothing"), (math.inf, "nothing")],
)  # fmt: skip
def test_shares_are_rounded_down(share, words):
    assert percent(share) == words


def test_distances_and_speeds_in_words():
    """A statute mile is 1,609.344 m, a knot 1,852 m an hour."""
    assert miles(2 * 1_609.344) == "2.0 statute miles"
    assert miles(1_609_344.0) == "1,000.0 statute miles"
    assert [fine_miles(one * 1_609.344) for one in (1.0, 1.01, 3.0, 2.999, 2.99, 10.0)] == [
        "1 statute mile",
        "1.01 statute miles",
        "3 statute miles",
        "2.99 statute miles",
        "2.99 statute miles",
        "10 statute miles",
    ]
    assert told(f"{feet(100.0)}") == "328 ft"
    assert told(wind_words(10.0, 10.0)) == "19 kt"
    assert told(wind_words(10.0, 15.0)) == "19 kt, gusts 29 kt"


# ---- the axes


def links(*given):
    """Links with a margin at each sample, and what is wanted of each."""
    base = CASE.flight.links[0]
    return tuple(
        attrs.evolve(
            base,
            radio=radio,
            profile=attrs.evolve(
                base.profile,
                spec=attrs.evolve(base.profile.spec, required_margin_db=wanted, use=radio.use),
                margin_db=margins,
            ),
        )
        for radio, wanted, margins in given
    )


def test_of_several_links_the_one_with_least_to_spare_decides_and_what_is_not_known_before_all():
    two = links(
        (VIDEO, 10.0, row(20.0, {3: 12.0, 4: math.nan})),
        (VIDEO, 6.0, row(15.0, {3: 9.0})),
        (CONTROL, 6.0, row(-50.0)),
    )
    axis = link_axis(attrs.evolve(CASE.flight, links=two), VIDEO.use)
    # Spare are 10 against 9 dB, at sample 3 it is 2 against 3 dB.
    assert axis.which.tolist()[2:5] == [1, 0, 0]
    assert axis.link_at(2) is two[1]
    assert axis.margin_db[2:4].tolist() == [15.0, 12.0]
    assert math.isnan(axis.margin_db[4])
    assert axis.required_db[2:5].tolist() == [6.0, 10.0, 10.0]
    assert link_axis(attrs.evolve(CASE.flight, links=two), CONTROL.use).links == two[2:]
    assert link_axis(attrs.evolve(CASE.flight, links=two[2:]), VIDEO.use) is None
    assert link_axis(None, VIDEO.use) is None


def test_why_charge_and_links_are_not_there():
    craft = flown().plan.aircraft
    plan = CASE.plan
    assert charge_of(None) is None
    assert charge_of(CASE.flight) is CASE.flight.charge

    def lacks(nowhere=False, **changes):
        made = attrs.evolve(plan, aircraft=attrs.evolve(craft, **changes))
        return battery_lacks(attrs.evolve(made, launch=None, landing=None) if nowhere else made)

    power, place = "power and airspeed in cruise, or a measured flight", "launch or landing point"
    assert lacks() == ()
    assert lacks(battery=None) == ("battery",)
    assert lacks(battery=attrs.evolve(craft.battery, chemistry="NiCd")) == (
        "a battery chemistry that is known",
    )
    assert lacks(performance=None) == (power,)
    assert lacks(performance=Performance(hover_w=100.0)) == (power,)
    assert lacks(nowhere=True) == (place,)
    assert battery_lacks(attrs.evolve(plan, launch=None)) == ()
    assert battery_lacks(attrs.evolve(plan, landing=None)) == ()
    assert battery_lacks(attrs.evolve(plan, aircraft=None)) == ("battery", power)

    dumb = attrs.evolve(VIDEO, sensitivity_dbm=None)
    for radios, lacking in (
        ((VIDEO,), ()),
        ((CONTROL,), ("video radio",)),
        ((dumb, VIDEO), ()),
        ((VIDEO, dumb), ()),
        ((), ("video radio",)),
    ):
        assert (
            link_lacks(attrs.evolve(plan, aircraft=attrs.evolve(craft, radios=radios)), VIDEO.use) == lacking
        )
    first = link_lacks(attrs.evolve(plan, aircraft=attrs.evolve(craft, radios=(dumb,))), VIDEO.use)
    assert len(first) == 1
    assert "sensitivity" in first[0]
    assert link_lacks(attrs.evolve(plan, aircraft=None), VIDEO.use) == ("video radio",)


# ---- what was answered


def test_what_was_reckoned_with_is_no_longer_called_not_given():
    whole = {unknowns.WIND, unknowns.BATTERY, unknowns.LINKS, unknowns.LINK_LOSS}
    assert flight_given(flown()) & whole == whole
    for lacking, of in (
        ({"charge": None}, unknowns.BATTERY),
        ({"loss": None}, unknowns.LINK_LOSS),
        ({"links": CASE.flight.links[:1]}, unknowns.LINKS),
        ({"links": ()}, unknowns.LINKS),
        ({"airspeed_given": False}, unknowns.WIND),
        ({"weather": attrs.evolve(CASE.flight.weather, wind=None)}, unknowns.WIND),
    ):
        assert flight_given(flown(**lacking)) & whole == whole - {of}
    assert unknowns.LINKS not in flight_given(flown({"radios": ()}, links=()))
    bare = flown()
    assert unknowns.LINKS not in flight_given(attrs.evolve(bare, plan=attrs.evolve(bare.plan, aircraft=None)))
    assert not flight_given(attrs.evolve(bare, flight=None)) & whole
    seen = attrs.evolve(CASE.weather, cloud_unknown=False)
    for weather, given in ((seen, True), (attrs.evolve(seen, cloud_unknown=True), False), (None, False)):
        assert (unknowns.CLOUD in flight_given(attrs.evolve(bare, weather=weather))) is given
