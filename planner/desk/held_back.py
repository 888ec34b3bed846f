"""Why nothing may be printed or written of the plan on the desk: no answer to it is there. No Qt."""

from planner.desk.document import Document
from planner.desk.words import CHECK_FAILED

_NOT_DONE = "The check is not done yet"


def held_back(document: Document, what: str) -> str:
    """Return in one line why `what`, a verb and its object, must not be done; '' where it may be."""
    if document.checking:
        return f"{_NOT_DONE}: {what} right after it"
    if not document.judged:
        # What is still there was found for another plan.
        return f"{CHECK_FAILED.rstrip('.')}: change something or open the plan anew, then {what}"
    return ""
