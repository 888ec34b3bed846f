"""What the sheet of a flying area says of its top, its links and its wind is what was judged."""

import io
import math

import attrs
import numpy as np
import pytest
from pypdf import PdfReader

from planner.assess import assess
from planner.briefing.area_words import nowhere_above, top_words
from planner.briefing.briefing import briefing_pdf
from planner.briefing.no_go import wind_words
from planner.briefing.radio_words import radio_rows
from planner.chart_folders import known_chart_sets
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.locate import demo_missions_dir
from planner.plan.aircraft import Radio, RadioUse
from planner.plan.file import read_plan
from planner.plan.weather import PlannedWeather
from planner.surroundings import surroundings
from tests import worlds

# International foot of 1959, exact.
FOOT_M = 0.3048
RADIO = Radio(RadioUse.CONTROL, 2440.0, 100.0, ground_gain_dbi=2.0, air_gain_dbi=2.0, sensitivity_dbm=-95.0)


@pytest.fixture(scope="module")
def box():
    plan = read_plan(demo_missions_dir() / "freestyle_box.lowline.geojson")
    metar = "METAR ZZZZ {}Z 24010G16KT 9999 SKC 18/12 Q1018".format(plan.window.start_utc.strftime("%d%H%M"))
    weather = PlannedWeather(metar=metar)
    aircraft = attrs.evolve(plan.aircraft, radios=(RADIO,))
    plan = attrs.evolve(plan, weather=weather, aircraft=aircraft)
    return assess(plan, surroundings(plan, known_sets=known_chart_sets()))


def test_both_pages_name_the_top_and_the_first_no_other_height(box):
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(briefing_pdf(box))).pages]
    front = " ".join(pages[0].split())
    top_ft = math.floor(box.plan.area.top.m / FOOT_M + 1e-3)
    limit_ft = math.floor(box.area.lowest_limit_agl_m / FOOT_M + 1e-3)
    assert top_ft < limit_ft
    assert f"Nowhere above {top_ft} ft above ground." in front
    assert f"{limit_ft} ft" not in front
    assert any(f"Its top, {top_ft} ft above ground, leaves" in " ".join(page.split()) for page in pages)


def test_the_table_of_radios_has_the_margin_that_the_area_was_judged_with(box):
    flight = box.case.area_flight
    rows = radio_rows(box)
    margins = [one.profile.margin_db for one in flight.links] + [
        one.low.profile.margin_db for one in flight.low_links
    ]
    assert rows[0][5] == f"{math.floor(min(float(np.nanmin(one)) for one in margins) + 1e-9)} dB"
    assert rows[0][6] == ("low in area" if flight.low_links else "area's top")


def test_the_box_of_the_wind_is_what_was_reckoned_with(box):
    assert wind_words(box) == "wind above 10 kt, gusts above 16 kt"


@pytest.mark.parametrize(
    ("top", "words"),
    [
        (AboveGround(60.0), "196 ft above ground"),  # 196.85: never rounded up
        (AboveLaunch(60.96), "200 ft above the launch point"),
        (AboveSeaLevel(304.8 + 60.96), "1,200 ft above sea level (200 ft above the launch point)"),
    ],
)
def test_a_top_is_named_as_it_is_set(top, words):
    area = worlds.area(worlds.box(-100, -100, 100, 100), top)
    assessment = assess(worlds.plan(path=(), area=area), worlds.world())
    assert top_words(assessment) == words
    assert nowhere_above(assessment) == f"Nowhere above {words}."


def test_a_top_above_the_limit_is_not_what_is_told():
    area = worlds.area(worlds.box(-100, -100, 100, 100), AboveGround(200.0))
    assessment = assess(worlds.plan(path=(), area=area), worlds.world())
    # 14 CFR 107.51(b): 400 ft above ground.
    assert "nowhere above 400 ft above ground" in nowhere_above(assessment)


def test_no_top_no_words():
    assert nowhere_above(assess(worlds.plan(window=None), worlds.world())) == ""
