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
