"""From when to when a layer holds: by what is stated, by what its files say, the worse of both."""

from collections.abc import Sequence
from datetime import UTC, datetime, time, timedelta

import attrs

from planner.errors import ChartError
from planner.world.cycles import Cycle, current_cycle
from planner.world.readers.moments import moment_of
from planner.world.readers.reading import Edition

_A_MOMENT = timedelta(microseconds=1)
_A_DAY = timedelta(days=1)
_REMEDY = "look both up with the publisher; leave the file out, or state what holds for it alone"


@attrs.frozen
class Dates:
    """Beginning and end as texts, '' where not known; `said` tells where a file overrules what was stated."""

    effective: str = ""
    expires: str = ""
    said: str = ""


def check_stated(effective: str, expires: str) -> None:
    """Refuse an end that is stated not to come after the beginning.

    Raises
    ------
    ChartError
        If it does not.
    """
    begin, end = moment_of(effective), moment_of(expires)
    if begin is not None and end is not None and end <= begin:
        raise ChartError(
            f"the end that is stated ({expires}) is not after the beginning ({effective})",
            remedy="state the end with --expires after --effective",
        )


def dates_of(effective: str, expires: str, cycle_days: int | None, own: Sequence[Edition]) -> Dates:
    """Return from when to when a layer holds.

    Parameters
    ----------
    effective, expires : str
        What is stated, '' where nothing is; a bare day counts from its end and until its beginning.
    cycle_days : int or None
        28 or 56, in place of an end: that of the cycle that begins then.
    own : sequence of Edition
        What each file of the layer says of itself.

    Notes
    -----
    Nothing that is stated makes a file hold longer than it says itself: the later beginning and the
    earlier end count. A file that had ended before the stated beginning keeps its own dates. Where
    nothing is stated, a date counts only if all files have one.

    Raises
    ------
    ChartError
        If no moment is left, or a cycle is stated that does not begin then.
    """
    begins = [edition.effective_utc for edition in own if edition.effective_utc is not None]
    ends = [edition.expires_utc for edition in own if edition.expires_utc is not None]
    begin_utc, end_utc = max(begins, default=None), min(ends, default=None)
    check_stated(effective, expires)
    stated = _stated(effective, expires, cycle_days, begin_utc)
    if _later(end_utc, _begin_of(stated.effective)) is False:
        return Dates(moment_text(begin_utc), moment_text(end_utc), _overruled(stated, begin_utc, end_utc))
    by_begin = stated.effective or (moment_text(begin_utc) if len(begins) == len(own) else "")
    by_end = stated.expires or (moment_text(end_utc) if len(ends) == len(own) else "")
    later = stated.effective and _is_worse_begin(stated.effective, begin_utc)
    earlier = stated.expires and _later(moment_of(stated.expires), end_utc)
    found = Dates(
        moment_text(begin_utc) if later else by_begin,
        moment_text(end_utc) if earlier else by_end,
        _overruled(stated, begin_utc if later else None, end_utc if earlier else None),
    )
    if _later(moment_of(found.expires), _begin_of(found.effective)) is False:
        raise ChartError(f"no moment is left in which it holds: {found.said}", remedy=_REMEDY)
    return found


def moment_text(moment: datetime | None) -> str:
    """Return a moment as it is written in set.json."""
    return "" if moment is None else moment.astimezone(UTC).isoformat().replace("+00:00", "Z")


def _stated(effective: str, expires: str, cycle_days: int | None, begin_utc: datetime | None) -> Dates:
    if expires or cycle_days is None:
        return Dates(effective, expires)
    if effective:
        cycle = _cycle_from(moment_of(effective), cycle_days)
        bare_day = len(effective.strip()) == len("2026-11-26")
        begins = moment_text(cycle.effective_utc) if bare_day else effective
        return Dates(begins, moment_text(cycle.expires_utc))
    # A file's own date, given as a bare day, has become the end of that day.
    cycle = _cycle_from(begin_utc and begin_utc - _A_MOMENT, cycle_days)
    return Dates("", moment_text(cycle.expires_utc))


def _cycle_from(begin: datetime | None, days: int) -> Cycle:
    """Return the cycle that begins on a day, which must be one on which a cycle begins."""
    if begin is None:
        raise ChartError(
            "nothing says when the cycle begins", remedy="state the beginning with --effective as well"
        )
    cycle = current_cycle(begin.date(), days)
    if cycle.start == begin.date():
        return cycle
    raise ChartError(
        f"no {days}-day cycle begins on {begin.date()}; the one in force then began on {cycle.start}",
        remedy="state the cycle's first day with --effective, or the end with --expires",
    )


def _begin_of(text: str) -> datetime | None:
    return moment_of(text, end_of_day=True) if text else None


def _is_worse_begin(stated: str, own_utc: datetime | None) -> bool:
    begin = _begin_of(stated)
    if begin is None or own_utc is None:
        return False
    # A file's bare day has become its end: the same day is no later than what is stated of it.
    same_day = own_utc.time() == time() and (own_utc - _A_DAY).date() == begin.date()
    return own_utc > begin and not same_day


def _later(one: datetime | None, other: datetime | None) -> bool | None:
    return None if one is None or other is None else one > other


def _overruled(stated: Dates, begin_utc: datetime | None, end_utc: datetime | None) -> str:
    own = [
        f"{word} {moment_text(moment)}"
        for word, moment in (("from", begin_utc), ("until", end_utc))
        if moment is not None
    ]
    if not own:
        return ""
    named = f"from {stated.effective or 'not stated'} until {stated.expires or 'not stated'}"
    return f"its file says of itself {' '.join(own)}, which counts; stated was {named}"
