"""What is told of the aircraft's light and of what was tried by day, in spans of light made by hand.

Sources: 14 CFR 107.29 (standing A): an anti-collision light seen for 3 statute miles while the sun is down;
(a)(2) and (b) can be waived by 107.205 (standing B). For recreation the guidelines decide.
"""

from datetime import date, timedelta

import attrs
import pytest

from planner.plan.aircraft import Lights
from planner.plan.crew import TriedRange
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules import light
from planner.rules.finding import Basis, Mark
from planner.rules.light import lights_by_dark, tried_by_day_only
from planner.units import STATUTE_MILE_M
from planner.world.light_kinds import LightSpan
from tests.rules.hand_made import complete
from tests.worlds import START, record

HOUR, MINUTE = timedelta(hours=1), timedelta(minutes=1)


def span(begin_min, end_min, kind):
    """A span of one light, minutes from the begin of the window at 19:00."""
    kinds = {"day": (True, False, False, False), "fixed": (False, True, True, False),
             "between": (False, False, True, False), "night": (False, False, False, True),
             "both": (False, True, False, True)}[kind]  # fmt: skip
    return LightSpan(START + begin_min * MINUTE, START + end_min * MINUTE, *kinds)


@pytest.fixture
def sky(monkeypatch):
    """Sets the light of the window, and of what lies about it."""

    def put(*spans, around=()):
        monkeypatch.setattr(light, "light_of", lambda _plan: spans)
        monkeypatch.setattr(light, "light_over", lambda *_asked: around)

    return put


GOOD = Lights(True, 5_000.0)


def case(lights=GOOD, purpose=Purpose.PART_107, waivers=(), **changes):
    base = complete()
    aircraft = attrs.evolve(base.plan.aircraft, lights=lights)
    records = tuple(record(text, None, PermissionKind.WAIVER) for text in waivers)
    flight = attrs.evolve(base.plan, aircraft=aircraft, purpose=purpose, permissions=records, **changes)
    return attrs.evolve(base, plan=flight)


def told(sky_put, *kinds, around=(), **given):
    sky_put(*(span(20 * k, 20 * k + 20, kind) for k, kind in enumerate(kinds)), around=around)
    return {one.rule: one for one in lights_by_dark(case(**given))}


def test_by_day_nothing_is_told_and_a_good_light_is_something_to_switch_on(sky):
    assert not told(sky, "day")
    assert not told(sky)
    (one,) = told(sky, "day", "fixed").values()
    assert (one.rule, one.mark, one.basis) == ("lights-by-dark", Mark.ACT, Basis.LAW)
    assert one.citation == "14 CFR 107.29"
    # The span of twilight lasts from 19:20 to 19:40.
    assert one.message.startswith("The sun is down between 19:20 and 19:40 (civil twilight); the light must")
    (one,) = told(sky, "fixed", "between", "fixed").values()
    assert one.message.startswith("The sun is down between 19:00 and 20:00 (civil twilight);")


@pytest.mark.parametrize(
    ("kinds", "purpose", "wanted"),
    [
        (("fixed",), Purpose.PART_107, False),
        (("fixed", "night"), Purpose.PART_107, True),
        (("fixed", "night"), None, True),
        (("fixed", "night"), Purpose.RECREATIONAL, False),
    ],
)
def test_night_training_is_asked_for_once_a_part_of_it_is_night(kinds, purpose, wanted, sky):
    found = told(sky, *kinds, purpose=purpose)
    assert ("night-training" in found) is wanted
    when = next(iter(found.values())).message
    assert ("(night)" in when) is ("night" in kinds)
    if wanted:
        assert found["night-training"].mark is Mark.ACT


