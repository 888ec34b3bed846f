"""What the desk says of figures."""

from typing import Final

from planner.desk.positions import place_text
from planner.plan.figures import FigureKind, FigureSpan

KIND_WORDS: Final = {
    FigureKind.DIVE: "Dive: down a line",
    FigureKind.ORBIT: "Orbit: round a place",
    FigureKind.GAP: "Gap: through an opening",
    FigureKind.PASS: "Pass: by a subject",
}
_LAST: Final = "Click the place to break off to, or press Enter to go without one"
GUIDE: Final = {
    FigureKind.DIVE: ("Click where the dive begins, at its top", "Click where it reaches its bottom", _LAST),
    FigureKind.ORBIT: (
        "Click what is flown round",
        "Click where the orbit begins: as far out as it is to be flown",
        _LAST,
    ),
    FigureKind.GAP: ("Click the opening", "Click where the run at it begins", _LAST),
    FigureKind.PASS: ("Click what is passed", "Click where the pass begins", _LAST),
}
NOT_JUDGED: Final = (
    "Whether the aircraft fits is not judged, at no width: look at it and measure it on the spot. "
    "Flown at your own risk."
)


def span_words(span: FigureSpan) -> str:
    """Return what is said of a figure, in two lines: where and call, way out."""
    figure = span.figure
    call = f"call {figure.call.strip()}" if figure.call.strip() else "no call"
    out = f"bail-out {place_text(figure.bail_out)}" if figure.bail_out else "no bail-out"
    return f"points {span.first + 1} to {span.last + 1} · {call}\n{out}"
