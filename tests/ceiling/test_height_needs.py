"""A waiver of the height limit, or a site's authorization, that does not cover says where and by how much.

14 CFR 107.51(b) with 107.200, and 49 USC 44809(c)(2) (check_values 1.1, 1.6, 15). Figures are worked by hand.
"""

from datetime import timedelta

import attrs
import pytest

from planner.assess import assess
from planner.briefing.check_json import check_json
from planner.desk.record_card import coverage_words
from planner.geo.heights import AboveGround
from planner.permission.need import Route, Subject
from planner.plan.geometry import Leg
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests.worlds import (
    WINDOW,
    above_ground,
    area,
    box,
    fixed_site,
    ft,
    hover,
    plan,
    points,
    record,
    volume,
    world,
)

SITE = "INVENTED MEADOW"
SECOND, MINUTE = timedelta(seconds=1), timedelta(minutes=1)
PATH = points([(-500, 0, ft(550)), (500, 0, ft(550))])


def waiver(height_ft=600.0, section="14 CFR 107.51(b)", **changes):
    return record(section, None if height_ft is None else ft(height_ft), PermissionKind.WAIVER, **changes)


def ring(*edges):
    return area(box(*edges), None).ring


def judged(*held, purpose=Purpose.PART_107, charts=None, path=PATH, **changes):
    answer = assess(plan(purpose, path=path, permissions=held, **changes), charts or world())
    return answer, [need for need in answer.permissions if need.subject is not Subject.LAND]


@pytest.mark.parametrize(
    ("held", "words"),
    [
        (
            waiver(valid_to_utc=WINDOW.end_utc - SECOND),
            "record INVENTED-1 ends 1 min before the time window ends",
        ),
        (waiver(valid_from_utc=WINDOW.start_utc + 5 * MINUTE), "begins 5 min after the time window starts"),
        (waiver(None), "record INVENTED-1 names no height"),
        (waiver(500), "the plan is 50 ft above record INVENTED-1 at 0 m"),
        (
            waiver(ring=ring(-900, -300, 200, 300)),
            "does not cover the whole place: the plan leaves it at 700 m",
        ),
    ],
)
def test_a_waiver_that_falls_short_says_so_in_need_finding_remedy_and_on_its_card(held, words):
    answer, (need,) = judged(held)
    assert answer.verdict is Verdict.MUST_CHANGE
    assert (need.subject, need.route, need.airspace) == (
        Subject.HEIGHT_LIMIT,
        Route.WAIVER,
        "14 CFR 107.51(b)",
    )
    assert words in need.shortfall
    assert need.falls_short == held
    (stop,) = [one for one in answer.findings if one.mark is Mark.STOP]
    assert words.casefold() in stop.message.casefold()
    assert "keep within record INVENTED-1" in stop.remedy
    assert "record a waiver" not in stop.remedy
    card, fine = coverage_words(held, answer.permissions, WINDOW)
    assert words in card
    assert not fine


def test_a_waiver_that_covers_is_told_and_to_be_carried():
    answer, (need,) = judged(waiver(550))
    assert answer.verdict is Verdict.READY
    assert need.recorded
    assert need.asked_agl_m == pytest.approx(ft(550))
    told = [one.message for one in answer.findings if one.rule == "permission-on-record"]
    assert told == ["Record INVENTED-1 covers this flight. Carry it, and keep to its conditions."]
    written = [one for one in check_json(answer)["permissions"] if one["subject"] == "height-limit"]
    assert [(one["route"], one["recorded"], one["references"]) for one in written] == [
        ("waiver", True, ["INVENTED-1"])
    ]


def test_two_waivers_that_cover_together_are_both_named():
    west = waiver(reference="WEST", ring=ring(-900, -300, 200, 300))
    east = waiver(reference="EAST", ring=ring(199, -300, 900, 300))
    answer, (need,) = judged(east, west)
    assert answer.verdict is Verdict.READY
    assert need.records == (west, east)


def test_without_a_waiver_on_record_or_below_the_limit_none_is_in_question():
    answer, needs = judged()
    assert needs == []
    (stop,) = [one for one in answer.findings if one.mark is Mark.STOP]
    assert "record a waiver of 14 CFR 107.51" in stop.remedy
    assert judged(waiver(section="14 CFR 107.51(a)"))[1] == []
    low = points([(-500, 0, ft(399)), (500, 0, ft(399))])
    assert judged(waiver(), path=low)[1] == []


