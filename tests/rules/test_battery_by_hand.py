"""What is told of the battery, where it is known from each sample what is left at home.

The reserve and the voltages are common practice or the pilot's own; no law names one.
"""

import math

import attrs
import numpy as np
import pytest

from planner.plan.aircraft import Battery
from planner.plan.performance import MeasuredFlight, Performance
from planner.rules.finding import Basis, Mark
from planner.rules.flight_energy import basis_words, ground_known, reaches_home, reckoned, sag
from planner.rules.stretches import place_at
from planner.rules.turn_back_words import turn_back_words
from planner.saying import told
from tests.rules.hand_flown import ABLE, PACK, at, complete, flown, row

CASE = complete()
TRACK, CHARGE = CASE.track, CASE.flight.charge
ALONG_M = TRACK.distance_m
N = len(TRACK)


def charged(reserve=0.25, back=None, energy=None, pack=None, motion=None, case=None, **flight):
    charge = attrs.evolve(
        CHARGE,
        reserve=reserve,
        turn_back=attrs.evolve(CHARGE.turn_back, **(back or {})),
        energy=attrs.evolve(CHARGE.energy, **(energy or {})),
        pack=attrs.evolve(CHARGE.pack, **(pack or {})),
    )
    moved = attrs.evolve(CASE.flight.motion, **(motion or {}))
    return flown(case=case, charge=charge, motion=moved, **flight)


ENOUGH = {"enough": ~at(), "home_s": row(60.0), "at_m": None}


def short(left, first, at_m, **back):
    """Not enough from a sample on."""
    enough = np.arange(N) < first
    return {"left_fraction": left, "enough": enough, "home_s": row(60.0), "at_m": at_m, **back}


def test_where_home_is_always_reached_the_least_that_is_left_is_told():
    case = charged(back={**ENOUGH, "left_fraction": row(0.8, {7: 0.456, 8: 0.6})})
    (one,) = reaches_home(case)
    assert (one.rule, one.mark, one.basis) == ("home-reached", Mark.NOTE, Basis.SAFETY)
    assert one.title == "Home is reached with 45 % at least"
    assert one.message.startswith(
        f"From {ALONG_M[7]:.0f} m least is left, 25 % is the reserve. Reckoned from "
    )
    assert one.numbers == {"least_left": 0.456, "reserve": 0.25}


def test_a_way_home_over_ground_that_is_not_known_leaves_the_answer_open():
    """Missing data never becomes ready: our own rule (the issue)."""
    made = charged()
    for over, first, last in ((at(5, 6, 20), 5, 6), (at(), None, None)):
        flight = attrs.evolve(made.flight, charge=attrs.evolve(made.flight.charge, over_unknown=over))
        case = attrs.evolve(made, flight=flight)
        found = list(ground_known(case))
        assert [(one.rule, one.mark, one.from_m, one.to_m) for one in found] == (
            []
            if first is None
            else [("home-over-unknown-ground", Mark.UNKNOWN, ALONG_M[first], ALONG_M[last])]
        )
        for lacking in (
            {"flight": None},
            {"track": None},
            {"flight": attrs.evolve(flight, charge=None)},
        ):
            assert not list(ground_known(attrs.evolve(case, **lacking)))


def test_where_it_is_not_the_turn_back_point_is_told():
    left = row(0.8, {20: 0.24, 21: 0.1, 22: 0.2})
    case = charged(back=short(left, 20, 512.0, used_mah=801.4, cell_v=3.456, never=False))
    (one,) = reaches_home(case)
    assert (one.rule, one.mark, one.basis) == ("home-not-reached", Mark.STOP, Basis.SAFETY)
    assert one.message.startswith(
        "Turn back at 512 m: 801 mAh used, or 3.46 V a cell under load. The least that is left at home is "
        f"10 %, from {ALONG_M[21]:.0f} m."
    )
    assert (one.from_m, one.to_m, one.place) == (512.0, TRACK.length_m, place_at(TRACK, 20))
    assert one.numbers == {"turn_back_m": 512.0, "reserve": 0.25}
    assert one.citation == "common practice"
    # Another reserve than the common one is the pilot's own.
    (own,) = reaches_home(charged(0.4, short(left, 20, 512.0)))
    assert (own.mark, own.basis, own.citation) == (Mark.STOP, Basis.OWN_LIMIT, "")


def test_charge_that_is_not_known_is_less_than_any():
    left = row(0.8, {20: math.nan, 21: 0.1})
    (one,) = reaches_home(charged(back=short(left, 20, 512.0)))
    assert f"The least that is left at home is nothing, from {ALONG_M[20]:.0f} m." in one.message


