"""The bar at the top: the plan's name is whole where there is room, and leaves room to the verdict."""

import attrs
import pytest

from planner.desk.top_bar import TopBar
from planner.plan.model import Purpose
from tests.desk.desk_rig import settled, small_plan
from tests.plan.sample_plan import AIRCRAFT

LONG = "North paddocks, under the map value, from the eastern gate"


@pytest.fixture
def bar(qtbot, document):
    document.replace(small_plan(name=LONG), None)
    settled(qtbot, document)
    made = TopBar(document)
    qtbot.addWidget(made)
    made.show()
    return made


def test_a_long_name_is_whole_where_there_is_room_beside_it(bar, qtbot):
    bar.resize(1400, 60)
    assert bar.name.text() == LONG
    assert bar.name.accessibleName() == LONG
    bar.resize(520, 60)
    qtbot.waitUntil(lambda: bar.name.text().endswith("…"))
    assert bar.name.text().startswith("North")
    assert bar.name.geometry().right() < bar.verdict.geometry().left()
    bar.resize(1400, 60)
    assert bar.name.text() == LONG


def test_another_plan_is_named_whole_at_once_not_when_its_charts_are_read(bar, document):
    """Our own rule (issue 8: clear at the first look): reading charts takes seconds on a busy machine."""
    bar.resize(1400, 60)
    craft = attrs.evolve(AIRCRAFT, name="Sparrow 7 (invented)")
    document.replace(small_plan(name=f"{LONG} (INVENTED)", aircraft=craft, purpose=Purpose.PART_107), None)
    assert document.reading
    assert bar.name.text() == f"{LONG} (INVENTED)"
    assert bar.chips["aircraft"].text().startswith("Sparrow 7 (invented)")
    for button in (bar.name, *bar.chips.values()):
        assert button.width() >= button.sizeHint().width()
