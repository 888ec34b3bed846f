"""The desk's job without a screen: check, brief, request."""

import argparse
import json
import os
import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from planner.assess import assess
from planner.assessment import Assessment
from planner.briefing.briefing import write_briefing
from planner.briefing.check_json import check_json
from planner.briefing.report_text import report_text
from planner.briefing.request_sheet import write_request
from planner.chart_folders import known_chart_sets
from planner.errors import UsageError
from planner.plan.file import read_plan
from planner.surroundings import surroundings


def run_without_screen(command: str, words: Sequence[str], parser: argparse.ArgumentParser) -> int:
    """Run check, brief or request; return the exit code.

    `parser` already knows the options that say which charts to use.

    Raises
    ------
    LowlineError
        If an input can't be read, an output can't be written, or the words make no command.
    """
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
        say(f"{assessment.verdict.words}. Briefing written to {chosen.output}")
        return 0
    if command == "request":
        write_request(assessment, chosen.output)
        say(f"{assessment.verdict.words}. Request written to {chosen.output}")
        return 0
    if chosen.json:
        say(json.dumps(check_json(assessment), indent=1, allow_nan=False))
    else:
        _print_report(assessment)
    return assessment.verdict.exit_code


def do_the_desks_job(chosen: argparse.Namespace) -> int:
    """Say that there is no screen, print the assessment and write the briefing; return 0.

    Raises
    ------
    LowlineError
        If no plan is given, it can't be read, or the briefing can't be written.
    """
    if chosen.plan is None:
        raise UsageError("there is no screen to open the desk on", remedy="give a plan: lowline check PLAN")
    assessment = _assessed(chosen)
    say("There is no screen here, so the desk stays closed; the same job is done without it.\n")
    _print_report(assessment)
    target = Path(f"{chosen.plan.name.removesuffix('.geojson').removesuffix('.plan')}.briefing.pdf")
    write_briefing(assessment, target)
    say(f"\nBriefing written to {target}")
    return 0


def _print_report(assessment: Assessment) -> None:
    say(report_text(assessment))
    window = assessment.plan.window
    if window is not None and window.end_utc < datetime.now(UTC):
        say("\nNote: the plan's time window lies in the past; it was judged as of then.")


def say(text: str) -> None:
    """Print; a reader who has heard enough and closed the pipe is no error."""
    try:
        print(text, flush=True)
    except BrokenPipeError:
        # What is still buffered would fail again when the interpreter ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _assessed(chosen: argparse.Namespace) -> Assessment:
    plan = read_plan(chosen.plan)
    world = surroundings(plan, chosen.charts, chosen.terrain, known_sets=known_chart_sets())
    return assess(plan, world)