@pytest.mark.parametrize(
    ("back", "words"),
    [
        ({"at_m": None}, ""),
        ({"at_m": 0.0, "never": True}, "Not even from the first point is home reached with the reserve."),
        ({"at_m": 1_500.0, "used_mah": 1_234.6, "cell_v": None}, "Turn back at 1.50 km: 1,234 mAh used."),
        # Limits: what is used is rounded down, volts up (design 2: rounding never flatters).
        (
            {"at_m": 512.0, "used_mah": 801.9, "cell_v": 3.4511},
            "Turn back at 512 m: 801 mAh used, or 3.46 V a cell under load.",
        ),
        (
            {"at_m": 512.0, "used_mah": 801.0, "cell_v": 3.46},
            "Turn back at 512 m: 801 mAh used, or 3.46 V a cell under load.",
        ),
        ({"at_m": 512.0, "used_mah": None, "cell_v": math.nan}, "Turn back at 512 m: 0 mAh used."),
    ],
)
def test_the_turn_back_point_in_words(back, words):
    given = {"never": False, "used_mah": 1.0, "cell_v": 3.5, **back}
    charge = attrs.evolve(CHARGE, turn_back=attrs.evolve(CHARGE.turn_back, **given))
    assert told(turn_back_words(charge)) == words


def test_what_no_battery_helps_against_is_told_as_the_wind():
    home_s = row(60.0, {20: math.inf, 21: math.inf, 22: math.inf, 30: math.inf})
    back = {**short(row(0.8), 20, 500.0), "home_s": home_s}
    (one,) = reaches_home(charged(back=back))
    assert (one.rule, one.mark, one.basis) == ("home-not-reached", Mark.STOP, Basis.SAFETY)
    assert one.title == "The wind keeps it from home"
    assert (one.from_m, one.to_m, one.place) == (ALONG_M[20], ALONG_M[30], place_at(TRACK, 20))
    assert one.numbers == {"turn_back_m": ALONG_M[19]}
    assert one.message.startswith(f"From {ALONG_M[20]:.0f} m on the way home makes no headway")
    (first,) = reaches_home(charged(back={**back, "enough": np.zeros(N, bool), "home_s": row(math.inf)}))
    assert first.numbers == {"turn_back_m": 0.0}
    # Where the way out itself can't be held there is no charge to know: the wind's own rule tells of that.
    lost = {"used_wh": row(3.0, dict.fromkeys(range(20, N), math.nan))}
    (one,) = reaches_home(charged(back=back, energy=lost))
    assert one.title == "The battery does not bring it home"


def test_without_charge_a_path_or_an_answer_nothing_is_told_of_home():
    case = charged(back=short(row(0.1), 20, 512.0))
    for lacking in ({"flight": None}, {"track": None}, {"flight": attrs.evolve(case.flight, charge=None)}):
        for rule in (reaches_home, sag):
            assert not list(rule(attrs.evolve(case, **lacking)))


# ---- the cells


def sagging(cell_v, held=None, used=None, assumed=False):
    case = charged(
        energy={"cell_v": cell_v, "used_wh": row(1.0) if used is None else used},
        pack={"resistance_assumed": assumed},
        motion={"held": np.ones(N, bool) if held is None else held},
    )
    return list(sag(case))


LOWEST_V, LAND_V = CHARGE.pack.model.lowest_v, CHARGE.pack.model.land_loaded_v


def test_a_cell_that_falls_too_low_is_a_stop_and_one_that_falls_low_something_to_do():
    """For LiPo 3.0 V under load at the least, and on the ground by 3.5 V: common practice."""
    assert 0.0 < LOWEST_V < LAND_V < 3.7
    cells = row(3.9, {5: LAND_V - 0.01, 6: LOWEST_V - 0.01, 7: LOWEST_V, 8: LAND_V})
    dead, low = sagging(cells)
    assert (dead.rule, dead.mark) == ("cell-too-low", Mark.STOP)
    assert (dead.from_m, dead.to_m) == (ALONG_M[6], ALONG_M[6])
    assert dead.title == f"A cell falls below {LOWEST_V:.1f} V under load"
    assert (
        f"It must never go below {LOWEST_V:.1f} V a cell under load; at {ALONG_M[6]:.0f} m it does."
        in dead.message
    )
    assert (low.rule, low.mark) == ("cell-low", Mark.ACT)
    assert (low.from_m, low.to_m) == (ALONG_M[5], ALONG_M[5])
    assert "1 more stretch" in low.message
    assert "rule of thumb" not in low.message
    assert "Its resistance is a rule of thumb." in sagging(cells, assumed=True)[0].message
    assert not sagging(row(3.9))


def test_a_voltage_that_nobody_can_reckon_is_too_low_where_the_way_is_held():
    """A pack that can't give what is asked has no voltage; where the way is not held, or charge is not known,
    that is told elsewhere."""
    gone = row(3.9, {6: math.nan})
    assert [one.rule for one in sagging(gone)] == ["cell-too-low"]
    assert not sagging(gone, held=~at(6))
    assert not sagging(gone, used=row(1.0, {6: math.nan}))
    assert not sagging(gone, used=row(1.0, {6: math.inf}))


# ---- what is wanting


