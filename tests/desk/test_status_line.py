"""The line at the bottom: by which data the answer was made, what can't be relied on first."""

from types import SimpleNamespace

from planner.desk.status_line import StatusLine, data_line
from planner.plan.edits import DeletePoint, SetName
from planner.plan.model import Plan
from planner.rules.data_status import DataStatus
from planner.rules.unknowns import Weight
from planner.world.currency import LayerState
from planner.world.layers import LayerName, LayerRecord
from tests.desk.desk_rig import make_document, settled


def status(layer, state, chart_set="mine"):
    record = None if state is LayerState.MISSING else LayerRecord(layer, "", "", chart_set=chart_set)
    return DataStatus(layer, state, record, Weight.RESTRICTING)


def test_what_is_missing_or_doubtful_comes_before_what_is_relied_on():
    """The end of the line is cut where there is little room, and while a message shows."""
    answer = SimpleNamespace(
        data=[
            status(LayerName.CLASS_AIRSPACE, LayerState.OK),
            status(LayerName.TERRAIN, LayerState.EXPIRED),
            status(LayerName.FACILITY_MAP, LayerState.OK),
            status(LayerName.SECURITY, LayerState.MISSING),
        ]
    )
    words = data_line(answer).split("     ")
    assert words == [
        "By mine",
        "Security: not given",
        "Terrain no date (expired)",
        "Airspace no date",
        "Cells no date",
    ]


def test_a_refusal_goes_with_the_next_good_edit_and_is_whole_meanwhile(qtbot, document):
    line = StatusLine(document)
    qtbot.addWidget(line)
    line.resize(700, 24)
    line.show()
    assert not document.try_edit(DeletePoint(99))
    said = line.message.whole_text
    assert said[:1].isupper()
    # With room enough both are whole.
    line.resize(1400, 24)
    line.say("a few words")
    qtbot.waitUntil(lambda: line.data.text() == line.data.whole_text)
    assert line.message.text() == "A few words"
    line.resize(700, 24)
    # Both have no room: what is said is whole, the data wait.
    line.say("two corners bound nothing: one is the centre of a circle, three or more are an outline")
    qtbot.waitUntil(lambda: line.message.text() == line.message.whole_text)
    assert line.message.whole_text.startswith("Two corners")
    assert line.data.isHidden()
    qtbot.wait(450)
    assert document.try_edit(SetName("Another name"))
    assert line.message.isHidden()
    assert line.data.isVisible()
    # What an edit says itself stays.
    line.say("kept")
    assert document.try_edit(SetName("A third name"))
    assert not line.message.isHidden()


def test_before_the_charts_at_hand_are_found_nothing_is_said_of_the_place(qtbot):
    document = make_document()
    line = StatusLine(document)
    qtbot.addWidget(line)
    assert line.data.whole_text == "The charts at hand are being looked for"
    document.replace(Plan(), None)
    settled(qtbot, document)
    assert line.data.whole_text == "No charts and no terrain: nothing is known of this place"
    document.close()
