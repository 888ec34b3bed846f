"""The desk's job without a screen: check, compare, brief, export, request, template."""

import argparse
import json
import math
import os
import sys
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path

import attrs

from planner.assess import assess
from planner.assessment import Assessment
from planner.briefing.briefing import write_briefing
from planner.briefing.card import write_cards
from planner.briefing.check_json import check_json
from planner.briefing.compare_text import compare_json, compare_text
from planner.briefing.export import write_export
from planner.briefing.naming import named_as_its_file
from planner.briefing.out_name import keep_plans
from planner.briefing.report_text import report_text
from planner.briefing.request_sheet import write_request
from planner.briefing.template_copy import write_template
from planner.chart_folders import known_chart_sets
from planner.errors import UsageError
from planner.plan.file import plan_name, read_plan
from planner.plan.model import Plan
from planner.plan.weather import PlannedWeather
from planner.remedy.compare import compare
from planner.surroundings import surroundings
from planner.world.readers.report_file import read_report_file

CHANGED = 40
"""Exit code of `lowline compare` where the verdict, what decides it, or a permission changed."""
_WIDEST_MARGIN_M = 5_000.0


def run_without_screen(command: str, words: Sequence[str], parser: argparse.ArgumentParser) -> int:
    """Run one of the commands that need no screen; return the exit code.

    `parser` already knows the options that say which charts to use.

    Raises
    ------
    LowlineError
        If an input can't be read, an output can't be written, or the words make no command.
    """
    if command == "template":
        return _template(words, parser)
    if command == "compare":
        return _compare(words, parser)
    parser.add_argument("plan", type=Path, metavar="PLAN")
    _take_reports(parser)
    if command == "check":
        parser.add_argument("--json", action="store_true")
    else:
        parser.add_argument("-o", "--output", type=Path, required=True, metavar="FILE")
    if command == "brief":
        parser.add_argument("--paper", choices=("letter", "a4"), default="letter")
        parser.add_argument("--template", type=Path, metavar="FOLDER")
    if command == "request":
        parser.add_argument("--margin", type=_margin_m, metavar="METRES")
    chosen = parser.parse_args(words)
    if command != "check":
        keep_plans(chosen.output, chosen.plan)
    assessment = _assessed(chosen)
    if command != "check":
        said = _WRITERS[command](named_as_its_file(assessment, chosen.plan), chosen)
        say(f"{assessment.verdict.words}. {said}")
        return 0
    if chosen.json:
        say(json.dumps(check_json(assessment), indent=1, allow_nan=False))
    else:
        _print_report(assessment)
    return assessment.verdict.exit_code


def _take_reports(parser: argparse.ArgumentParser) -> None:
    for name in ("--metar", "--taf"):
        parser.add_argument(name, type=Path, metavar="FILE")


def _margin_m(words: str) -> float:
    try:
        margin_m = float(words)
    except ValueError:
        margin_m = math.nan
    if not 0.0 <= margin_m <= _WIDEST_MARGIN_M:
        raise argparse.ArgumentTypeError(f"'{words}' is no margin of 0 to {_WIDEST_MARGIN_M:.0f} metres")
    return margin_m


def _template(words: Sequence[str], parser: argparse.ArgumentParser) -> int:
    parser.add_argument("folder", type=Path, metavar="FOLDER")
    chosen = parser.parse_args(words)
    write_template(chosen.folder)
    say(f"Template written to {chosen.folder}. Use it: lowline brief PLAN -o FILE.pdf --template FOLDER")
    return 0


def _compare(words: Sequence[str], parser: argparse.ArgumentParser) -> int:
    parser.add_argument("plan", type=Path, metavar="PLAN")
    parser.add_argument("other", type=Path, metavar="OTHER", nargs="?")
    parser.add_argument("--json", action="store_true")
    _take_reports(parser)
    chosen = parser.parse_args(words)
    others = [*(chosen.charts or ()), *(one for one in (chosen.terrain, chosen.metar, chosen.taf) if one)]
    if chosen.other is None and not others:
        raise UsageError(
            "there is nothing to compare the plan with",
            remedy="give another plan, or other data: lowline compare PLAN --charts PATH",
        )
    names = [str(chosen.plan), str(chosen.other)]
    if chosen.other is None:
        # One plan: by its own charts, then by what is given in their place.
        own = argparse.Namespace(plan=chosen.plan, charts=None, terrain=None, metar=None, taf=None)
        both = compare(_assessed(own), _assessed(chosen))
        its_own = "reports" if chosen.metar or chosen.taf else "charts"
        names = [f"{chosen.plan} by its own {its_own}", f"by {', '.join(map(str, others))}"]
    else:
        other = argparse.Namespace(**{**vars(chosen), "plan": chosen.other})
        both = compare(_assessed(chosen), _assessed(other))
    if chosen.json:
        say(json.dumps(compare_json(both, *names), indent=1, allow_nan=False))
    else:
        say(compare_text(both, *names))
    return CHANGED if both.weighty else 0


def _brief(assessment: Assessment, chosen: argparse.Namespace) -> str:
    if chosen.output.suffix.casefold() == ".png":
        cards = write_cards(assessment, chosen.output, template=chosen.template)
        return f"Card{'s' if len(cards) > 1 else ''} written to {', '.join(map(str, cards))}"
    write_briefing(assessment, chosen.output, paper=chosen.paper, template=chosen.template)
    return f"Briefing written to {chosen.output}"


def _export(assessment: Assessment, chosen: argparse.Namespace) -> str:
    write_export(assessment, chosen.output)
    return f"Flight written to {chosen.output}"


def _request(assessment: Assessment, chosen: argparse.Namespace) -> str:
    late = write_request(assessment, chosen.output, chosen.margin, datetime.now(UTC))
    return "\n".join([f"Request written to {chosen.output}", *late])


_WRITERS: Mapping[str, Callable[[Assessment, argparse.Namespace], str]] = {
    "brief": _brief,
    "export": _export,
    "request": _request,
}


def do_the_desks_job(chosen: argparse.Namespace) -> int:
    """Say that there is no screen, print the assessment and write the briefing; return 0.

    Raises
    ------
    LowlineError
        If no plan is given, it can't be read, or the briefing can't be written.
    """
    if chosen.plan is None:
        raise UsageError("there is no screen to open the desk on", remedy="give a plan: lowline check PLAN")
    assessment = _assessed(argparse.Namespace(**vars(chosen), metar=None, taf=None))
    say("There is no screen here, so the desk stays closed; the same job is done without it.\n")
    _print_report(assessment)
    target = Path(f"{plan_name(chosen.plan)}.briefing.pdf")
    write_briefing(named_as_its_file(assessment, chosen.plan), target)
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
    plan = with_reports(read_plan(chosen.plan), chosen.metar, chosen.taf)
    world = surroundings(plan, chosen.charts, chosen.terrain, known_sets=known_chart_sets())
    return assess(plan, world)


def with_reports(plan: Plan, metar: Path | None, taf: Path | None) -> Plan:
    """Return a plan with the reports of text files in place of its own; None leaves what it has."""
    weather = plan.weather or PlannedWeather()
    if metar is not None:
        weather = attrs.evolve(weather, metar=read_report_file(metar, forecast=False))
    if taf is not None:
        weather = attrs.evolve(weather, taf=read_report_file(taf, forecast=True))
    return plan if metar is None and taf is None else attrs.evolve(plan, weather=weather)
