"""The legend over the profile: what is wrong is explained before what is always there."""

import pytest
from PySide6.QtWidgets import QApplication

from planner.desk.profile.legend import Legend, Sample
from planner.desk.style import dress
from planner.drawing.patterns import Pattern
from planner.settings import Settings

LINES = tuple(sample for sample in Sample if sample not in (Sample.WHOLE_UNKNOWN, Sample.WHOLE_STOP))
WORST = (Sample.STOP, Sample.UNKNOWN, Sample.ACT)


@pytest.fixture
def legend(qtbot, qapp):
    made = Legend()
    qtbot.addWidget(made)
    made.show_samples(LINES)
    made.show()
    yield made
    dress(qapp, Settings())


@pytest.mark.parametrize("percent", [100.0, 150.0])
def test_what_is_wrong_or_not_known_is_the_last_to_lose_its_room(legend, percent):
    dress(QApplication.instance(), Settings(text_percent=percent))
    seen = {}
    for width in range(200, 2200, 20):
        legend.resize(width, legend.sizeHint().height())
        shown, unit = legend.with_room()
        assert list(shown) == [sample for sample in Sample if sample in shown]
        assert unit in ("feet above sea level", "ft AMSL")
        seen[width] = set(shown)
    assert seen[2180] == set(LINES)
    for shown in seen.values():
        for commoner in (Sample.CEILING, Sample.GROUND):
            assert commoner not in shown or set(WORST) <= shown
    first_with_worst = next(width for width, shown in seen.items() if set(WORST) <= shown)
    assert first_with_worst < 700


def test_a_shorter_word_for_the_unit_comes_before_anything_is_left_out(legend):
    widths = range(200, 2200, 10)
    units = []
    for width in widths:
        legend.resize(width, legend.sizeHint().height())
        shown, unit = legend.with_room()
        if shown == LINES:
            units.append(unit)
    assert units[0] == "ft AMSL"
    assert units[-1] == "feet above sea level"
    assert not legend.grab().isNull()


def test_what_no_line_can_show_is_said_before_what_is_always_there(legend):
    legend.show_whole(Pattern.STOP)
    assert legend.samples == (*LINES, Sample.WHOLE_STOP)
    for width in range(200, 2200, 20):
        legend.resize(width, legend.sizeHint().height())
        shown, _unit = legend.with_room()
        assert Sample.CEILING not in shown or Sample.WHOLE_STOP in shown
    assert not legend.grab().isNull()
    legend.show_whole(None)
    assert legend.samples == LINES