def test_of_an_area_the_waiver_that_falls_short_is_told_too():
    top = area(box(-300, -300, 300, 300), AboveGround(ft(550)))
    answer, (need,) = judged(waiver(500), path=(), area=top)
    (stop,) = [one for one in answer.findings if one.rule == "area-above-limit"]
    assert "50 ft above record INVENTED-1" in need.shortfall
    assert "The plan is 50 ft above record INVENTED-1" in stop.message
    assert "keep within record INVENTED-1" in stop.remedy


# ---- fixed sites in Class G


def at_site(*held, site=None, airspace=()):
    charts = world(fixed_sites=(site or fixed_site(),), airspace=airspace)
    return judged(*held, purpose=Purpose.RECREATIONAL, charts=charts, path=hover(ft(550)))


@pytest.mark.parametrize(
    ("height_ft", "changes", "words"),
    [
        (600, {"valid_to_utc": WINDOW.end_utc - SECOND}, "ends 1 min before the time window ends"),
        (500, {}, "the plan is 50 ft above record INVENTED-1 at 0 m"),
        (None, {}, "record INVENTED-1 names no height"),
    ],
)
def test_a_sites_authorization_that_falls_short_says_so(height_ft, changes, words):
    held = record(SITE, None if height_ft is None else ft(height_ft), **changes)
    answer, (need,) = at_site(held)
    assert answer.verdict is Verdict.MUST_CHANGE
    assert (need.subject, need.route, need.airspace) == (Subject.SITE_HEIGHT, Route.SITE_AUTHORIZATION, SITE)
    assert words in need.shortfall
    (stop,) = [one for one in answer.findings if one.rule == "above-height-limit"]
    assert "keep within record INVENTED-1" in stop.remedy
    assert "record the authorization" not in stop.remedy
    assert words in coverage_words(held, answer.permissions, WINDOW)[0]


def test_what_ends_a_sites_authorization_is_named():
    _, (need,) = at_site(record(SITE, ft(900)), site=fixed_site(ceiling_ft=500))
    words = "50 ft above record INVENTED-1 at 0 m, as it ends at the height that the chart gives the site"
    assert need.shortfall.endswith(words)
    over = volume(AirspaceKind.CLASS_E_OTHER, name="INVENTED E", floor=above_ground(ft(500)))
    _, needs = at_site(record(SITE, ft(900)), airspace=(over,))
    assert "as it ends at the floor of Class E" in needs[0].shortfall


def test_a_sites_authorization_in_hand_is_told_and_one_that_lacks_is_asked_for():
    answer, (need,) = at_site(record(SITE, ft(550)))
    assert answer.verdict is Verdict.READY
    assert need.recorded
    assert "permission-on-record" in {one.rule for one in answer.findings}
    answer, (need,) = at_site()
    assert (need.recorded, need.shortfall) == (False, "")
    (stop,) = [one for one in answer.findings if one.rule == "above-height-limit"]
    assert "record the authorization of the fixed site" in stop.remedy


def test_no_other_waiver_is_to_be_recorded_while_one_holds_at_another_time():
    """87 kt: 14 CFR 107.51(a). The waiver ends a day before the flight."""
    slow = points([(-500, 0, 30.0), (500, 0, 30.0)])
    fast = tuple(attrs.evolve(one, leg=Leg(speed_mps=50.0)) for one in slow)
    late = waiver(section="14 CFR 107.51(a)", valid_to_utc=WINDOW.start_utc - timedelta(days=1))
    answer, _ = judged(late, path=fast)
    (stop,) = [one for one in answer.findings if one.rule == "speed-limit"]
    assert "fly within the time of waiver INVENTED-1" in stop.remedy
    (told,) = [one for one in answer.findings if one.rule == "waiver-not-in-time"]
    assert told.mark is Mark.NOTE
    assert "ended 24 h 00 min before the time window starts" in told.message
    answer, _ = judged(path=fast)
    (stop,) = [one for one in answer.findings if one.rule == "speed-limit"]
    assert "record a waiver of 14 CFR 107.51(a)" in stop.remedy