@pytest.mark.parametrize(
    ("lights", "mark", "why"),
    [
        (None, Mark.UNKNOWN, "whether it has one is not said"),
        (Lights(False), Mark.STOP, "it has none"),
        (Lights(False, 9_000.0), Mark.STOP, "it has none"),
        (Lights(True), Mark.UNKNOWN, "how far its light is seen is not said"),
        (Lights(True, 3 * STATUTE_MILE_M - 0.6), Mark.STOP, "its light is seen for 3.0 statute miles only"),
        (Lights(True, 2 * STATUTE_MILE_M), Mark.STOP, "its light is seen for 2.0 statute miles only"),
        (Lights(True, 3 * STATUTE_MILE_M - 0.4), None, ""),
    ],
)
def test_what_is_wanting_of_the_light(lights, mark, why, sky):
    found = told(sky, "fixed", lights=lights)
    if mark is None:
        assert set(found) == {"lights-by-dark"}
        return
    (one,) = found.values()
    assert (one.rule, one.mark, one.basis) == ("no-light-by-dark", mark, Basis.LAW)
    assert one.message.endswith(f"an anti-collision light seen for 3 statute miles; {why}.")
    for purpose in (Purpose.RECREATIONAL, None):
        (other,) = told(sky, "fixed", lights=lights, purpose=purpose).values()
        # Whose rules hold is not known, or the guidelines say it: nobody is told that they must not.
        assert other.mark is Mark.UNKNOWN
        assert ("guidelines" in other.message) is (purpose is Purpose.RECREATIONAL)
        assert "waiver" not in other.remedy
    assert "waiver" in one.remedy


def test_without_an_aircraft_its_light_is_not_said(sky):
    sky(span(0, 20, "fixed"))
    bare = attrs.evolve(case(), plan=attrs.evolve(case().plan, aircraft=None))
    (one,) = lights_by_dark(bare)
    assert one.mark is Mark.UNKNOWN
    assert "whether it has one is not said" in one.message


@pytest.mark.parametrize(
    ("kinds", "waivers", "mark"),
    [
        (("night",), ("14 CFR 107.29(a)(2)",), Mark.ACT),
        (("night",), ("14 CFR 107.29(b)",), Mark.STOP),
        (("fixed",), ("14 CFR 107.29(b)",), Mark.ACT),
        (("fixed",), ("14 CFR 107.29(a)(2)",), Mark.STOP),
        # Neither paragraph names what lies between the 30 minutes and the almanac's twilight: (b) is wanted.
        (("between",), ("14 CFR 107.29(b)",), Mark.ACT),
        (("between",), ("14 CFR 107.29(a)(2)",), Mark.STOP),
        (("both",), ("14 CFR 107.29(a)(2)",), Mark.STOP),
        (("fixed", "night"), ("14 CFR 107.29(b)",), Mark.STOP),
        (("fixed", "night"), ("14 CFR 107.29(a)(2)",), Mark.STOP),
        (("fixed", "night"), ("14 CFR 107.29(a)(2)", "14 CFR 107.29(b)"), Mark.ACT),
    ],
)
def test_a_waiver_frees_only_the_light_that_it_names(kinds, waivers, mark, sky):
    (one,) = [found for rule, found in told(sky, *kinds, lights=Lights(False), waivers=waivers).items()
              if rule == "no-light-by-dark"]  # fmt: skip
    assert one.mark is mark


# ---- another hour


