"""What is in hand on the map, whichever tool it is of."""

import pytest

from planner.desk.figure_hand import FigureHands
from tests.desk.desk_rig import make_document, place, small_plan


@pytest.fixture
def document(qtbot):
    made = make_document()
    yield made
    made.close()


def test_another_plan_takes_what_is_in_hand_and_else_has_nothing_drawn_anew(document):
    """Our own rule (issue 8): opening a flight held up the desk, its path drawn once more for every hand."""
    hands, drawn = FigureHands(document, document), []
    for hand in hands.all():
        hand.figure_changed.connect(lambda: drawn.append(1))
    document.replace(small_plan(), None)
    assert drawn == []
    hands.closures.click(place(1, 1))
    assert drawn == [1]
    document.replace(small_plan(), None)
    assert drawn == [1, 1]
    assert hands.closures.corners == ()
