"""The usual times to ask, held against the hour at which a request is written.

JO 7210.3 ch. 12 §9 (90 days ahead at most); 72 hours and the portal's 60 days by secondary sources. That
nothing is said to be refused, and what is told, is our own rule (issue 4).
"""

from datetime import timedelta

import attrs
import pytest

from planner.assess import assess
from planner.briefing.ask_late import ask_late
from planner.briefing.request_sheet import request_kml, requests_for, write_request
from planner.briefing.request_words import request_text, typed_agl_m
from planner.permission.need import Route
from planner.plan.aircraft import LinkLossAction
from tests.briefing.test_asked_for_all import CHARTS, intended
from tests.worlds import WINDOW, cell, ft, record

LOW = attrs.evolve(CHARTS, cells=(cell(50),))
"""Cells of 50 ft under a flight 98 ft up: further coordination."""


def asked(hours_ahead, charts=LOW, **changes):
    answer = assess(intended(LinkLossAction.LAND, **changes), charts)
    return requests_for(answer, now_utc=WINDOW.start_utc - timedelta(hours=hours_ahead))[0]


@pytest.mark.parametrize(
    ("hours_ahead", "late", "in_time", "early", "left"),
    [
        (26.5, ("72 hours", "60 days"), (), False, "in 26 h."),
        (0.5, ("72 hours", "60 days"), (), False, "in less than an hour."),
        (73, ("60 days",), ("72 hours",), False, "in 3 days."),
        (24 * 61, (), (), False, ""),
        (24 * 91, (), (), True, "in 91 days."),
    ],
)
def test_what_has_passed_is_told_and_how_far_ahead_the_flight_is(hours_ahead, late, in_time, early, left):
    """What is still in time is told first (our own rule: who reads "too late" alone gives it up)."""
    request = asked(hours_ahead)
    assert request.need.route is Route.FURTHER_COORDINATION
    said = " ".join(ask_late(request, request.asked_utc))
    assert ("too late to ask by the usual time" in said) is bool(late and not in_time)
    past = said.partition("too late")[2]
    assert all(each in past for each in late)
    assert ("72 hours" in past) is ("72 hours" in late)
    assert said.startswith("It is still in time to ask (further coordination: 72") is bool(in_time)
    assert ("too early to ask" in said) is early
    assert left in said
    assert "refuse" not in said
    assert [
        one for one in request_text(request, intended(LinkLossAction.LAND)).warnings if "too" in one
    ] == list(ask_late(request, request.asked_utc))


def test_an_automated_request_is_late_once_the_flight_begins():
    assert not ask_late(asked(0.1, CHARTS), asked(0.1, CHARTS).asked_utc)
    begun = asked(-0.1, CHARTS)
    assert ask_late(begun, begun.asked_utc)[0].startswith("The time of the flight has begun")


def test_without_a_clock_or_with_a_record_nothing_is_late():
    assert not ask_late(asked(1.0), None)
    held = asked(1.0, permissions=(record("D", 60.0),))
    assert held.need.recorded
    assert not ask_late(held, held.asked_utc)
    assert not ask_late(attrs.evolve(asked(1.0), start_utc=None), WINDOW.start_utc)


def test_what_is_written_and_said_hangs_on_the_hour_handed_in(tmp_path):
    answer = assess(intended(LinkLossAction.LAND), LOW)
    (said,) = write_request(answer, tmp_path / "late.geojson", None, WINDOW.start_utc - timedelta(hours=5))
    assert said.startswith("D: It is too late to ask by the usual time")
    assert "the flight is in 5 h." in (tmp_path / "late.geojson").read_text()
    assert not write_request(answer, tmp_path / "bare.geojson")
    assert "too late" not in (tmp_path / "bare.geojson").read_text()


@pytest.mark.parametrize(("cell_ft", "high_m"), [(200, 33.0), (100, ft(100))])
def test_outlines_reach_up_to_the_height_to_be_typed(cell_ft, high_m):
    """30 m planned and 3 m that the readout may be off; of a cell of 100 ft (30.48 m) no more than that."""
    answer = assess(intended(LinkLossAction.LAND), attrs.evolve(CHARTS, cells=(cell(cell_ft),)))
    found = requests_for(answer)
    assert typed_agl_m(found[0]) == pytest.approx(high_m)
    outline = request_kml(answer, found).split("<coordinates>")[1].split("</coordinates>")[0]
    assert float(outline.split()[0].split(",")[2]) == pytest.approx(high_m, abs=0.01)
