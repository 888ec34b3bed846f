"""The command line: the desk, and the same job without a screen."""

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

from planner.errors import LowlineError, UsageError
from planner.system_libraries import has_screen

BAD_INPUT = 2
INTERRUPTED = 130
COMMANDS = ("check", "compare", "brief", "export", "request", "template")

_HELP = """\
lowline [PLAN]                     open the desk
lowline check PLAN [--json]        assess a plan; exit code 0 ready, 10 permission needed,
                                   20 must change, 30 cannot be determined, 2 bad input
lowline compare PLAN OTHER [--json]
                                   what changed from one plan to another; with --charts or --terrain
                                   and no OTHER: from the plan's own data to what is given; exit code
                                   0 verdict, what decides it and permissions are the same, 40 not
lowline brief PLAN -o FILE.pdf     write the briefing: the observer's page, the pilot's, the papers;
                                   [--paper letter|a4] [--template FOLDER]; a FILE.png is the
                                   observer's page as a card for a phone
lowline template FOLDER            write a copy of the briefing's template to change and use
lowline export PLAN -o FILE        write the flight for other programs; the file's name ends in
                                   .kml, .gpx or .geojson
lowline request PLAN -o FILE       write what to enter in an authorization request; the file's
                                   name ends in .pdf, .kml or .geojson; [--margin METRES] about
                                   the flight: 50, less where more would cost height
lowline charts add|list|check      chart sets; see lowline charts --help

--charts PATH    a chart set's folder, a .gpkg or one publisher's file, in place of the
                 plan's own chart sets; can be given several times
--terrain FILE   a raster of ground heights, in place of the charts' own terrain
--metar FILE     a text file with a weather report, in place of the plan's own, and
--taf FILE       with a forecast; for all but the desk
"""


class _OneLineParser(argparse.ArgumentParser):
    """A parser whose complaint is one line that says what to do."""

    def error(self, message: str) -> NoReturn:
        """Raise instead of printing usage and leaving."""
        raise UsageError(message, remedy="see lowline --help")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run `lowline`; return its exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    try:
        if "-h" in words or "--help" in words:
            return _help(words)
        if words and words[0] == "charts":
            return _charts(words[1:])
        if words and words[0] in COMMANDS:
            # Loaded only where it is needed: the desk shows its map before all this.
            from planner.without_screen import run_without_screen

            return run_without_screen(words[0], words[1:], _parser())
        return _desk(words)
    except LowlineError as error:
        print(f"lowline: {error.one_line()}", file=sys.stderr)
        return BAD_INPUT
    except BrokenPipeError:
        # Whoever read the output has heard enough; what is buffered would fail again at the end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        print("lowline: stopped; what was there before is as it was", file=sys.stderr)
        return INTERRUPTED


def _help(words: list[str]) -> int:
    if words[0] == "charts":
        from planner.charts_command import HELP

        print(HELP, end="")
    else:
        print(_HELP, end="")
    return 0


def _charts(words: list[str]) -> int:
    from planner.charts_command import run_charts

    return run_charts(words, _OneLineParser(prog="lowline", add_help=False, allow_abbrev=False))


def _desk(words: list[str]) -> int:
    parser = _parser()
    parser.add_argument("plan", type=Path, metavar="PLAN", nargs="?")
    chosen = parser.parse_args(words)
    if not has_screen():
        from planner.without_screen import do_the_desks_job

        return do_the_desks_job(chosen)
    # Only the desk needs Qt; everything else must work where Qt can't be loaded.
    from planner.desk.app import run

    return run(chosen.plan, chosen.charts, chosen.terrain)


def _parser() -> _OneLineParser:
    parser = _OneLineParser(prog="lowline", add_help=False, allow_abbrev=False)
    parser.add_argument("--charts", type=Path, action="append", metavar="PATH")
    parser.add_argument("--terrain", type=Path, metavar="FILE")
    return parser
