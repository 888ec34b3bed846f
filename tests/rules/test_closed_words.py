"""What a finding says of airspace that is closed: its kind, its limits, its times, whom to ask, and the law.

14 CFR 107.45 and part 73, 99.7, 91.137 to 91.145 (check_values 1.17 to 1.19, standing A); 49 USC 44809(a)(6)
for recreational flights (check_values 1.4); 14 CFR 107.47 on what a notice closes is from memory.
"""

from datetime import timedelta

import attrs
import pytest

from planner.assess import assess_live
from planner.plan.model import Purpose
from planner.rules.closed_words import numbers_of, or_another_time
from planner.saying import told as in_words
from planner.world.airspace import AirspaceKind
from tests.rules.hand_flown import complete
from tests.worlds import START, WINDOW, above_ground, disc, ft, plan, sea_level, volume, world

PART_107, FUN = Purpose.PART_107, Purpose.RECREATIONAL
MINUTE = timedelta(minutes=1)


def finding(*volumes, purpose=PART_107, rule="closed-airspace", **changes):
    answer = assess_live(plan(purpose, **changes), world(airspace=volumes))
    (found,) = [one for one in answer.findings if one.rule == rule]
    return found


def test_kind_limits_and_agency_are_told():
    range_ = volume(
        AirspaceKind.RESTRICTED,
        floor=above_ground(ft(50)),
        top=sea_level(ft(3_000)),
        name="R-1",
        agency="INVENTED RANGE CONTROL",
    )
    told = finding(range_)
    assert "unless permitted by INVENTED RANGE CONTROL" in told.message
    assert "It is a restricted area, from 50 ft above ground to 3,000 ft above sea level." in told.message
    assert told.remedy == "keep clear, or record the permission of INVENTED RANGE CONTROL"
    assert told.numbers["floor_agl_m"] == pytest.approx(ft(50))
    assert told.numbers["top_amsl_m"] == pytest.approx(ft(3_000))
    assert told.numbers["asked_agl_m"] == pytest.approx(30.0, abs=0.01)


@pytest.mark.parametrize(
    ("times", "words", "remedy"),
    [
        ((-60, 10), "on file from ", "keep clear, fly after 12 Jun 2027 19:10"),
        ((None, 10), "on file until 12 Jun 2027 19:10", "keep clear, fly after 12 Jun 2027 19:10"),
        ((50, None), "on file from 12 Jun 2027 19:50", "keep clear, be down before 12 Jun 2027 19:50"),
        ((-60, 90), "on file from ", "keep clear, or record"),
        ((None, None), "a stadium event, from the ground to 3,000 ft above ground.", "keep"),
    ],
)
def test_times_on_file_say_when_it_is_open(times, words, remedy):
    """The window is 19:00 to 20:00 UTC."""
    first, last = (None if minutes is None else START + minutes * MINUTE for minutes in times)
    event = volume(
        AirspaceKind.STADIUM,
        disc(5_556),
        top=above_ground(ft(3_000)),
        active_from_utc=first,
        active_to_utc=last,
    )
    told = finding(event)
    assert words in told.message
    assert told.remedy.startswith(remedy)
    assert told.remedy.endswith("record the permission of the using or controlling agency")


def test_of_two_pieces_both_are_told_and_the_later_end_counts():
    first = volume(
        AirspaceKind.TEMPORARY,
        name="T",
        ident="INVENTED-1",
        key="a",
        active_to_utc=START + 10 * MINUTE,
        agency="A",
    )
    second = volume(
        AirspaceKind.TEMPORARY,
        name="T",
        ident="INVENTED-1",
        key="b",
        active_to_utc=START + 20 * MINUTE,
        agency="B",
    )
    away = volume(
        AirspaceKind.TEMPORARY,
        disc(100, (5_000, 0)),
        name="T",
        ident="INVENTED-1",
        key="c",
        agency="C",
        top=above_ground(9.0),
    )
    told = finding(first, second, away)  # of one notice: what tells them apart is in `test_namesakes`
    assert "unless permitted by A and B" in told.message
    assert told.message.count("a temporary restriction, from the ground") == 2
    assert "fly after 12 Jun 2027 19:20" in told.remedy


