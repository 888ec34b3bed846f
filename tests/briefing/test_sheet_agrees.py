"""What the sheet prints agrees with the check's JSON, and nothing a user writes is taken for markup."""

import io
import json
import math
import re

import attrs
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from planner.assess import assess
from planner.briefing.briefing import briefing_pdf, values_of
from planner.briefing.check_json import check_json
from planner.chart_folders import known_chart_sets
from planner.geo.heights import AboveGround
from planner.plan.crew import Contact, CrewMember, Role
from planner.plan.geometry import PathPoint
from planner.plan.model import Plan
from planner.plan.sheet import SheetNotes
from planner.rules.verdict import Verdict
from planner.surroundings import surroundings
from tests.briefing import made
from tests.briefing.made_world import place
from tests.briefing.paper import Paper
from tests.briefing.paper_text import text_of
from tests.briefing.test_sheet_on_paper import overlaps
from tests.missions import MISSIONS, judged_mission, mission_pages, name_of

# International foot of 1959, exact.
FOOT_M = 0.3048
# Code points that are no text (Unicode Standard, section 23.7): unsaid quantities are marked with them.
NEVER_TEXT = re.compile("[\ufdd0-\ufdef]")
SCRIPTS = "山川 Ελένη Жук Ørsted שלום नमस्ते"
MARKUP = '#panic("x") $x^2$ *b* _i_ <b> @ref \\u{41} `raw` // /* "q" \' ]#[ ]] }}'


@pytest.mark.parametrize("path", MISSIONS, ids=name_of)
def test_every_printed_figure_is_the_checks_own(path):
    answer = judged_mission(path)
    told, pages = check_json(answer), mission_pages(path)
    pilots = next(page for page in pages if "for the pilot" in page)
    assert answer.verdict.words in pages[0]
    whole = " ".join(pages).replace("’", "'")
    assert not NEVER_TEXT.search(json.dumps(values_of(answer, "letter"), default=str, ensure_ascii=False))
    for finding in told["findings"]:
        assert " ".join(finding["title"].split()) in whole
    profile = told["profile"]
    samples = list(answer.track.point_sample) if answer.track else []
    for sample in samples:
        planned, ground = profile["planned_amsl_m"][sample], profile["ground_amsl_m"][sample]
        if planned is None or ground is None:
            continue
        # A planned height is rounded up, a ceiling down: no room is printed that is not there.
        assert f" {math.ceil((planned - ground) / FOOT_M - 1e-6):,} ft " in pilots
        assert f" {math.ceil(planned / FOOT_M - 1e-6):,} ft " in pilots
    if samples and told["flight"]["time_s"] and told["flight"]["time_s"][-1] is not None:
        last = round(told["flight"]["time_s"][-1])
        assert f"{last // 60}:{last % 60:02d}" in pilots
    if told["area"] is not None and told["area"]["lowest_limit_agl_m"] is not None:
        assert f"{math.floor(told['area']['lowest_limit_agl_m'] / FOOT_M + 1e-3):,} ft above ground" in pilots


def heavy() -> Plan:
    roles = [Role.OBSERVER] * 12 + [Role.REMOTE_PILOT]
    crew = tuple(
        CrewMember(
            f"k{n}", role, f"{SCRIPTS} {n}" if n % 2 else MARKUP, place(-200 + 30 * n, -300), Contact.RADIO
        )
        for n, role in enumerate(roles)
    )
    path = tuple(
        PathPoint(
            place(15 * step, 12 * math.sin(step / 9) * 10), AboveGround(60), name=f"{MARKUP[:12]} {step}"
        )
        for step in range(200)
    )
    return made.plan(name=f"{SCRIPTS} {MARKUP}", crew=crew, path=path, guidelines=MARKUP)


@pytest.fixture(scope="module")
def heavy_pdf() -> bytes:
    return briefing_pdf(made.assessment(Verdict.MUST_CHANGE, heavy()))


@pytest.fixture(scope="module")
def heavy_pages(heavy_pdf) -> list[str]:
    return text_of(heavy_pdf)


def test_two_hundred_points_and_twelve_observers_make_whole_pages(heavy_pdf, heavy_pages, qapp):
    pages, paper = heavy_pages, Paper(heavy_pdf)
    assert "for the pilot" in pages[12]
    assert all("Calls: read aloud" in page for page in pages[:12])
    # Four pages of points, three of what the observers' pages have no room for, papers.
    assert len(pages) <= 21
    assert "more on the pilot’s page" in pages[0]
    whole = " ".join(pages)
    assert all(f" {number} " in whole for number in range(1, 201))
    assert whole.count("observer") >= 12
    for page in range(len(paper)):
        width, height = paper.size(page)
        runs = paper.runs(page)
        assert all(box.left > 0 and box.right < width and box.top > 0 and box.bottom < height for box in runs)
    # Marks above and below letters of some scripts have boxes over their neighbours': the title is left out.
    assert overlaps([box for box in paper.runs(0) if box.top > 50]) == []


def test_markup_is_printed_not_obeyed(heavy_pages):
    whole = " ".join(heavy_pages)
    assert '#panic("x") $x^2$ *b* _i_ <' in whole


def test_a_plan_with_nothing_in_it_leaves_blanks(qapp):
    plan = Plan(sheet=SheetNotes())
    pdf = briefing_pdf(assess(plan, surroundings(plan, None, None, known_sets=known_chart_sets())))
    pages = text_of(pdf)
    assert "Emergency ________" in pages[0]
    assert "None" not in " ".join(pages).replace("None is drawn", "").replace("None for", "").replace(
        "None in the charts", ""
    )
    assert overlaps(Paper(pdf).runs(0)) == []


ANY = st.text(alphabet=st.characters(exclude_categories=["Cs"]), max_size=40)
# Of any letters at all hardly one means something to Typst.
TEXTS = st.builds("{}{}{}".format, ANY, st.sampled_from(MARKUP.split()), ANY)


# Each sheet takes a second: another text in each place makes five of them twenty texts.
@settings(max_examples=5, deadline=None)
@given(TEXTS, TEXTS, TEXTS, TEXTS)
def test_no_text_of_a_user_breaks_the_sheet(name, guidelines, gate, on_foot):
    notes = SheetNotes(gate=gate, on_foot=on_foot)
    plan = attrs.evolve(made.plan(name=name, guidelines=guidelines), sheet=notes)
    pdf = briefing_pdf(made.assessment(Verdict.READY, plan))
    reader = PdfReader(io.BytesIO(pdf))
    assert any("for the pilot" in page.extract_text() for page in reader.pages[1:])
