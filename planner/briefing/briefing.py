"""The observer's briefing as PDF."""

from pathlib import Path
from typing import Any, Literal

from planner.assessment import Assessment
from planner.atomic import write_bytes
from planner.briefing.front_page import front_pages, heading
from planner.briefing.out_name import wants_ending
from planner.briefing.papers_page import papers_page
from planner.briefing.pilot_page import pilot_page
from planner.briefing.typesetting import typeset
from planner.rules.verdict import Verdict
from planner.wording import DRAFT_STAMP, INVENTED_STAMP, NOT_READY_STAMP

Paper = Literal["letter", "a4"]

_PAPER_NAMES = {"letter": "us-letter", "a4": "a4"}
_PROFILE_POINTS = {"letter": (540.0, 112.0), "a4": (523.0, 140.0)}


def briefing_pdf(assessment: Assessment, *, paper: Paper = "letter", template: Path | None = None) -> bytes:
    """Return the briefing: a page for each observer's place, the pilot's, then papers and permission.

    The same plan and data give the same bytes. Plans that are not ready, and
    invented places, are stamped on every page. `template` is a folder with a
    changed copy of the template's files.

    Raises
    ------
    OutputError
        If the template can't be set.
    """
    window = assessment.plan.window
    return typeset(values_of(assessment, paper), window.start_utc if window else None, folder=template)


def values_of(assessment: Assessment, paper: Paper, *, front_only: bool = False) -> dict[str, Any]:
    """Return everything that the template is given; for the first observer's page alone only that."""
    heads = {
        "paper": _PAPER_NAMES[paper],
        "front_only": front_only,
        "stamps": stamps(assessment),
        **heading(assessment),
    }
    if front_only:
        return {**heads, "fronts": front_pages(assessment)[:1]}
    return {
        **heads,
        "fronts": front_pages(assessment),
        "pilot": pilot_page(assessment, *_PROFILE_POINTS[paper]),
        "papers": papers_page(assessment),
    }


def write_briefing(
    assessment: Assessment, path: Path, *, paper: Paper = "letter", template: Path | None = None
) -> None:
    """Write the briefing to `path`, in one step: the whole file or none.

    Raises
    ------
    OutputError
        If the name ends otherwise than in .pdf, the template can't be set or the file can't be written.
    """
    wants_ending(path, ".pdf", "a briefing")
    write_bytes(path, briefing_pdf(assessment, paper=paper, template=template))


def stamps(assessment: Assessment) -> list[str]:
    """Return what must be stamped across every page, and across every text."""
    ready = assessment.verdict is Verdict.READY
    return [
        *([INVENTED_STAMP] if assessment.world.invented else []),
        *([DRAFT_STAMP] if assessment.plan.saved_as_draft or not ready else []),
        *([] if ready else [NOT_READY_STAMP]),
    ]
