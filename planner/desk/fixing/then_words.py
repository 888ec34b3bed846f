"""What a remedy leaves open, in words."""

from collections.abc import Iterable

from planner.desk.saying import said
from planner.remedy.judged import Judged
from planner.rules.finding import Finding

_MOST = 3


def then_words(judged: Judged) -> str:
    """Return what is new and what stays open after a remedy, '' where nothing is."""
    new, stays = _titles(judged.new_then), _titles(judged.open_then)
    return " ".join(
        [*([f"New then: {new}."] if new else []), *([f"Still open then: {stays}."] if stays else [])]
    )


def _titles(findings: Iterable[Finding]) -> str:
    titles = list(dict.fromkeys(said(one.title) for one in findings))
    more = f" and {len(titles) - _MOST} more" if len(titles) > _MOST else ""
    return "; ".join(titles[:_MOST]) + more
