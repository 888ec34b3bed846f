"""Rows that are cautions, where the user meets them: on the sheet, in a finding or the words that it opens.

check_values 1.12, 1.16, 1.19 to 1.21, 1.31, 1.32 and the last rows of 15; standing beside each.
"""

import io
import re

import attrs
import pytest
from pypdf import PdfReader

from planner.assess import assess
from planner.briefing.briefing import briefing_pdf
from planner.briefing.check_json import check_json
from planner.briefing.papers_page import papers_page
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.model import Purpose
from planner.rules.finding import Mark
from planner.rules.plain_words import plain_words
from planner.rules.verdict import Verdict
from planner.units import STATUTE_MILE_M, ft_from_m
from planner.world.airspace import AirspaceKind, LimitReference
from planner.world.readers import class_airspace
from planner.world.sites import Aerodrome, AerodromeKind, ClosedLand
from tests import worlds
from tests.world.chart_files import table
from tests.worlds import GROUND_M, at, box, ft, hover, plan, recreational, volume, world


def of(answer, rule):
    return [each for each in answer.findings if each.rule == rule]


# ---- 1.12: AIM 11-4-1, edition of 20 Apr 2023 (A): prior authorization above 400 ft in Class G; fixed sites
# are small blue circles with the site's limit.
def test_recreational_above_400_ft_in_class_g_points_to_authorization_and_fixed_sites():
    (stop,) = of(assess(recreational(path=hover(ft(450))), world()), "above-height-limit")
    assert "AIM 11-4-1" in stop.citation
    assert "prior authorization" in plain_words(stop.rule)
    assert "small blue circles" in plain_words(stop.rule)
    (stop,) = of(assess(plan(path=hover(ft(450))), world()), "above-height-limit")
    assert "AIM 11-4-1" not in stop.citation


# ---- 1.16 (B): typical sizes are for sanity only and never stand in for what is charted.
def test_a_charted_top_agrees_with_the_typical_one():
    """2,500 ft over a field at 1,026 ft is about 3,500 ft MSL, charted [35]: within half of a hundred."""
    row = {"NAME": "INVENTED D", "CLASS": "D", "LOCAL_TYPE": "CLASS_D", "LOWER_VAL": 0, "LOWER_CODE": "SFC",
           "UPPER_VAL": 3_500, "UPPER_UOM": "FT", "UPPER_CODE": "MSL"}  # fmt: skip
    (charted,) = class_airspace.read(table(row)).content.airspace
    assert charted.top.reference is LimitReference.SEA_LEVEL
    assert abs(ft_from_m(charted.top.m) - (1_026 + 2_500)) <= 50


def test_a_missing_top_is_not_known_and_no_typical_one_stands_in():
    row = {"NAME": "INVENTED D", "CLASS": "D", "LOCAL_TYPE": "CLASS_D", "LOWER_VAL": 0, "LOWER_CODE": "SFC"}
    (without,) = class_airspace.read(table(row)).content.airspace
    assert without.top.reference is LimitReference.UNKNOWN
    open_top = volume(AirspaceKind.CLASS_D, top=without.top)
    high = hover(ft(3_000))  # above any typical top
    assert of(assess(plan(path=high), world(airspace=(open_top,))), "airspace-authorization")


def test_a_towered_field_whose_airspace_is_not_charted_gets_no_typical_ring():
    field = Aerodrome("XX01", "Field (INVENTED)", at(0, 2_000), GROUND_M, AerodromeKind.TOWERED)
    answer = assess(plan(), world(aerodromes=(field,)))
    assert not answer.permissions
    assert of(answer, "aerodrome-traffic")[0].mark is Mark.ACT


# ---- 1.19 (A): 91.137, 91.141, 91.145, 99.7 are published as notices: the sheet has a line.
@pytest.mark.parametrize("purpose", Purpose)
def test_the_sheet_has_a_line_for_the_time_of_the_last_look_at_temporary_restrictions(purpose):
    answer = assess(plan(purpose), world())
    pages = PdfReader(io.BytesIO(briefing_pdf(answer))).pages
    paper = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert re.search(r"look at restrictions \(TFR\): _{6,}", paper)
    # 107.27 by 91.17 (15, A): 8 hours, and 0.04 or greater fails.
    for words in ("8 hours since alcohol, below 0.04", "14 CFR 107.27"):
        assert words in paper
    # 15 (A): interfering with firefighting or emergency response.
    for words in ("fires, emergency operations near: none", "18 USC 40A", "43 CFR 9212.1(f)", "49 USC 46320"):
        assert words in paper


# ---- 1.20: 36 CFR 1.5 (A): "launching, landing or operating from or on": by where aircraft and crew stand.
PARK = ClosedLand("park", "INVENTED PARK", box(-100, 300, 100, 500))


