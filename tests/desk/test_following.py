"""The part of the answer that follows on a worker: checking until it is there, the newest wins."""

import threading
from functools import partial

import pytest

from planner.assess import Memory, assess, assess_live, follow
from planner.desk.document import Document
from planner.geo.heights import AboveGround
from planner.geo.progress import Cancelled
from planner.plan.edits import AppendPoint, SetName
from planner.plan.file import read_plan
from planner.rules.verdict import Verdict
from tests import worlds
from tests.desk.desk_rig import Answers, make_window, place, settled


class Gate:
    """Follows only when it is let; keeps the names of the plans it was asked about."""

    def __init__(self):
        self.open = threading.Event()
        self.asked = []

    def follow(self, live, _progress):
        self.asked.append(live.plan.name)
        assert self.open.wait(20)
        return follow(live)


@pytest.fixture
def gate():
    made = Gate()
    yield made
    made.open.set()


@pytest.fixture
def world():
    return worlds.world()


@pytest.fixture
def document(qtbot, gate, world):
    gate.open.set()
    made = Document(partial(assess_live, memory=Memory()), lambda _plan: world, gate.follow)
    made.replace(worlds.plan(name="first"), None)
    settled(qtbot, made)
    gate.open.clear()
    gate.asked.clear()
    yield made
    gate.open.set()
    made.close()


def test_what_is_only_judged_live_is_never_ready(world):
    live = assess_live(worlds.plan(), world)
    assert not live.whole
    assert live.sight is None
    assert live.verdict is Verdict.UNDETERMINED
    assert live.valid_until_utc is None
    stop = assess_live(worlds.plan(path=worlds.points([(-500, 0, 200.0), (500, 0, 200.0)])), world)
    assert stop.verdict is Verdict.MUST_CHANGE, "what follows can't take a stop away"


def test_followed_and_judged_at_once_say_the_same(world):
    whole, parts = assess(worlds.plan(), world), follow(assess_live(worlds.plan(), world))
    assert whole.whole
    assert parts.whole
    assert (parts.verdict, parts.findings, parts.reason) == (whole.verdict, whole.findings, whole.reason)
    assert follow(whole) is whole


def test_the_verdict_reads_checking_until_the_rest_is_there(qtbot, document, gate):
    window = make_window(qtbot, document, Answers())
    words = window.top_bar.verdict.words
    assert document.try_edit(SetName("second"))
    assert document.checking
    assert not document.assessment.whole
    assert words.text() == "Checking"
    qtbot.waitUntil(lambda: gate.asked == ["second"])
    assert words.text() == "Checking"
    gate.open.set()
    settled(qtbot, document)
    assert words.text() != "Checking"
    assert document.assessment.whole
    assert document.assessment.sight is not None
    assert document.judged


def test_the_live_part_is_there_at_once(document):
    document.try_edit(AppendPoint(place(3, 3), AboveGround(250.0)))
    assert document.assessment.plan is document.plan
    assert "above-height-limit" in {finding.rule for finding in document.assessment.findings}


def test_late_results_are_dropped_and_only_the_newest_is_heard(qtbot, document, gate):
    heard = []
    document.followed.connect(lambda: heard.append(document.assessment.plan.name))
    document.try_edit(SetName("second"))
    qtbot.waitUntil(lambda: gate.asked == ["second"])
    for name in ("third", "fourth", "fifth"):
        document.try_edit(SetName(name))
    gate.open.set()
    settled(qtbot, document)
    assert heard == ["fifth"]
    assert gate.asked == ["second", "fifth"]
    assert document.assessment.plan is document.plan


def test_saving_waits_for_what_follows(qtbot, document, gate, tmp_path):
    answers = Answers()
    answers.save = tmp_path / "flight"
    window = make_window(qtbot, document, answers)
    document.try_edit(SetName("second"))
    window.menu_actions["save"].trigger()
    written = tmp_path / "flight.lowline.geojson"
    qtbot.waitUntil(lambda: gate.asked == ["second"])
    assert not written.exists()
    gate.open.set()
    qtbot.waitUntil(written.exists, timeout=20_000)
    assert read_plan(written).name == "second"
    if window.saver.dialog:
        window.saver.dialog.reject()


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_a_following_part_that_fails_leaves_the_plan_undetermined_and_says_so(qtbot, world):
    def broken(live, _progress):
        if live.plan.path:
            raise ZeroDivisionError
        return follow(live)

    document = Document(partial(assess_live, memory=Memory()), lambda _plan: world, broken)
    heard = []
    document.message.connect(heard.append)
    window = make_window(qtbot, document, Answers())
    document.replace(worlds.plan(), None)
    settled(qtbot, document)
    assert heard == ["What the crew sees could not be worked out; the plan counts as not checked"]
    assert not document.judged
    assert window.top_bar.verdict.words.text() == Verdict.UNDETERMINED.words
    document.close()


def test_the_following_part_stops_between_findings_when_nobody_waits(world):
    class Until:
        """Lets some reports pass, then says that nobody waits."""

        def __init__(self, reports):
            self.left = reports

        def report(self, share):
            assert 0.0 <= share <= 1.0
            self.left -= 1
            if self.left < 0:
                raise Cancelled

    live, patient = assess_live(worlds.plan(), world), Until(10_000)
    whole = follow(live, patient)
    assert whole.findings == follow(live).findings
    reports = 10_000 - patient.left
    assert reports > 20
    for after in (0, 5, reports - 1):
        with pytest.raises(Cancelled):
            follow(live, Until(after))
