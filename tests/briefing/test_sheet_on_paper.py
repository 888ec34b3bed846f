"""Each demo mission's sheet as it leaves the printer: nothing clipped, nothing on top of anything else."""

import io

import numpy as np
import pytest
from pypdf import PdfReader

from planner.briefing.briefing import briefing_pdf
from planner.locate import resources_dir
from planner.plan.crew import Role
from tests.briefing.paper import Box, Paper
from tests.missions import MISSIONS, judged_mission, mission_pages, mission_sheet, name_of

# Printers leave about a quarter of an inch blank; common practice.
EDGE_PT = 18.0
# Letters that touch by less are only their boxes touching.
TOUCHING_PT = (0.5, 2.0)
# Web Content Accessibility Guidelines 2.2, 1.4.3 (AA): 4.5 to 1. Standing B.
LEAST_CONTRAST = 4.5


@pytest.fixture(scope="module", params=MISSIONS, ids=name_of)
def mission(request):
    return request.param


@pytest.fixture(scope="module")
def judged(mission):
    return judged_mission(mission)


@pytest.fixture(scope="module")
def pdf(mission):
    return mission_sheet(mission)


@pytest.fixture(scope="module")
def paper(pdf, qapp):
    return Paper(pdf)


def overlaps(runs: list[Box]) -> list[tuple[Box, Box]]:
    left, top, right, bottom = np.array([(box.left, box.top, box.right, box.bottom) for box in runs]).T
    across = np.minimum.outer(right, right) - np.maximum.outer(left, left)
    down = np.minimum.outer(bottom, bottom) - np.maximum.outer(top, top)
    one, other = np.nonzero(np.triu((across > TOUCHING_PT[0]) & (down > TOUCHING_PT[1]), 1))
    return [(runs[i], runs[j]) for i, j in zip(one, other, strict=True)]


def test_nothing_is_clipped_and_nothing_overlaps(judged, paper):
    observers_stand = {one.place for one in judged.plan.crew_in(Role.OBSERVER) if one.place}
    # One for each observer's place, the pilot's, and papers and permission: these may run on.
    assert len(paper) - max(len(observers_stand), 1) in (2, 3)
    for page in range(len(paper)):
        runs = paper.runs(page)
        assert len(runs) > 5
        width, height = paper.size(page)
        outside = [
            box
            for box in runs
            if box.left < EDGE_PT or box.right > width - EDGE_PT
            or box.top < EDGE_PT or box.bottom > height - EDGE_PT
        ]  # fmt: skip
        assert outside == []
        assert overlaps(runs) == []


def test_the_observer_gets_one_side_in_letters_of_12_points_and_calls_of_16(mission, pdf):
    reader = PdfReader(io.BytesIO(pdf))
    sizes: dict[str, set[float]] = {}

    def note(text, matrix, text_matrix, _font, size):
        if text.strip():
            both = np.array([[text_matrix[0], text_matrix[1]], [text_matrix[2], text_matrix[3]]]) @ np.array(
                [[matrix[0], matrix[1]], [matrix[2], matrix[3]]]
            )
            sizes.setdefault(text.strip(), set()).add(round(size * abs(np.linalg.det(both)) ** 0.5, 2))

    reader.pages[0].extract_text(visitor_text=note)
    assert min(min(found) for found in sizes.values()) >= 12.0
    for call in ("SEEN", "FADING", "LOST", "TRAFFIC", "PEOPLE", "LAND", "MOTORS OFF", "NO PICTURE"):
        assert any(call in text and 16.0 in found for text, found in sizes.items()), call
    heads = mission_pages(mission)
    (pilots,) = [k for k, words in enumerate(heads) if "for the pilot" in words]
    assert "papers and permission" in heads[pilots + 1]
    assert len(heads) - pilots in (2, 3)


def test_words_stand_out_in_grey(paper):
    for page in range(len(paper)):
        grey = paper.grey(page)
        faint = [box for box in letters(paper, page) if contrast(grey, box) < LEAST_CONTRAST]
        assert faint == []


def letters(paper: Paper, page: int) -> list[Box]:
    # Lines to write on are no letters.
    return [box for box in paper.runs(page) if box.bottom - box.top > 3.0]


def contrast(grey: np.ndarray, box: Box, scale: float = 3.0) -> float:
    """Contrast (WCAG 2.2) of the darkest of a word's pixels with the paper about it."""
    # Inside the box only: the next line's letters begin right below it.
    rows = slice(int(box.top * scale) + 2, int(box.bottom * scale) - 1)
    columns = slice(int(box.left * scale) - 6, int(box.right * scale) + 7)
    shades = grey[rows, columns] / 255.0
    linear = np.where(shades <= 0.04045, shades / 12.92, ((shades + 0.055) / 1.055) ** 2.4)
    return float((np.quantile(linear, 0.85) + 0.05) / (linear.min() + 0.05))


def test_these_looks_find_a_fault_when_there_is_one(judged, qapp, tmp_path):
    """Letters pulled together, printed too faint and off the paper must be noticed."""
    if judged.plan.name != "Guyed mast, dive":
        pytest.skip("one mission is enough")
    folder = tmp_path / "template"
    folder.mkdir()
    for part in (resources_dir() / "briefing").glob("*.typ"):
        text = part.read_text(encoding="utf-8")
        if part.name == "observer.typ":
            text = text.replace("[Where it goes]", "text(fill: luma(200))[Where it goes]")
            text = text.replace("  front.stand\n", "  v(-12pt)\n  front.stand\n")
        (folder / part.name).write_text(text, encoding="utf-8")
    paper = Paper(briefing_pdf(judged, template=folder))
    assert overlaps(paper.runs(0))
    grey = paper.grey(0)
    assert any(contrast(grey, box) < LEAST_CONTRAST for box in letters(paper, 0))