@pytest.mark.parametrize("who", ["launch", "landing", "crew"])
def test_launching_landing_or_operating_inside_is_a_stop(who):
    inside = at(0, 400)
    spot = GroundSpot(inside, LandStatus.OWN)
    pilot, observer = plan().crew
    changes = {who: spot} if who != "crew" else {"crew": (pilot, attrs.evolve(observer, place=inside))}
    answer = assess(plan(**changes), world(closed_lands=(PARK,)))
    (stop,) = of(answer, "closed-land")
    assert (stop.mark, stop.citation) == (Mark.STOP, "36 CFR 1.5")
    assert answer.verdict is Verdict.MUST_CHANGE


def test_flying_over_it_from_outside_is_only_a_caution_of_this_rule():
    over = worlds.points([(0, 50, 30.0), (0, 600, 30.0)])
    answer = assess(plan(path=over), world(closed_lands=(PARK,)))
    assert not of(answer, "closed-land")
    (note,) = of(answer, "closed-land-near")
    assert note.mark is Mark.NOTE
    assert answer.verdict is Verdict.READY


# ---- 1.21 (A/B): the notification of airports within 5 miles was rescinded in 2018.
@pytest.mark.parametrize("purpose", Purpose)
def test_an_airport_at_4_miles_in_class_g_asks_for_nothing(purpose):
    field = Aerodrome(
        "XX01", "Field (INVENTED)", at(0, 4 * STATUTE_MILE_M), GROUND_M, AerodromeKind.UNTOWERED
    )
    answer = assess(plan(purpose), world(aerodromes=(field,)))
    assert answer.verdict is Verdict.READY
    (note,) = of(answer, "aerodrome-near")
    assert (note.mark, note.remedy) == (Mark.NOTE, "")
    assert "ended in 2018" in plain_words(note.rule)
    assert not re.search(r"notif|tell the tower|call", f"{note.title} {note.message}".lower())


# ---- 1.31 (C, from memory): 107.49 in ten boxes.
def test_ten_boxes_of_the_preflight_check():
    boxes = papers_page(assess(plan(), world()))["preflight"]
    assert len(boxes) == 10
    for letter, count in (("(a)(1)", 1), ("(a)(2)", 1), ("(a)(3)", 1), ("(a)(4)", 1), ("(b)", 2), ("(c)", 1),
                          ("(d)", 1), ("(e)", 1), ("(f)", 1)):  # fmt: skip
        assert sum(box.startswith(letter) for box in boxes) == count
    told = " ".join(boxes)
    for word in ("weather", "restrictions", "persons and property", "hazards on the ground", "emergency",
                 "contingency", "roles", "control link", "power", "secure", "people"):  # fmt: skip
        assert word in told


# ---- 1.32 (A): AC 91-57C of 20 Oct 2022 is older than the statute's change.
def test_the_circular_is_told_with_its_date_and_that_the_statute_counts():
    (open_,) = of(assess(recreational(guidelines=""), world()), "no-guidelines")
    words = plain_words(open_.rule)
    assert "AC 91-57C is of 20 October 2022" in words
    assert "16 May 2024" in words


# ---- 15: 49 USC 44809(a)(4) gives way; 107.37 yields, and "well clear" has no number (A): none is printed.
@pytest.mark.parametrize(
    ("purpose", "law", "other"),
    [
        (Purpose.PART_107, "14 CFR 107.37(a)", "44809"),
        (Purpose.RECREATIONAL, "49 USC 44809(a)(4)", "107."),
        (None, "44809(a)(4)", "-"),
    ],
)
def test_giving_way_is_cited_by_purpose(purpose, law, other):
    field = Aerodrome("XX01", "Field (INVENTED)", at(0, 2_000), GROUND_M, AerodromeKind.UNTOWERED)
    charts = world(aerodromes=(field,), airspace=(volume(AirspaceKind.MILITARY_OPERATIONS),))
    answer = assess(plan(purpose), charts)
    for rule in ("other-activity", "aerodrome-traffic"):
        (told,) = of(answer, rule)
        assert law in told.citation
        assert other not in told.citation
        assert not re.search(r"well clear[^.]*\d", f"{told.message} {plain_words(rule)}")


# ---- 15: 18 USC 40A, 43 CFR 9212.1(f), 49 USC 46320 (A): interfering is an offence; no penalty is printed.
def test_emergency_work_is_a_caution_everywhere_and_no_penalty_is_printed():
    found = check_json(assess(plan(), world()))
    caution = next(each for each in found["cautions"] if "emergency" in each)
    assert "offence" in caution
    assert not re.search(r"[$€]\s?\d|fine of", " ".join(found["cautions"]))