def lacking(aircraft, **given):
    case = flown({"battery": PACK, "performance": ABLE, **aircraft}, {}, charge=None)
    case = attrs.evolve(case, plan=attrs.evolve(case.plan, **given.pop("plan", {})), **given)
    found = list(reckoned(case))
    if not found:
        return None
    (one,) = found
    assert (one.rule, one.mark, one.basis) == ("charge-not-reckoned", Mark.ACT, Basis.SAFETY)
    return one.message.split("wanting: ")[1].removesuffix(".").split(", ")


POWER = ["power in cruise with its airspeed", "or a measured flight"]


@pytest.mark.parametrize(
    ("aircraft", "wanting"),
    [
        ({"battery": None}, ["cells and capacity of the battery"]),
        ({"battery": Battery("LiPo", 6, 1_300.0), "performance": None}, POWER),
        ({"performance": Performance(hover_w=100.0)}, POWER),
        ({"performance": Performance(cruise_w=100.0)}, POWER),
        ({"performance": Performance(cruise_mps=9.0)}, POWER),
        ({"performance": Performance(measured=MeasuredFlight(1_000.0, 300.0, 10.0))}, []),
        ({"battery": None, "performance": Performance(cruise_mps=9.0)}, None),
        ({"battery": None, "performance": None}, None),
        (
            {"battery": None, "performance": Performance(hover_w=9.0)},
            ["cells and capacity of the battery", *POWER],
        ),
        (
            {"battery": None, "performance": Performance(measured=MeasuredFlight(1_000.0, 300.0, 10.0))},
            ["cells and capacity of the battery"],
        ),
    ],
)
def test_what_is_wanting_is_named_once_anything_of_the_battery_is_given(aircraft, wanting):
    ground = {"mapped": attrs.evolve(CASE.mapped, ground=None)}
    found = lacking(aircraft, **ground)
    assert found == (None if wanting is None else [*wanting, "ground at the landing point"])


def test_a_kind_of_cells_that_nobody_knows_and_a_place_to_come_home_to_are_wanting():
    (cells, *_) = lacking({"battery": Battery("NiCd", 6, 1_300.0)})
    assert cells == "a kind of cells that is known (NiCd is not): LiPo"
    (cells, *_) = lacking({"battery": attrs.evolve(PACK, chemistry="")})
    assert cells == "the kind of cells: LiPo"
    nowhere = {"plan": {"launch": None, "landing": None}}
    assert lacking({}, **nowhere) == ["a launch or landing point"]
    assert lacking({}, plan={"launch": None}, mapped=None) == ["ground at the landing point"]
    assert lacking({}, plan={"landing": None}, mapped=None) == ["ground at the landing point"]


def test_nothing_is_wanting_where_it_was_reckoned_or_nothing_is_flown():
    assert not list(reckoned(flown()))
    assert not list(reckoned(flown({"battery": None}, {"flight": None})))
    case = flown(charge=None)
    assert not list(reckoned(attrs.evolve(case, plan=attrs.evolve(case.plan, aircraft=None))))


# ---- what it rests on


@pytest.mark.parametrize(
    ("weather", "wind", "usable_mah", "words"),
    [
        (
            {"wind": None, "temperature_c": None},
            {},
            1_300.0,
            "in still air: no wind is given, at full capacity:",
        ),
        (
            {"temperature_c": None},
            {"gust_mps": 3.0},
            1_300.0,
            "against the wind of each way, at full capacity: no",
        ),
        (
            {"temperature_c": None},
            {"gust_mps": 5.0},
            1_300.0,
            "against the mean wind of each way, gusts apart",
        ),
        ({"temperature_c": 5.0}, {}, 1_131.0, "with 87 % of the capacity at 5 degrees C (80 % at 0)."),
        ({"temperature_c": 25.0}, {}, 1_300.0, "against the wind of each way."),
    ],
)
def test_what_the_reckoning_rests_on_is_said(weather, wind, usable_mah, words):
    pack = attrs.evolve(CHARGE.pack, usable_mah=usable_mah, capacity_mah=1_300.0)
    pack = attrs.evolve(pack, model=pack.model.with_share_at_0_c(0.8))
    flight = attrs.evolve(
        CASE.flight,
        weather=attrs.evolve(CASE.flight.weather, **weather),
        wind=attrs.evolve(CASE.flight.wind, speed_mps=3.0, **wind),
    )
    said = basis_words(flight, attrs.evolve(CHARGE, pack=pack))
    assert words in said
    assert said.startswith("Reckoned from ")
    assert ("capacity" in said) is (weather["temperature_c"] != 25.0)


@pytest.mark.parametrize(("air_m", "said"), [(None, False), (0.0, False), (499.0, False), (1_000.0, True)])
def test_thin_air_that_is_assumed_is_said_where_it_costs_something(air_m, said):
    """In the standard atmosphere (ISO 2533) 1,000 m, 3,281 ft, leave 91 % of the air, 499 m 95 %."""
    words = basis_words(complete().flight, attrs.evolve(CHARGE, standard_air_m=air_m))
    assert ("standard air" in words) is said
    assert ("in standard air of 3,281 ft, as temperature or pressure is not given" in words) is said
