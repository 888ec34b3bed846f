"""How layers and their dates are put in words in the charts window."""

from datetime import datetime
from typing import TYPE_CHECKING, Final

from planner.world.currency import LayerState
from planner.world.layers import LayerRecord
from planner.world.readers.moments import moment_of

if TYPE_CHECKING:
    from planner.chart_report import Held, LayerReport

STANDING: Final = {
    LayerState.OK: "current",
    LayerState.MISSING: "missing",
    LayerState.EXPIRED: "expired by then",
    LayerState.NOT_YET_EFFECTIVE: "not yet in force",
    LayerState.NOT_COVERING: "not all of the place",
    LayerState.UNDATED: "no dates",
    LayerState.DAMAGED: "damaged in part",
    LayerState.OTHER_JURISDICTION: "other jurisdiction",
}
ADVICE: Final = {
    LayerState.MISSING: "drop its publisher's file here",
    LayerState.EXPIRED: "drop the publisher's current edition here",
    LayerState.NOT_YET_EFFECTIVE: "drop the edition here that is in force then",
    LayerState.UNDATED: "add the file again and state from when to when it holds",
    LayerState.NOT_COVERING: "add a file that reaches this far, or state where the file is complete",
    LayerState.DAMAGED: "look at what was refused; add the file again once it is whole",
    LayerState.OTHER_JURISDICTION: "use a set made for the place's own jurisdiction",
}


def standing(report: "LayerReport", held: "Held | None" = None) -> str:
    """Return how a layer stands in two or three words, after its sign.

    A table of which features were refused does not simply stand as current: it is silent where they lie.
    """
    record = report.record
    if report.state is LayerState.OK and held is not None and held.quality.refused:
        return f"! {held.quality.refused:,} refused"
    words = STANDING[report.state]
    if report.state is LayerState.NOT_COVERING and record is not None and record.coverage is None:
        words = "coverage not stated"
    elif report.state is LayerState.DAMAGED and record is not None and record.coverage is None:
        words = "damaged"
    return f"{'✓' if report.state is LayerState.OK else '×' if report.needed else '!'} {words}"


def day(text: str) -> str:
    """Return the day of a stated moment: '14 May 2026'; what can't be read as it is."""
    moment = moment_of(text) if text else None
    return f"{moment.day} {moment:%b %Y}" if moment else text


def span(record: LayerRecord) -> str:
    """Return from when to when a layer counts: a bare day counts from its end and until its beginning."""
    begin, end = record.effective_utc, record.expires_utc
    if begin is None and end is None:
        return "Nothing says from when and until when it counts"
    first = f"from {_exact(begin)}" if begin else "from when is not stated,"
    last = f"until {_exact(end)}" if end else "; until when is not stated"
    return f"It counts {first} {last}".replace(" ;", ";")


def _exact(moment: datetime) -> str:
    return f"{moment.day} {moment:%b %Y %H:%M} UTC"
