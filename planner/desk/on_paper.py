"""What leaves the desk on paper or as a PDF: a DRAFT until what it shows is saved."""

import attrs

from planner.assessment import Assessment
from planner.briefing.naming import named_as_its_file
from planner.desk.document import Document
from planner.rules.verdict import Verdict

_UNSAVED = "Stamped DRAFT until it is saved (Ctrl+S)"


def on_paper(document: Document) -> Assessment:
    """Return the judgement to be set, called as on the desk; of what is not on the disk so, as of a draft."""
    answer = named_as_its_file(document.assessment, document.path)
    if answer.plan.saved_as_draft or not document.dirty:
        return answer
    return attrs.evolve(answer, plan=attrs.evolve(answer.plan, saved_as_draft=True))


def why_draft(document: Document) -> str:
    """Return why a plan that is Ready is stamped DRAFT on paper, and what takes that off; else empty."""
    ready = document.assessment.verdict is Verdict.READY
    return _UNSAVED if ready and on_paper(document).plan.saved_as_draft else ""
