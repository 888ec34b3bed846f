"""The desk's colours: words stand out enough, and no judgement is told by hue alone.

Contrast: WCAG 2.1, success criterion 1.4.3, its formula of relative luminance (from memory; open standard).
Colour vision: matrices of Machado, Oliveira and Fernandes 2009 for full deficiency (from memory), applied to
linear light; distance in CIE 1976 L*a*b* with D65 white (CIE 15).
"""

import itertools
import re
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtWidgets import QApplication, QLineEdit

import planner.desk
from planner.desk import palette
from planner.desk.map_style import LOOKS, RINGS
from planner.desk.palette import Palette
from planner.desk.profile import tones
from planner.desk.profile.strip import Tone
from planner.desk.style import dress, style_sheet
from planner.settings import APPEARANCES, Settings

DEFICIENCIES = {
    "none": np.eye(3),
    "protan": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deutan": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "tritan": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}
TO_XYZ = np.array(
    [
        [0.4124564, 0.3575761, 0.1804375],
        [0.2126729, 0.7151522, 0.0721750],
        [0.0193339, 0.1191920, 0.9503041],
    ]
)
WHITE_XYZ = np.array([0.95047, 1.0, 1.08883])
LEAST_CONTRAST = 4.5
LEAST_CONTRAST_OF_PARTS = 3.0
LEAST_DISTANCE = 10.0
"""About four times what is just noticed side by side (2.3, common practice)."""


def linear(colour: str) -> np.ndarray:
    coded = np.array([int(colour[at : at + 2], 16) for at in (1, 3, 5)]) / 255.0
    return np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4)