@pytest.mark.parametrize(
    ("around", "said"),
    [
        # The window lasts an hour from 19:00. Minutes count from there.
        ((), ""),
        (((-120, -30, "day"),), ": begin the window at 17:30"),
        (((30, 120, "day"),), ": begin the window at 19:30"),
        (((-120, -30, "day"), (40, 200, "day")), ": begin the window at 19:40"),
        (((-120, 20, "day"), (70, 200, "day")), ": begin the window at 18:20"),
        # Two as near as each other: the earlier one.
        (((-120, 20, "day"), (40, 200, "day")), ": begin the window at 18:20"),
        # Exactly as long as the window is enough, less is not; what is no day is none.
        (((30, 90, "day"),), ": begin the window at 19:30"),
        (((30, 89, "day"),), ""),
        (((30, 120, "fixed"),), ""),
        # Whole minutes inside: 30.5 begins at 31, 90.5 ends at 90.
        (((30.5, 91, "day"),), ": begin the window at 19:31"),
        (((30.5, 90.6, "day"),), ""),
        (((-120, -0.5, "day"),), ": begin the window at 17:59"),
        (((300, 400, "day"),), ": begin the window at 00:00 on 13 Jun"),
        (((-1_200, -1_100, "day"),), ": begin the window at 23:40 on 11 Jun"),
        # Where the window itself would do, it is told to begin when it does.
        (((-120, 200, "day"),), ": begin the window at 19:00"),
    ],
)
def test_the_nearest_window_by_day_is_told(around, said, sky):
    spans = tuple(span(*one) for one in around)
    one = told(sky, "fixed", lights=Lights(False), around=spans)["no-light-by-dark"]
    assert one.remedy.startswith(
        f"give the aircraft such a light, or fly while the sun is up{said}, or record"
    )


def test_light_is_looked_for_a_day_before_and_after(monkeypatch, sky):
    asked = []
    sky(span(0, 20, "fixed"))
    monkeypatch.setattr(light, "light_over", lambda *given: asked.append(given) or ())
    flight = case(lights=Lights(False))
    list(lights_by_dark(flight))
    assert asked == [(flight.plan.anchor(), START - 24 * HOUR, START + 25 * HOUR)]
    for lacking in ({"window": None}, {"path": (), "launch": None, "landing": None}):
        bare = attrs.evolve(flight, plan=attrs.evolve(flight.plan, **lacking))
        (one,) = lights_by_dark(bare)
        assert "begin the window" not in one.remedy


# ---- what was tried by day


def trial(light_words, by_dark=True):
    return TriedRange("5-inch quad", date(2027, 6, 1), light_words, 200.0, by_dark=by_dark)


def tried(sky_put, pilot, observer, kinds=("fixed",)):
    sky_put(*(span(20 * k, 20 * k + 20, kind) for k, kind in enumerate(kinds)))
    base = case()
    crew = tuple(
        attrs.evolve(member, name=name, tried_ranges=ranges)
        for member, name, ranges in zip(base.plan.crew, ("Ash", ""), (pilot, observer), strict=True)
    )
    told_of = attrs.evolve(
        base, plan=attrs.evolve(base.plan, crew=crew), sight=attrs.evolve(base.sight, people=crew)
    )
    return {one.rule: one for one in tried_by_day_only(told_of)}


def test_who_has_not_tried_it_by_dark_is_named(sky):
    by_day = (trial("noon", by_dark=None),)
    found = tried(sky, by_day, by_day)
    (one,) = found.values()
    assert (one.rule, one.mark, one.basis) == ("not-tried-by-dark", Mark.UNKNOWN, Basis.LAW)
    assert one.message.endswith("see the aircraft's light then: observer, Ash.")
    assert one.citation == "14 CFR 107.31, 107.33"
    found = tried(sky, (trial("full moon"),), by_day)
    assert found["not-tried-by-dark"].message.endswith("light then: observer.")
    assert set(found) == {"not-tried-by-dark", "tried-in-other-light"}
    assert not tried(sky, by_day, by_day, kinds=("day",))


def test_the_light_in_which_it_was_tried_is_held_against_that_of_the_flight(sky):
    (one,) = tried(sky, (trial("full moon"),), (trial(""),)).values()
    assert (one.rule, one.mark, one.basis) == ("tried-in-other-light", Mark.ACT, Basis.SAFETY)
    assert one.message.endswith("the light of the tried ranges is given as not said, “full moon”.")
    (one,) = tried(sky, (trial("dusk"),), (trial("dusk"),)).values()
    assert one.message.endswith("is given as “dusk”.")
    assert not list(tried_by_day_only(attrs.evolve(case(), sight=None)))
