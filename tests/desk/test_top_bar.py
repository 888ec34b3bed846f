"""The bar at the top: the plan's name is whole where there is room, and leaves room to the verdict."""

import pytest

from planner.desk.top_bar import TopBar
from tests.desk.desk_rig import settled, small_plan

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
    bar.resize(600, 60)
    qtbot.waitUntil(lambda: bar.name.text().endswith("…"))
    assert bar.name.text().startswith("North")
    assert bar.name.geometry().right() < bar.verdict.geometry().left()
    bar.resize(1400, 60)
    assert bar.name.text() == LONG
