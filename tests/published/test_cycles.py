"""Cycle dates against published ones (check_values 11b)."""

from datetime import UTC, date, datetime, timedelta

import pytest

from planner.world.cycles import Cycle, current_cycle, cycle_named, cycles_of

# NASR readme: 13 Jun 2024, 27 Nov 2025 (56-day), 19 Feb 2026 (28-day); AIRAC list of 2020: 2 Jan 2020.
PUBLISHED = (date(2020, 1, 2), date(2024, 6, 13), date(2025, 11, 27), date(2026, 2, 19))
# Computed from them, and listed as such.
OF_2026 = [
    *(date(2026, 1, 22), date(2026, 2, 19), date(2026, 3, 19), date(2026, 4, 16), date(2026, 5, 14)),
    *(date(2026, 6, 11), date(2026, 7, 9), date(2026, 8, 6), date(2026, 9, 3), date(2026, 10, 1)),
    *(date(2026, 10, 29), date(2026, 11, 26), date(2026, 12, 24)),
]


@pytest.mark.parametrize("day", PUBLISHED)
def test_published_days_begin_a_cycle(day):
    assert current_cycle(day).start == day
    assert current_cycle(day - timedelta(days=1)).end == day


def test_cycles_of_2026():
    cycles = list(cycles_of(2026))
    assert [cycle.start for cycle in cycles] == OF_2026
    assert [cycle.name for cycle in cycles] == [f"26{number:02d}" for number in range(1, 14)]
    assert cycles[-1].end == date(2027, 1, 21)
    assert [cycle.start for cycle in cycles_of(2026, 56)] == OF_2026[::2]


def test_long_cycle_that_is_published():
    assert current_cycle(date(2025, 11, 27), 56) == Cycle(date(2025, 11, 27), 56)
    assert current_cycle(date(2026, 1, 22), 56).start == date(2026, 1, 22)


def test_the_day_before_a_change():
    """On 25 Nov 2026 cycle 2611 is current, 2612 is next day."""
    assert current_cycle(date(2026, 11, 25)).name == "2611"
    assert current_cycle(date(2026, 11, 26)).name == "2612"


def test_names_lead_back():
    for year in range(2020, 2040):
        for cycle in cycles_of(year):
            assert cycle_named(cycle.name) == cycle
    assert cycle_named("2614") is None
    assert cycle_named("2600") is None
    assert cycle_named("26xx") is None


def test_one_cycle_takes_over_from_the_other_at_0901_utc():
    """As the covers of publications of the United States say (from memory): no hour is left to neither."""
    one = current_cycle(date(2026, 11, 25))
    other = Cycle(one.end)
    assert one.expires_utc == other.effective_utc == datetime(2026, 11, 26, 9, 1, tzinfo=UTC)


def test_other_lengths_are_refused():
    with pytest.raises(ValueError, match="28 or 56"):
        current_cycle(date(2026, 1, 1), 30)
