"""The demo missions and their sheets, each judged and set once in a run: both take their time."""

from functools import cache
from pathlib import Path

from planner.assess import assess
from planner.assessment import Assessment
from planner.briefing.briefing import Paper, briefing_pdf
from planner.chart_folders import known_chart_sets
from planner.plan.file import read_plan
from planner.surroundings import surroundings
from tests.briefing.paper_text import text_of
from tests.conftest import REPO

MISSIONS = sorted((REPO / "demo_missions").glob("*.lowline.geojson"))


def name_of(path: Path) -> str:
    """Return a mission's name for the list of tests."""
    return path.name.removesuffix(".lowline.geojson")


@cache
def judged_mission(path: Path) -> Assessment:
    """Return a mission's assessment."""
    plan = read_plan(path)
    return assess(plan, surroundings(plan, None, None, known_sets=known_chart_sets()))


def judged_demo(name: str) -> Assessment:
    """Return the assessment of the demo mission of this name."""
    return judged_mission(REPO / "demo_missions" / f"{name}.lowline.geojson")


@cache
def mission_sheet(path: Path) -> bytes:
    """Return a mission's sheet: half of them on letter, the fullest among them, half on A4."""
    paper: Paper = "letter" if len(judged_mission(path).plan.name) % 2 else "a4"
    return briefing_pdf(judged_mission(path), paper=paper)


@cache
def mission_pages(path: Path) -> list[str]:
    """Return the words of each page of a mission's sheet: to read them takes longer than to set them."""
    return text_of(mission_sheet(path))
