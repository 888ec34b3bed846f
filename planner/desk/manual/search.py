"""Searching the manual: every word typed must begin a word of the passage; no Qt."""

import re
from collections.abc import Iterable, Mapping

from planner.desk.manual.anchors import FIRST
from planner.desk.manual.pages import Page, Passage

_WORD = re.compile(r"\w+")
_MOST = 60


def found_in(pages: Mapping[str, Page], typed: str) -> tuple[Passage, ...]:
    """Return the passages that hold all words typed, those with the words in their heading first."""
    wanted = _words(typed)
    if not wanted:
        return ()
    passages = (one for page in pages.values() if page.name != FIRST for one in page.passages)
    ranked = [(rank, one) for one in passages if (rank := _rank(pages, one, wanted)) is not None]
    return tuple(one for _rank, one in sorted(ranked, key=lambda pair: pair[0])[:_MOST])


def _rank(pages: Mapping[str, Page], passage: Passage, wanted: Iterable[str]) -> int | None:
    heading, title = _words(passage.heading), _words(pages[passage.page].title)
    rest = _words(passage.text)
    rank = 0
    for word in wanted:
        if _begins(heading, word):
            continue
        if _begins(title, word):
            rank += 1
        elif _begins(rest, word):
            rank += 2
        else:
            return None
    return rank


def _begins(words: Iterable[str], typed: str) -> bool:
    return any(word.startswith(typed) for word in words)


def _words(text: str) -> frozenset[str]:
    return frozenset(_WORD.findall(text.lower()))
