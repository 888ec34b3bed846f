"""The observer's card: page one as a picture for a phone, where there is no paper."""

from pathlib import Path

from planner.assessment import Assessment
from planner.atomic import write_bytes
from planner.briefing.briefing import stamps
from planner.briefing.front_page import front_pages, heading
from planner.briefing.out_name import wants_ending
from planner.briefing.typesetting import typeset_pictures

# The card is 360 pt wide, as wide as a phone in its own points; this makes it 1080 pixels.
_PIXELS_PER_INCH = 216.0


def card_pngs(assessment: Assessment, *, template: Path | None = None) -> list[bytes]:
    """Return a card as PNG for each observer's place, 1080 pixels wide, as high as its text.

    Raises
    ------
    OutputError
        If the template can't be set.
    """
    values = {"stamps": stamps(assessment), **heading(assessment), "fronts": front_pages(assessment)}
    return typeset_pictures(values, _PIXELS_PER_INCH, "card.typ", template)


def write_cards(assessment: Assessment, path: Path, *, template: Path | None = None) -> tuple[Path, ...]:
    """Write the cards and return where: the first to `path`, further ones beside it ('card-2.png').

    Raises
    ------
    OutputError
        If the name does not end in .png, the template can't be set or a file can't be written.
    """
    wants_ending(path, ".png", "a card")
    cards = card_pngs(assessment, template=template)
    names = [
        path if number == 1 else path.with_stem(f"{path.stem}-{number}")
        for number in range(1, len(cards) + 1)
    ]
    for name, card in zip(names, cards, strict=True):
        write_bytes(name, card)
    return tuple(names)
