"""A desk on a copy of a demo mission, to save it and record permissions."""

from planner.desk.commands import WorldSource
from planner.desk.record_dialog import NONE_STATED
from planner.desk.record_place import Where
from planner.locate import demo_missions_dir
from tests.desk.desk_rig import Answers, make_document, make_window, settled

MISSION = "under_the_cell_value.lowline.geojson"
READY = "ridge_line.lowline.geojson"


class Rig:
    def __init__(self, qtbot, folder, load=None):
        self.qtbot = qtbot
        self.document = make_document(load or WorldSource().load)
        self.answers = Answers()
        self.window = make_window(qtbot, self.document, self.answers)
        self.window.show()
        self.folder = folder

    def open(self, mission):
        path = self.folder / mission
        path.write_bytes((demo_missions_dir() / mission).read_bytes())
        assert self.window.commands.open_path(path)
        settled(self.qtbot, self.document)
        return path

    @property
    def dialog(self):
        return self.window.saver.dialog


def grant_for_ever(dialog):
    """Write down that what is asked for was granted, without an end, where nothing else is said yet."""
    for field in (dialog.valid_from, dialog.valid_to):
        field.edit.setText(NONE_STATED)
    if dialog.place.where.value() is None and dialog.place.asked is not None:
        dialog.place.where.show_value(Where.ASKED)
    cell_m = None if dialog._need is None else dialog._need.cell_ceiling_agl_m
    if not dialog.ceiling.edit.text() and cell_m is not None:
        dialog.ceiling.edit.setText(f"{cell_m / 0.3048:.0f} ft")
