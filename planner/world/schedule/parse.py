"""From the words of published hours to a schedule."""

from collections.abc import Iterable, Sequence
from functools import lru_cache

import attrs

from planner.world.schedule.model import (
    ALL_DAY,
    EVERY_DAY,
    LOCAL,
    Clock,
    Edge,
    Otherwise,
    Period,
    Schedule,
    Season,
)
from planner.world.schedule.tokens import (
    AllDay,
    Bounds,
    Break,
    Dash,
    Days,
    Notice,
    OtherTimes,
    Perhaps,
    State,
    Token,
    UnreadableError,
    tokens_of,
)

_LONGEST_TEXT = 20_000
_Range = tuple[Edge, Edge]


@lru_cache(maxsize=4096)
def parse_schedule(text: str) -> Schedule | None:
    """Return what the text says, or None if any of it is not understood.

    Where words can be grouped in more than one way the hours that result are
    never fewer than by any other. The hours of an empty text are all hours.
    """
    if len(text) > _LONGEST_TEXT:
        return None
    try:
        return _schedule(tuple(tokens_of(text)))
    except UnreadableError:
        return None


def _schedule(tokens: tuple[Token, ...]) -> Schedule:
    sure = not any(_leaves_open(token) for token in tokens)
    tokens = tuple(token for token in tokens if not isinstance(token, Perhaps))
    if not tokens:
        return Schedule((Period(*ALL_DAY),), sure=sure)
    kept, otherwise = _without_other_times(tokens)
    if any(isinstance(token, Notice) for token in kept):
        # Hours together with a notice may be hours in which a notice can be given, or hours besides notices.
        otherwise = Otherwise.BY_NOTICE
    if any(isinstance(token, State) and token.otherwise is not None for token in kept):
        raise UnreadableError("hours of being something else")
    said = [token for token in kept if not isinstance(token, Notice | State)]
    whole = _clocks_of(said)
    statements = [_periods(part, whole) for part in _statements(said)]
    periods = [period for part in statements for period in part]
    if not periods and otherwise is not Otherwise.BY_NOTICE:
        raise UnreadableError("it names no hours")
    # Of several days in one statement it is not sure which hours go with which.
    sure = sure and all(len({period.days for period in part}) <= 1 for part in statements)
    return Schedule(tuple(periods), otherwise, sure)


def _leaves_open(token: Token) -> bool:
    return isinstance(token, Perhaps | Notice) or (isinstance(token, Days) and not token.sure)


def _without_other_times(tokens: Sequence[Token]) -> tuple[list[Token], Otherwise]:
    kept, otherwise = list(tokens), Otherwise.UNSTATED
    while (
        at := next((k for k, token in enumerate(kept) if isinstance(token, OtherTimes)), None)
    ) is not None:
        for near in (at + 1, at - 1):
            meant = _meaning(kept[near]) if 0 <= near < len(kept) else None
            if meant is not None:
                break
        else:
            raise UnreadableError("other times")
        if otherwise not in (Otherwise.UNSTATED, meant):
            raise UnreadableError("other times are two things")
        otherwise = meant
        kept[min(at, near) : max(at, near) + 1] = [Break()]
    return kept, otherwise


def _meaning(token: Token) -> Otherwise | None:
    if isinstance(token, Notice):
        return Otherwise.BY_NOTICE
    return token.otherwise if isinstance(token, State) else None


def _clocks_of(tokens: Sequence[Token]) -> frozenset[Clock]:
    """Return the clocks that may be meant for times without one.

    What is written with one time only (`1200Z`) may be meant for the others, too, or local time is.
    """
    standing = frozenset(token for token in tokens if isinstance(token, Clock))
    beside = {token.clock for token in tokens if isinstance(token, Edge) and token.clock is not None}
    return standing or frozenset(attrs.evolve(clock, or_local=True) for clock in beside)


def _clock(tokens: Iterable[Token], whole: frozenset[Clock]) -> Clock | None:
    """Return the statement's own clock, else the whole text's (None if it names several), else local time."""
    own = frozenset(token for token in tokens if isinstance(token, Clock))
    if len(own) > 1:
        raise UnreadableError("two clocks")
    clocks = own or whole or {LOCAL}
    return next(iter(clocks)) if len(clocks) == 1 else None


def _statements(tokens: Iterable[Token]) -> list[list[Token]]:
    parts: list[list[Token]] = [[]]
    for token in tokens:
        if isinstance(token, Break):
            parts.append([])
        else:
            parts[-1].append(token)
    return [part for part in parts if part]


def _periods(tokens: Sequence[Token], whole: frozenset[Clock]) -> list[Period]:
    clock = _clock(tokens, whole)
    seasons = [token for token in tokens if isinstance(token, Season)]
    bounds = [token for token in tokens if isinstance(token, Bounds)]
    if len(seasons) > 1 or len(bounds) > 1:
        raise UnreadableError("two seasons")
    rest = [token for token in tokens if not isinstance(token, Season | Bounds | Clock)]
    limits = bounds[0] if bounds else Bounds(None, None)
    named = {token.clock for token in rest if isinstance(token, Edge) and token.clock is not None}
    if any(isinstance(token, Clock) and named - {token} for token in tokens):
        raise UnreadableError("two clocks")
    if not rest and not seasons and not bounds:
        return []
    return [
        Period(
            _told_by(start, clock),
            _told_by(end, clock),
            days,
            seasons[0] if seasons else None,
            limits.from_utc,
            limits.until_utc,
        )
        for days, ranges in _groups(_paired(rest))
        for start, end in ranges
    ]


def _told_by(edge: Edge, clock: Clock | None) -> Edge:
    if edge.clock is not None:
        return edge
    if clock is None:
        raise UnreadableError("two clocks")
    return attrs.evolve(edge, clock=clock)


def _paired(tokens: Sequence[Token]) -> list[Days | _Range]:
    """Return days and ranges in their order; every time must have its partner."""
    found: list[Days | _Range] = []
    position = 0
    while position < len(tokens):
        token = tokens[position]
        following = tokens[position + 1 : position + 3]
        if isinstance(token, Days):
            found.append(token)
        elif isinstance(token, AllDay):
            found.append(ALL_DAY)
        elif (
            isinstance(token, Edge)
            and len(following) == 2
            and isinstance(following[0], Dash)
            and isinstance(following[1], Edge)
        ):
            found.append(_same_clock(token, following[1]))
            position += 2
        else:
            raise UnreadableError("a time without its partner")
        position += 1
    return found


def _same_clock(start: Edge, end: Edge) -> _Range:
    clock = start.clock or end.clock
    return (
        attrs.evolve(start, clock=start.clock or clock),
        attrs.evolve(end, clock=end.clock or clock),
    )


def _groups(items: Sequence[Days | _Range]) -> list[tuple[frozenset[int], list[_Range]]]:
    """Return days with their ranges. The first word tells whether days come first or last.

    Read the wrong way round, ranges fall on more days than they should, never on fewer.
    """
    if not items:
        return [(EVERY_DAY, [ALL_DAY])]
    days_first = isinstance(items[0], Days)
    groups: list[tuple[list[Days], list[_Range]]] = [([], [])]
    for item in items:
        days, ranges = groups[-1]
        if isinstance(item, Days):
            if days_first and ranges:
                groups.append(([item], []))
            else:
                days.append(item)
        elif not days_first and days:
            groups.append(([], [item]))
        else:
            ranges.append(item)
    return [
        (frozenset().union(*(day.days for day in days)) if days else EVERY_DAY, ranges or [ALL_DAY])
        for days, ranges in groups
    ]
