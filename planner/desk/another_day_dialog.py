"""Asks for the day on which the same flight is to take place again."""

from datetime import UTC, datetime

from PySide6.QtWidgets import QWidget

from planner.desk.fields import TextField
from planner.desk.form_dialog import FormDialog
from planner.desk.forms.moments import parse_day
from planner.desk.stand_aside import fit_text
from planner.errors import PlanError
from planner.plan.another_day import ASKED_ANEW, next_day_after, on_another_day
from planner.plan.model import Plan

_WIDTH = 420


class AnotherDayDialog(FormDialog):
    """`plan_then` is the plan on that day, once it was accepted."""

    def __init__(self, plan: Plan, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._plan = plan
        self.plan_then: Plan | None = None
        self.day = TextField(
            "Day", "Local day of the flight, year-month-day", parse_day, example="2026-11-25"
        )
        self.lay_out(
            manual="windows/another_day",
            heading="Same flight, another day",
            why="The plan on the disk stays as it is; this becomes a plan of its own.",
            says=f"Same place, path, crew, aircraft and hours. Asked anew: {'; '.join(ASKED_ANEW)}. "
            "Permissions on record stay, and are held against the new day.",
            rows=((self.day,),),
            keep="Make the plan",
            width=_WIDTH,
        )
        today = datetime.now(UTC).astimezone().date()
        self.day.edit.setText(f"{next_day_after(plan, today):%Y-%m-%d}")
        self.day.edit.selectAll()
        self.day.edit.setFocus()
        fit_text(self, _WIDTH)

    def accept(self) -> None:
        """Close, if the day can be read and the clock shows the plan's hours on it."""
        try:
            day = self.day.value()
            if day is None:
                self.complain("Still needed: the day")
                return
            self.plan_then = on_another_day(self._plan, day)
        except PlanError as error:
            self.complain(error.one_line())
            return
        super().accept()