def contrast(one: str, other: str) -> float:
    light, dark = sorted((float(TO_XYZ[1] @ linear(colour)) for colour in (one, other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def lab(colour: str, seen_by: np.ndarray) -> np.ndarray:
    shares = (TO_XYZ @ np.clip(seen_by @ linear(colour), 0.0, 1.0)) / WHITE_XYZ
    bent = np.where(shares > (6 / 29) ** 3, np.cbrt(shares), shares / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * bent[1] - 16, 500 * (bent[0] - bent[1]), 200 * (bent[1] - bent[2])])


def test_the_formulas_give_what_is_known_of_them():
    assert contrast("#ffffff", "#000000") == pytest.approx(21.0)
    assert lab("#ffffff", np.eye(3)) == pytest.approx([100.0, 0.0, 0.0], abs=0.02)
    # sRGB red in L*a*b*, D65 (from memory).
    assert lab("#ff0000", np.eye(3)) == pytest.approx([53.24, 80.09, 67.20], abs=0.1)


def _wear(name: str) -> Palette:
    palette.put_on(QApplication.instance(), name)
    return palette.in_use()


@pytest.fixture(params=list(palette.PALETTES))
def colours(request, qapp):
    """Give each appearance, worn by the application."""
    yield _wear(request.param)
    _wear("light")


def test_each_appearance_that_can_be_set_has_its_colours():
    assert set(palette.PALETTES) == set(APPEARANCES)
    assert len({id(colours) for colours in palette.PALETTES.values()}) == len(APPEARANCES)


def test_an_application_that_wears_nothing_known_is_light(qapp):
    assert _wear("no such") is palette.LIGHT
    assert _wear("dark") is palette.DARK
    assert _wear("light") is palette.LIGHT


def test_words_stand_out_on_every_ground(colours):
    grounds = (colours.paper, colours.paper_deep, colours.paper_picked, colours.field)
    words = (colours.ink, colours.ink_soft, colours.ask, colours.plan, colours.over)
    for word, ground in itertools.product(words, grounds):
        assert contrast(word, ground) >= LEAST_CONTRAST, (word, ground)


def test_hints_in_empty_fields_and_words_on_dark_stand_out(colours):
    assert contrast(colours.hint, colours.field) >= LEAST_CONTRAST
    assert contrast(colours.paper, colours.ink) >= LEAST_CONTRAST
    assert contrast(colours.on_ask, colours.ask) >= LEAST_CONTRAST


def test_words_in_the_profile_stand_out_where_they_lie_on_paper(colours):
    for ground in (colours.ground, *colours.fills.values()):
        assert contrast(colours.ink, ground) >= LEAST_CONTRAST, ground


@pytest.mark.parametrize("tone", list(Tone))
def test_words_stand_out_on_every_tone_of_the_strips(colours, tone):
    assert tones.fill_of(tone).name() == colours.fills[tone]
    assert contrast(colours.ink, tones.fill_of(tone).name()) >= LEAST_CONTRAST


def test_ring_of_the_keyboard_stands_out(colours):
    # WCAG 2.1, success criterion 1.4.11: parts of the interface, 3 to 1.
    for ground in (colours.paper, colours.paper_deep, colours.paper_picked, colours.field):
        assert contrast(colours.focus, ground) >= LEAST_CONTRAST_OF_PARTS


def test_high_contrast_is_higher_than_asked_of_the_others():
    # WCAG 2.1, success criterion 1.4.6: 7 to 1.
    colours = palette.HIGH_CONTRAST
    for word, ground in itertools.product(
        (colours.ink, colours.ink_soft, colours.ask, colours.plan, colours.over, colours.rule),
        (colours.paper, colours.paper_deep, colours.paper_picked, colours.field),
    ):
        assert contrast(word, ground) >= 7.0, (word, ground)


@pytest.mark.parametrize("deficiency", DEFICIENCIES)
def test_clear_to_ask_and_over_differ_for_every_eye(colours, deficiency):
    seen_by = DEFICIENCIES[deficiency]
    for one, other in itertools.combinations((colours.plan, colours.ask, colours.over), 2):
        assert np.linalg.norm(lab(one, seen_by) - lab(other, seen_by)) >= LEAST_DISTANCE, (one, other)


def test_clear_to_ask_over_and_unknown_differ_without_any_hue(colours):
    pens = [tones.clear_pen(), tones.act_pen(), tones.stop_rungs_pen(), tones.unknown_pen()]
    assert {pen.color().name() for pen in pens} == {colours.plan, colours.ask, colours.over, colours.ink_soft}
    assert len({(tuple(pen.dashPattern()), pen.widthF()) for pen in pens}) == len(pens)


def holds_words(chosen):
    """Whether what a selector of the sheet names has words: no bar, handle or line does."""
    return ("::" not in chosen or "::item" in chosen) and 'kind="rule"' not in chosen


def test_every_pair_of_words_and_ground_in_the_style_sheet_stands_out(colours):
    """Whatever a widget is: its colours come from the sheet, and what is switched off need not stand out."""
    sheet = re.sub(r"/\*.*?\*/", "", style_sheet(colours), flags=re.S)
    pairs = set()
    for chosen, set_to in re.findall(r"([^{}]+)\{([^{}]*)\}", sheet):
        told = dict(re.findall(r"(?<![-\w])(color|background): (#[0-9a-f]{6})", set_to))
        if "color" in told and ":disabled" not in chosen:
            pairs.add((told["color"], told.get("background", colours.paper)))
        elif "background" in told and holds_words(chosen):
            # What has no colour of its own has that of every widget.
            pairs.add((colours.ink, told["background"]))
        if "::item:selected" in chosen and told.get("background") in (
            colours.paper_deep,
            colours.paper_picked,
        ):
            assert "border-top" in set_to, "a row that is chosen is told by a tint alone"
    assert len(pairs) > 5
    assert {pair for pair in pairs if contrast(*pair) < LEAST_CONTRAST} == set()


def test_no_widget_has_a_colour_of_its_own():
    """So those measured here are all there are; the map's are measured below."""
    folder = Path(planner.desk.__file__).parent
    own = {
        file.name
        for file in folder.rglob("*.py")
        if re.search(r"[\"']#[0-9a-fA-F]{3,8}[\"']|(?<!\w)rgba?\(", file.read_text("utf-8"))
    }
    assert own == {"palette.py", "map_style.py"}


@pytest.mark.parametrize("look", list(palette.PALETTES))
def test_what_stands_in_an_empty_field_is_drawn_in_full(qtbot, dressed, look):
    """A sheet's colour of text would leave half of it to the hint: measured in the picture."""
    dress(QApplication.instance(), Settings(appearance=look))
    field = QLineEdit()
    qtbot.addWidget(field)
    field.setPlaceholderText("MMMM 15:40")
    field.setStyleSheet("font-size: 40pt;")
    field.resize(500, 90)
    field.show()
    picture = field.grab().toImage()
    inside = [(x, y) for x in range(20, picture.width() - 20) for y in range(12, picture.height() - 12)]
    names = {picture.pixelColor(*spot).name() for spot in inside}
    assert max(contrast(name, palette.in_use().field) for name in names) >= LEAST_CONTRAST


def test_names_on_the_map_stand_out_from_its_paper_and_from_lit_ground():
    """The map stays light in every look; (247, 244, 237) is ground as drawn, measured from a picture."""
    ground = "#f7f4ed"
    for look in (*LOOKS, RINGS):
        for behind in (ground, palette.LIGHT.paper):
            assert contrast(look.style["stroke"], behind) >= LEAST_CONTRAST, look.id
