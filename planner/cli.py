"""The command line: the desk, and the same job without a screen."""

import argparse
import json
import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import NoReturn

from planner.assess import assess
from planner.assessment import Assessment
from planner.briefing.briefing import write_briefing
from planner.briefing.check_json import check_json
from planner.briefing.report_text import report_text
from planner.briefing.request_sheet import write_request
from planner.chart_folders import known_chart_sets
from planner.charts_command import HELP as CHARTS_HELP
from planner.charts_command import run_charts
from planner.errors import LowlineError, UsageError
from planner.plan.file import read_plan
from planner.surroundings import surroundings
from planner.system_libraries import has_screen

BAD_INPUT = 2
INTERRUPTED = 130
COMMANDS = ("check", "brief", "request")

_HELP = """\
lowline [PLAN]                     open the desk
lowline check PLAN [--json]        assess a plan; exit code 0 ready, 10 permission needed,
                                   20 must change, 30 cannot be determined, 2 bad input
lowline brief PLAN -o FILE.pdf     write the observer's briefing
lowline request PLAN -o FILE       write what to enter in an authorization request; the file's
                                   name ends in .pdf, .kml or .geojson
lowline charts add|list|check      chart sets; see lowline charts --help

--charts PATH    a chart set's folder, a .gpkg or one publisher's file, in place of the
                 plan's own chart sets; can be given several times
--terrain FILE   a raster of ground heights, in place of the charts' own terrain
"""


class _OneLineParser(argparse.ArgumentParser):
    """A parser whose complaint is one line that says what to do."""

    def error(self, message: str) -> NoReturn:
        """Raise instead of printing usage and leaving."""
        raise UsageError(message, remedy="see lowline --help")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run `lowline`; return its exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    if "-h" in words or "--help" in words:
        print(CHARTS_HELP if words[0] == "charts" else _HELP, end="")
        return 0
    try:
        if words and words[0] == "charts":
            return run_charts(words[1:], _OneLineParser(prog="lowline", add_help=False, allow_abbrev=False))
        if words and words[0] in COMMANDS:
            return _without_screen(words[0], words[1:])
        return _desk(words)
    except LowlineError as error:
        print(f"lowline: {error.one_line()}", file=sys.stderr)
        return BAD_INPUT
    except KeyboardInterrupt:
        print("lowline: stopped; what was there before is as it was", file=sys.stderr)
        return INTERRUPTED


def _without_screen(command: str, words: list[str]) -> int:
    parser = _parser()
    parser.add_argument("plan", type=Path, metavar="PLAN")
    if command == "check":
        parser.add_argument("--json", action="store_true")
    elif command == "request":
        parser.add_argument("-o", "--output", type=Path, required=True, metavar="FILE")
    else:
        parser.add_argument("-o", "--output", type=Path, required=True, metavar="FILE.pdf")
        parser.add_argument("--paper", choices=("letter", "a4"), default="letter")
    chosen = parser.parse_args(words)
    assessment = _assessed(chosen)
    if command == "brief":
        write_briefing(assessment, chosen.output, paper=chosen.paper)
        print(f"{assessment.verdict.words}. Briefing written to {chosen.output}")
        return 0
    if command == "request":
        write_request(assessment, chosen.output)
        print(f"{assessment.verdict.words}. Request written to {chosen.output}")
        return 0
    if chosen.json:
        print(json.dumps(check_json(assessment), indent=1, allow_nan=False))
    else:
        _print_report(assessment)
    return assessment.verdict.exit_code


def _desk(words: list[str]) -> int:
    parser = _parser()
    parser.add_argument("plan", type=Path, metavar="PLAN", nargs="?")
    chosen = parser.parse_args(words)
    if not has_screen():
        return _job_without_screen(chosen)
    # Only the desk needs Qt; everything else must work where Qt can't be loaded.
    from planner.desk.app import run

    return run(chosen.plan, chosen.charts, chosen.terrain)


def _job_without_screen(chosen: argparse.Namespace) -> int:
    if chosen.plan is None:
        raise UsageError("there is no screen to open the desk on", remedy="give a plan: lowline check PLAN")
    print("There is no screen here, so the desk stays closed; the same job is done without it.\n")
    assessment = _assessed(chosen)
    _print_report(assessment)
    target = Path(f"{chosen.plan.name.removesuffix('.geojson').removesuffix('.plan')}.briefing.pdf")
    write_briefing(assessment, target)
    print(f"\nBriefing written to {target}")
    return 0


def _print_report(assessment: Assessment) -> None:
    print(report_text(assessment))
    window = assessment.plan.window
    if window is not None and window.end_utc < datetime.now(UTC):
        print("\nNote: the plan's time window lies in the past; it was judged as of then.")


def _assessed(chosen: argparse.Namespace) -> Assessment:
    plan = read_plan(chosen.plan)
    world = surroundings(plan, chosen.charts, chosen.terrain, known_sets=known_chart_sets())
    return assess(plan, world)


def _parser() -> _OneLineParser:
    parser = _OneLineParser(prog="lowline", add_help=False, allow_abbrev=False)
    parser.add_argument("--charts", type=Path, action="append", metavar="PATH")
    parser.add_argument("--terrain", type=Path, metavar="FILE")
    return parser
