"""A desk without its map, and somebody who answers its questions."""

from contextlib import contextmanager
from functools import partial

from planner.assess import Memory, assess
from planner.desk.commands import WorldSource
from planner.desk.document import Document
from planner.desk.questions import Keep, Overwrite
from planner.desk.window import DeskWindow
from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.plan.crew import CrewMember, Role
from planner.plan.geometry import Area, PathPoint
from planner.plan.model import Plan
from planner.world.world import World

OCEAN = (-150.2, 37.8)


class Answers:
    """Answers every question as it was told to, and remembers what it was told."""

    def __init__(self):
        self.keep = Keep.DISCARD
        self.over = Overwrite.CANCEL
        self.without = self.thrown = True
        self.open = None
        self.save = None
        self.brief = None
        self.request = None
        self.export = None
        self.card = None
        self.charts = None
        self.terrain = None
        self.restrictions = None
        self.files = []
        self.asked = []
        self.told = []

    def keep_work(self, name):
        self.asked.append(name)
        return self.keep

    def throw_away(self, words):
        self.asked.append(words)
        return self.thrown

    def write_over(self, name):
        self.asked.append(name)
        return self.over

    def go_on_without(self, words):
        self.asked.append(words)
        return self.without

    def what_to_open(self, near):
        return self.open

    def where_to_save(self, now, title):
        return self.save

    def where_to_brief(self, now, title):
        return self.brief

    def where_to_request(self, now, title):
        return self.request

    def where_to_export(self, now, title):
        return self.export

    def where_to_card(self, now, title):
        return self.card

    def which_charts(self):
        return self.charts

    def which_chart_files(self):
        return self.files

    def which_restrictions(self):
        return self.restrictions

    def which_terrain(self):
        return self.terrain

    def tell(self, head, line):
        self.told.append((head, line))

    def show_cautions(self):
        self.told.append(("Cautions", ""))


def make_document(load=None):
    return Document(partial(assess, memory=Memory()), load or (lambda plan: World()))


def make_window(qtbot, document, answers=None):
    source = WorldSource()
    window = DeskWindow()
    window.move_in(document, source, questions=answers or Answers())
    window.bring_side()
    qtbot.addWidget(window, before_close_func=lambda closing: setattr(closing, "_closing", True))
    return window


@contextmanager
def figures_desk(qtbot, flight, charts):
    """Give a window on a flight, shown, whose forms of figures are closed with it."""
    document = make_document(lambda _plan: charts)
    document.replace(flight, None)
    settled(qtbot, document)
    window = make_window(qtbot, document)
    window.show()
    yield window
    window.doors.flown.close()
    document.close()


def settled(qtbot, document):
    """Wait until the charts are read."""
    qtbot.waitUntil(lambda: not document.checking, timeout=30_000)


def place(east=0.0, north=0.0):
    """Give a place some thousandths of a degree from a point in the open ocean."""
    return Place(OCEAN[0] + east / 1000, OCEAN[1] + north / 1000)


def point(east, north, height_m=30.0):
    return PathPoint(place(east, north), AboveGround(height_m))


def small_plan(**changes):
    parts = {
        "name": "Test flight (INVENTED)",
        "path": (point(0, 0), point(2, 1), point(4, 0)),
        "area": Area((place(-1, -1), place(5, -1), place(5, 2), place(-1, 2)), AboveGround(60.0)),
        "crew": (CrewMember("pilot", Role.REMOTE_PILOT, "Ash (invented)", place(0, -0.5)),),
    }
    return Plan(**(parts | changes))
