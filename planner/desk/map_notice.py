"""What is stamped on the map's corner."""

from planner.desk.document import Document
from planner.desk.saying import hour
from planner.geo.window import TimeWindow
from planner.wording import DRAFT_STAMP, INVENTED_STAMP


def notice(document: Document, instant: TimeWindow | None) -> str:
    """Return the stamps that hold: an invented place, a draft, a moment other than the plan's window."""
    draft = document.path is not None and document.plan.saved_as_draft
    words = (
        INVENTED_STAMP if document.world.invented else "",
        DRAFT_STAMP if draft else "",
        f"AIRSPACE AS AT {hour(instant.start_utc, instant)}" if instant else "",
    )
    return " · ".join(word for word in words if word)
