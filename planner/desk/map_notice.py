"""What is stamped on the map's corner."""

from planner.desk.document import Document
from planner.desk.saying import hour
from planner.geo.window import TimeWindow
from planner.wording import DRAFT_STAMP, INVENTED_STAMP


def _invented(document: Document) -> bool:
    if not document.unread:
        return document.world.invented
    # Imported here: what knows chart sets brings the libraries that read them.
    from planner.chart_folders import any_invented

    return any_invented(document.plan.chart_sets)


def notice(document: Document, instant: TimeWindow | None) -> str:
    """Return the stamps that hold: an invented place, a draft, a moment other than the plan's window."""
    draft = document.path is not None and document.plan.saved_as_draft
    words = (
        INVENTED_STAMP if _invented(document) else "",
        DRAFT_STAMP if draft else "",
        f"AIRSPACE AS AT {hour(instant.start_utc, instant)}" if instant else "",
    )
    return " · ".join(word for word in words if word)
