"""The observer's card: page one as a picture for a phone, where there is no paper."""

from pathlib import Path

from planner.assessment import Assessment
from planner.atomic import write_bytes
from planner.briefing.briefing import stamps
from planner.briefing.front_page import front_page, heading
from planner.briefing.typesetting import typeset_pictures

# The card is 360 pt wide, as wide as a phone in its own points; this makes it 1080 pixels.
_PIXELS_PER_INCH = 216.0


def card_png(assessment: Assessment, *, template: Path | None = None) -> bytes:
    """Return the card as PNG, 1080 pixels wide, as high as its text.

    Raises
    ------
    OutputError
        If the template can't be set.
    """
    values = {"stamps": stamps(assessment), **heading(assessment), "fronts": [front_page(assessment)]}
    return typeset_pictures(values, _PIXELS_PER_INCH, "card.typ", template)[0]


def write_card(assessment: Assessment, path: Path, *, template: Path | None = None) -> None:
    """Write the card to `path`, in one step.

    Raises
    ------
    OutputError
        If the template can't be set or the file can't be written.
    """
    write_bytes(path, card_png(assessment, template=template))