def test_what_is_not_known_of_its_limits_is_said():
    from planner.world.readers.limits import UNKNOWN

    told = finding(volume(AirspaceKind.SECURITY, floor=UNKNOWN, top=UNKNOWN))
    assert "from a floor that is not known to a top that is not known." in told.message


@pytest.mark.parametrize(
    ("kind", "part_107", "own"),
    [
        (AirspaceKind.RESTRICTED, "14 CFR 107.45", "14 CFR part 73"),
        (AirspaceKind.PROHIBITED, "14 CFR 107.45", "14 CFR part 73"),
        (AirspaceKind.SECURITY, "14 CFR 107.47", "14 CFR 99.7"),
        (AirspaceKind.STADIUM, "14 CFR 107.47", "14 CFR 91.145, 99.7"),
        (AirspaceKind.TEMPORARY, "14 CFR 107.47", "14 CFR 91.137 to 91.145, 99.7"),
    ],
)
def test_each_purpose_is_pointed_to_its_own_law(kind, part_107, own):
    for purpose in (PART_107, FUN, None):
        cited = finding(volume(kind), purpose=purpose).citation
        assert (part_107 in cited) is (purpose is not FUN)
        assert ("49 USC 44809(a)(6)" in cited) is (purpose is not PART_107)
        assert own in cited


def test_without_a_time_the_same_is_told():
    event = volume(AirspaceKind.STADIUM, active_from_utc=START, active_to_utc=START + 60 * MINUTE, agency="A")
    told = finding(event, rule="closed-at-times", window=None)
    assert "unless permitted by A. It is a restriction about a stadium event" in told.message
    assert "on file from 12 Jun 2027 19:00 UTC to 12 Jun 2027 20:00 UTC." in told.message


def timed(*minutes):
    """Volumes that are on file from and until so many minutes after the window's start."""
    return [
        volume(
            AirspaceKind.TEMPORARY,
            key=str(number),
            active_from_utc=None if first is None else START + first * MINUTE,
            active_to_utc=None if last is None else START + last * MINUTE,
        )
        for number, (first, last) in enumerate(minutes)
    ]


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        ([(0, 59)], ", fly after 12 Jun 2027 19:59"),
        # What ends with the window, or begins with it, leaves no time in it: our own rule.
        ([(0, 60)], ""),
        ([(1, 90)], ", be down before 12 Jun 2027 19:01"),
        ([(0, 90)], ""),
        ([(40, 90), (20, 90)], ", be down before 12 Jun 2027 19:20"),
        ([(20, 90), (None, 90)], ""),
        ([(0, 20), (0, 40)], ", fly after 12 Jun 2027 19:40"),
        ([(0, 20), (0, None)], ""),
        ([], ""),
    ],
)
def test_another_time_is_named_only_where_all_of_it_is_open_then(minutes, words):
    here = complete()
    timeless, now = (attrs.evolve(here, plan=attrs.evolve(here.plan, window=one)) for one in (None, WINDOW))
    said = in_words(or_another_time(now, timed(*minutes)))
    assert said.startswith(words)
    assert bool(said) is bool(words)
    assert or_another_time(timeless, timed(*minutes)) == ""


def test_the_figures_are_those_of_the_first_volume():
    class Need:
        asked_agl_m = None
        rise_m = 0.0

    low = volume(AirspaceKind.RESTRICTED, floor=above_ground(50.0), top=sea_level(900.0))
    high = volume(AirspaceKind.RESTRICTED, floor=above_ground(70.0), top=above_ground(800.0))
    assert numbers_of(Need, [low, high]) == {"floor_agl_m": 50.0, "top_amsl_m": 900.0}
