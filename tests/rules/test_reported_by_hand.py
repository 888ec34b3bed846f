"""What a report alone tells or stops: mist, dust and fog, and rules that hold in its wind and air, by hand.

Mist and dust without a figure, and what stops only there, are told as our own rules have it (issue 6); a
waiver lifts 14 CFR 107.51(c) (107.205).
"""

import attrs
import pytest

from planner.flight.obscured import FogAbout, Obscured
from planner.rules import obscured
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.obscured import fog_near, not_measured
from planner.rules.only_there import stops_only_in
from tests.rules.hand_flown import complete

MIST = Obscured("BR", "METAR A", 10_000.0, 1_000.0)
DUST = Obscured("DU", "METAR B", 5_000.0, None)
FOG = Obscured("FG", "METAR C", 1_000.0, None)


def seen(*obscured_by, fogs=()):
    weather = complete().weather
    reported = attrs.evolve(weather.reported, obscured=obscured_by, fogs=fogs)
    return attrs.evolve(complete(), weather=attrs.evolve(weather, reported=reported))


def test_mist_and_dust_without_a_figure_leave_open_how_far_one_sees():
    mist, dust = not_measured(seen(MIST, FOG, DUST))
    assert {mist.mark, dust.mark} == {Mark.UNKNOWN}
    # 10,000 m are 6.21 statute miles, 1,000 m 0.62, 5,000 m 3.11.
    assert "METAR A says BR: by its code visibility is 6.2" in mist.message
    assert "or less and at least 0.6" in mist.message
    assert "METAR B says DU" in dust.message
    assert "at least" not in dust.message


def test_who_may_fly_in_less_is_not_asked_and_without_weather_nothing_is_told(monkeypatch):
    nothing = attrs.evolve(complete(), weather=None)
    assert not list(not_measured(nothing))
    assert not list(fog_near(nothing))
    monkeypatch.setattr(obscured, "weather_waived", lambda _case, paragraph: paragraph == "c")
    assert not list(not_measured(seen(MIST)))


def test_fog_near_by_is_something_to_do():
    (one,) = fog_near(seen(fogs=(FogAbout("VCFG", "METAR A"),)))
    assert (one.mark, one.message.startswith("METAR A says VCFG")) == (Mark.ACT, True)


# ---- only there


def rule(told):
    """A rule that says of a case what is put in for it: rule and mark of each finding."""

    def says(case):
        for name, mark in told[case]:
            yield Finding(name, mark, Basis.SAFETY, f"Title {name}", "", "")

    return says


@pytest.mark.parametrize(
    ("there", "here", "titles"),
    [
        ([("a", Mark.STOP)], [], ("Title a",)),
        ([("a", Mark.UNKNOWN), ("b", Mark.STOP)], [], ("Title a", "Title b")),
        ([("a", Mark.STOP)], [("a", Mark.STOP)], ()),
        # What is only something to do here stops the flight there alone.
        ([("a", Mark.STOP)], [("a", Mark.ACT)], ("Title a",)),
        ([("a", Mark.ACT), ("b", Mark.NOTE)], [], ()),
        ([("a", Mark.STOP), ("a", Mark.STOP)], [("b", Mark.STOP)], ("Title a",)),
    ],
)
def test_what_stops_a_flight_only_there(there, here, titles):
    rules = (rule({"there": there, "here": here}),)
    assert stops_only_in("there", "here", rules) == titles
    assert stops_only_in(None, "here", rules) == ()
