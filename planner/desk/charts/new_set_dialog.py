"""A small form that makes a new, empty chart set."""

import re
from pathlib import Path

from PySide6.QtWidgets import QCheckBox, QWidget

from planner.desk.fields import TextField
from planner.desk.form_dialog import FormDialog
from planner.errors import LowlineError

_LONGEST_ID = 60


class NewSetDialog(FormDialog):
    """Name, whose rules, and where they hold. `folder` is that of the set once it is made."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.set_id = ""
        self.folder: Path | None = None
        self.name = TextField("Name", "What you call it", example="Home country", blank="")
        self.code = TextField(
            "Whose rules: code", "A short code of the state or authority", example="US", blank=""
        )
        self.authority = TextField(
            "Whose rules: in words", "The state or authority", example="United States", blank=""
        )
        self.area = TextField(
            "Where they hold",
            "west,south,east,north in degrees, or the name of a file with the country's outline. "
            "Outside, the set never answers",
            example="-125,24,-66,50 or country.geojson",
            blank="",
        )
        self.use = QCheckBox("Judge this plan by it", self)
        self.use.setChecked(True)
        self.lay_out(
            manual="windows/new_set",
            heading="New chart set",
            why="A place for the files of one authority",
            says="One set for the files of one authority. It begins empty: then drop its files in.",
            rows=((self.name,), (self.code, self.authority), (self.area,), (self.use,)),
            keep="Make it",
            width=460,
        )
        self.name.edit.setFocus()

    def accept(self) -> None:
        """Make the set, or say in one line what is wrong and stay."""
        name, code = str(self.name.value()), str(self.code.value())
        if not name or not code:
            lacking = "a name" if not name else "a code for whose rules it holds"
            self.complain(f"Still needed: {lacking}.")
            return
        try:
            self.set_id, self.folder = _made(name, code, str(self.authority.value()), str(self.area.value()))
        except LowlineError as error:
            self.complain(error.one_line())
            return
        super().accept()


def _made(name: str, code: str, authority: str, area: str) -> tuple[str, Path]:
    # Imported here: only a dialog that is open needs it.
    from planner.chart_folders import known_chart_sets, user_chart_dir
    from planner.world.store.adding import Identity, create_set
    from planner.world.store.covers import outline_of

    outline = outline_of(area) if area else None
    known = known_chart_sets()
    set_id = _free_id(name, {*known, *known.doubles, *(folder.name for folder in known.unread)})
    folder = user_chart_dir() / set_id
    create_set(folder, Identity(set_id, name, code, authority, outline))
    return set_id, folder


def _free_id(name: str, taken: set[str]) -> str:
    plain = re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:_LONGEST_ID] or "charts"
    numbered = (plain if number == 1 else f"{plain}-{number}" for number in range(1, len(taken) + 2))
    return next(candidate for candidate in numbered if candidate not in taken)
