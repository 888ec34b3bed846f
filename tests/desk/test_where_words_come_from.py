"""Each word that the program shows stands in `where_words_come_from.md`, with where it comes from.

The program against a list kept by hand, both ways: whoever adds or drops a word is sent to that list.
"""

import re
from pathlib import Path

import pytest

from planner import charts_command, cli
from planner.assess import assess
from planner.desk.action_table import ACTIONS
from planner.desk.map_style import LOOKS, RINGS
from planner.desk.profile.legend import Sample
from planner.desk.profile.sight_readout import SIGHT_WORDS
from planner.desk.profile.strips import STRIPS
from planner.drawing import allowed_bands, seen_bands, strip_rows
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.wording import BASIS_WORDS, BINDING_WORDS, MARK_WORDS
from planner.world.world import World
from tests.desk.desk_rig import make_document, make_window, small_plan

LIST = Path(__file__).parent / "where_words_come_from.md"
PARTED, MARKED = " · ", " (complete)"
ORIGINS = ("trade", "standard", "own")


def rows_of(section: str) -> list[list[str]]:
    """Return the cells of a section's table, without its two lines of heading."""
    _, _, after = LIST.read_text("utf-8").partition(f"\n## {section}{MARKED}\n")
    lines = [line for line in after.split("\n## ")[0].splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def listed(section: str) -> set[str]:
    return {word for row in rows_of(section) for word in row[0].split(PARTED)}


def strip_names() -> set[str]:
    answer = assess(small_plan(), World())
    return {build(answer).name for build in STRIPS} | set(strip_rows._ROWS)


def options() -> set[str]:
    told = f"{cli._HELP}\n{charts_command.HELP}\n--help"
    return set(re.findall(r"(?<![\w-])--?[a-z][a-z-]*", told))


SHOWN = {
    "Menus": lambda: {spec.menu for spec in ACTIONS},
    "Actions": lambda: {spec.text for spec in ACTIONS},
    "Strips": strip_names,
    "Verdicts and marks": lambda: {
        *(verdict.words for verdict in Verdict),
        *(verdict.value for verdict in Verdict),
        *MARK_WORDS.values(),
        *(mark.value for mark in Mark),
        *BASIS_WORDS.values(),
    },
    "What binds, what is seen": lambda: {*BINDING_WORDS.values(), *SIGHT_WORDS.values()},
    "Legends": lambda: {
        *(sample.value for sample in Sample),
        *(band.words for bands in (allowed_bands.BANDS, seen_bands.BANDS) for band in bands.values()),
        *(words for look in (*LOOKS, RINGS) for words in (look.title, look.group)),
    },
    "Command line": lambda: {*cli.COMMANDS, "charts", *charts_command.SUBCOMMANDS, *options()},
}


@pytest.mark.parametrize("section", SHOWN)
def test_each_word_says_where_it_comes_from_and_none_is_listed_that_is_not_shown(section):
    shown = SHOWN[section]()
    assert shown - listed(section) == set(), f"say in {LIST.name} where these come from"
    assert listed(section) - shown == set(), f"take these out of {LIST.name}"


def test_tabs_and_forms_say_so_too(qtbot):
    document = make_document()
    side = make_window(qtbot, document).side
    tabs = {side.tabText(tab).rstrip(" 0123456789") for tab in range(side.count())}
    assert tabs == listed("Tabs")
    parts = (side.plan.missing, *side.plan.sections.values())
    assert {part.heading.text() for part in parts} == listed("Forms")
    document.close()


def test_each_row_names_trade_standard_or_own():
    sections = [*SHOWN, "Tabs", "Forms"]
    assert [name for name in sections if not rows_of(name)] == []
    for name in sections:
        for row in rows_of(name):
            assert row[2].startswith(ORIGINS), row
            assert not row[2].startswith("standard") or ":" in row[2], f"which standard? {row}"
