"""Strips under the printed profile: they cover the path, and say what the check's JSON says."""

import xml.etree.ElementTree as ElementTree
from itertools import pairwise

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.check_json import check_json
from planner.chart_folders import known_chart_sets
from planner.drawing.strip_picture import pattern, strips_picture
from planner.drawing.strip_rows import Look, strip_rows
from planner.plan.file import read_plan
from planner.rules.verdict import Verdict
from planner.surroundings import surroundings
from tests.briefing import made
from tests.conftest import REPO

SVG = "{http://www.w3.org/2000/svg}"
NAMES = (
    "long_ridge_small_quad", "long_run_against_the_wind", "canyon_video_breaks", "car_chase_overhead",
    "twilight_without_light",
)  # fmt: skip


@pytest.fixture(scope="module", params=NAMES)
def judged(request):
    plan = read_plan(REPO / "demo_missions" / f"{request.param}.lowline.geojson")
    return request.param, assess(plan, surroundings(plan, None, None, known_sets=known_chart_sets()))


def looks(answer, name):
    """Look at the middle of each step of the axis that has a length."""
    (row,) = [row for row in strip_rows(answer) if row.name == name]
    along = answer.track.distance_m
    found = {}
    for step, (start, end) in enumerate(pairwise(along)):
        if end > start:
            middle = (start + end) / 2
            (run,) = [run for run in row.runs if run.from_m <= middle <= run.to_m]
            found[step] = run
    return found


def test_rows_cover_the_path_without_gaps(judged):
    _, answer = judged
    rows = strip_rows(answer)
    assert {"binds", "seen", "light", "beneath"} <= {row.name for row in rows}
    for row in rows:
        assert row.runs[0].from_m == 0.0
        assert row.runs[-1].to_m == answer.track.length_m
        assert all(one.to_m == other.from_m for one, other in pairwise(row.runs))


def test_strips_say_what_the_check_says(judged):
    name, answer = judged
    told = check_json(answer)
    for step, run in looks(answer, "seen").items():
        seen = told["sight"]["seen"][step]
        assert (run.look is Look.STOP) == (seen is False), (step, run)
        assert (run.look is Look.UNKNOWN) == (
            seen is None and told["sight"]["reason"][step] != "against-the-sun"
        )
    if name == "canyon_video_breaks":
        for step, run in looks(answer, "video").items():
            assert (run.look is Look.STOP) == (told["flight"]["video_margin_db"][step] < 0.0)
    if name == "long_run_against_the_wind":
        battery = looks(answer, "battery")
        for step, run in battery.items():
            share = told["flight"]["charge_fraction"][step]
            if run.look is Look.FINE:
                assert int(run.words.split()[1]) / 100 <= share < int(run.words.split()[1]) / 100 + 0.1 + 1e-9
        finding = next(one for one in told["findings"] if one["rule"] == "home-not-reached")
        after = [run for step, run in battery.items() if answer.track.distance_m[step] > finding["from_m"]]
        assert after
        assert {run.look for run in after} == {Look.STOP}


def test_light_and_people_are_told(judged):
    name, answer = judged
    light = {run.words for run in looks(answer, "light").values()}
    # Sunset at the island on that evening comes before the window: see the light's own tests.
    assert light == ({"twilight: light on"} if name == "twilight_without_light" else {"day"})
    if name == "car_chase_overhead":
        words = {run.words for run in looks(answer, "beneath").values() if run.look is Look.STOP}
        assert words & {"vehicles", "fall: vehicles", "road"}


def test_what_is_not_given_is_told_as_not_checked():
    answer = made.assessment(Verdict.READY)
    others = [row for row in strip_rows(answer) if row.name == "others"]
    assert len(others) == 1
    assert others[0].runs[0].look is Look.UNKNOWN
    assert others[0].runs[0].words.startswith("not checked: ")
    assert "battery" in others[0].runs[0].words


def test_every_look_has_a_pattern_of_its_own_in_one_ink():
    drawn = {look: pattern(look, 0.0, 0.0, 60.0) for look in Look}
    assert len(set(drawn.values())) == len(Look)
    inks = {
        element.get("stroke")
        for text in drawn.values()
        for element in ElementTree.fromstring(f"<g>{text}</g>").iter("path")
    }
    assert len(inks) == 1


def test_strips_lie_inside_their_paper_under_the_profiles_axis(judged):
    _, answer = judged
    root = ElementTree.fromstring(strips_picture(answer, 540.0))
    height = float(root.get("height"))
    for box in root.iter(f"{SVG}rect"):
        left, top = float(box.get("x")), float(box.get("y"))
        assert left >= 43.9
        assert left + float(box.get("width")) <= 532.1
        assert top >= 0.0
        assert top + float(box.get("height")) <= height


def test_no_path_no_strips():
    assert strips_picture(made.assessment(made=made.plan(path=())), 540.0) == ""
    answer = made.assessment(Verdict.READY)
    lost = attrs.evolve(answer.track, distance_m=np.full(len(answer.track), np.nan))
    assert strip_rows(attrs.evolve(answer, track=lost)) == ()
