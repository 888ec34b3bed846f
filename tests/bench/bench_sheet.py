"""How long a sheet takes: three pages as PDF, and the preview after an edit."""

from itertools import count

import pytest

from planner.assess import assess
from planner.briefing.briefing import briefing_pdf, values_of
from planner.briefing.typesetting import typeset, typeset_pictures
from planner.chart_folders import known_chart_sets
from planner.plan.file import read_plan
from planner.surroundings import surroundings
from tests.conftest import REPO

NUMBERS = count()


@pytest.fixture(params=["mast_dive_part107", "long_ridge_small_quad"])
def judged(request):
    plan = read_plan(REPO / "demo_missions" / f"{request.param}.lowline.geojson")
    answer = assess(plan, surroundings(plan, None, None, known_sets=known_chart_sets()))
    briefing_pdf(answer)
    return answer


def test_three_pages_as_pdf(benchmark, judged):
    """Wanted: at most 1 s. The name changes each time, so nothing is remembered."""
    benchmark.pedantic(
        lambda: typeset({**values_of(judged, "letter"), "title": f"{next(NUMBERS)}"}, None), rounds=5
    )


def test_the_first_page_of_the_preview_after_an_edit(benchmark, judged):
    """Wanted: at most 0.3 s until the observer's page has changed."""
    benchmark.pedantic(
        lambda: typeset_pictures(
            {**values_of(judged, "letter", front_only=True), "title": f"{next(NUMBERS)}"}, 96.0
        ),
        rounds=5,
    )


def test_all_of_the_preview_after_an_edit(benchmark, judged):
    """What follows the first page."""
    benchmark.pedantic(
        lambda: typeset_pictures({**values_of(judged, "letter"), "title": f"{next(NUMBERS)}"}, 96.0), rounds=5
    )
