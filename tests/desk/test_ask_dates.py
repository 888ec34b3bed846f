"""Until when to ask, on the card of a permission needed; the bounds come with their standing."""

from datetime import UTC, datetime, timedelta

import attrs
import pytest

from planner.desk.ask_dates import ask_dates
from planner.desk.need_card import NeedCard
from planner.geo.window import TimeWindow
from planner.permission.need import PermissionNeed, Route, Subject
from tests.worlds import record

START = datetime(2026, 12, 6, 0, tzinfo=UTC)
WINDOW = TimeWindow(START, START + timedelta(hours=1), "Etc/GMT+10")
NEED = PermissionNeed(Subject.AIRSPACE, "D (INVENTED)", "D", Route.FURTHER_COORDINATION)


@pytest.mark.parametrize(
    ("days_ahead", "says"),
    [
        (
            6,
            "Further coordination: by Wed 2 Dec 2026, 14:00 UTC-10 (72 hours, secondary sources only).\n"
            "Manual portal: too late since Tue 6 Oct 2026, 14:00 UTC-10 (60 days, an undated page",
        ),
        (1, "Further coordination: too late since Wed 2 Dec 2026, 14:00 UTC-10 (72 hours, secondary"),
        (91, "Further coordination: not before Sun 6 Sep 2026, 14:00 UTC-10 (FAA JO 7210.3 ch. 12 §9)"),
    ],
)
def test_each_bound_is_told_by_its_date_and_what_has_passed_as_such(qapp, days_ahead, says):
    """Reckoned by hand: 90 and 60 days, 72 hours before 6 December, 0:00 UTC (14:00 there)."""
    assert ask_dates(NEED, WINDOW, START - timedelta(days=days_ahead)).startswith(says)


def test_nothing_is_told_of_what_is_on_record_past_or_has_no_published_time(qapp):
    now = START - timedelta(days=6)
    held = attrs.evolve(NEED, record=record("D", 60.0))
    assert held.recorded
    for need, window, at in (
        (held, WINDOW, now),
        (NEED, None, now),
        (NEED, WINDOW, START),
        (attrs.evolve(NEED, route=Route.AGENCY), WINDOW, now),
        (attrs.evolve(NEED, route=Route.AUTOMATED), WINDOW, now),
    ):
        assert ask_dates(need, window, at) == ""


def test_the_card_says_it(qtbot):
    asked = attrs.evolve(NEED, lead_time="long before")
    card = NeedCard(asked, dates=ask_dates(asked, WINDOW, START - timedelta(days=6)))
    undated = NeedCard(asked)
    for one in (card, undated):
        qtbot.addWidget(one)
    assert card.dates.text().startswith("Further coordination: by Wed 2 Dec 2026")
    # What is told by its dates is not told twice.
    assert (card.ahead.text(), undated.ahead.text()) == ("", "Ask ahead: long before.")
