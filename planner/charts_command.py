"""`lowline charts`: add publishers' files to a chart set, list what it holds, check that it is current."""

import argparse
import re
import sys
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

from planner.chart_folders import known_chart_sets, user_chart_dir
from planner.chart_report import (
    LayerReport,
    bounds_words,
    consequence_words,
    count_words,
    held_by,
    set_report,
    source_words,
    standing_words,
    title_words,
)
from planner.errors import UsageError
from planner.geo.progress import Progress, Unwatched
from planner.geo.window import TimeWindow
from planner.world.currency import LayerState
from planner.world.layers import LayerName, LayerRecord
from planner.world.readers.moments import moment_of
from planner.world.set_record import FILE_NAME
from planner.world.store.adding import Added, Identity, Statement, add_files, made_for
from planner.world.store.covers import JURISDICTION, outline_of
from planner.world.store.reading import set_record
from planner.world.terrain import SurfaceKind

SUBCOMMANDS = ("add", "list", "check")
CURRENT, NOT_RELIABLE = 0, 30

HELP = """\
lowline charts add --into SET FILE...   put publishers' files into a chart set, all of them or none
lowline charts list [SET]               what a set holds, or which sets there are
lowline charts check SET [--at DAY]     whether each layer can be relied on that day (today):
                                        exit code 0 yes, 30 not all restricting layers, 2 bad input

SET is the id of a set in your own chart folder, or a folder. Each layer in the files replaces the
one that was there; files of one layer given together become that layer together.

What the publisher states goes in with it; nothing of it is guessed:
--publisher NAME     who published the files
--effective DAY      from when they hold, --expires DAY until when (YYYY-MM-DD, or with a time, in UTC);
                     a facility map's own date, and dates written in a file, are taken from the file
--cycle 28|56        instead of --expires: the edition ends with the cycle that begins on its first day
--covers WHERE       where the files are complete: west,south,east,north in degrees, a file with polygons,
                     or the word jurisdiction: all of the set's jurisdiction. For a whole country's file
                     give the country's outline once, as --area when the set is made, and say
                     --covers jurisdiction from then on. Without it a file shows what it contains and
                     never the absence of anything else; the extent of its features is no coverage.
--layer NAME         what the files are, where their attributes don't tell (roads, stadium_events ...)

The first file makes the set, and then the set must say whose rules it is for:
--jurisdiction CODE  such as US, with --jurisdiction-name NAME, --area WHERE and --title TEXT

For terrain: --surface bare-earth|surface, --vertical-datum NAME, --horizontal-uncertainty METRES,
--vertical-uncertainty METRES
"""


def run_charts(words: Sequence[str], parser: argparse.ArgumentParser) -> int:
    """Run `lowline charts`; return its exit code. `parser` is an empty one that raises UsageError.

    Raises
    ------
    LowlineError
        If input can't be used or the set can't be written.
    """
    if not words or words[0] not in SUBCOMMANDS:
        raise UsageError("say what to do with charts", remedy="lowline charts add, list or check; see --help")
    commands: dict[str, Callable[[Sequence[str], argparse.ArgumentParser], int]] = {
        "add": _add,
        "list": _list,
        "check": _check,
    }
    return commands[words[0]](list(_with_boxes(words[1:])), parser)


def _with_boxes(words: Sequence[str]) -> Iterator[str]:
    """Yield the words, a box that begins with a minus sign joined to its option: else it looks like one."""
    waiting = ""
    for word in words:
        if waiting:
            box = bool(re.match(r"-\d[^,]*,", word))
            yield from [f"{waiting}={word}"] if box else [waiting, word]
            waiting = ""
        elif word in {"--covers", "--area"}:
            waiting = word
        else:
            yield word
    if waiting:
        yield waiting


def _add(words: Sequence[str], parser: argparse.ArgumentParser) -> int:
    parser.add_argument("files", type=Path, nargs="+", metavar="FILE")
    parser.add_argument("--into", required=True, metavar="SET")
    for name in ("--publisher", "--effective", "--expires", "--covers", "--vertical-datum"):
        parser.add_argument(name, default="")
    parser.add_argument("--cycle", type=int, choices=(28, 56))
    parser.add_argument("--layer", choices=[name.value for name in LayerName])
    parser.add_argument("--surface", choices=[kind.value for kind in SurfaceKind], default="unknown")
    parser.add_argument("--horizontal-uncertainty", type=float)
    parser.add_argument("--vertical-uncertainty", type=float)
    for name in ("--title", "--jurisdiction", "--jurisdiction-name", "--area"):
        parser.add_argument(name, default="")
    chosen = parser.parse_args(list(words))
    for path in chosen.files:
        if not path.is_file():
            raise UsageError("no such file", remedy=f"check the name {str(path)!r}")
    dates = {name: _day(name, getattr(chosen, name)) for name in ("effective", "expires")}
    folder = _folder(chosen.into)
    identity = _new_set(folder, chosen)
    area = identity.area if identity else set_record(folder).jurisdiction.area
    statement = Statement(
        publisher=chosen.publisher,
        **dates,
        cycle_days=chosen.cycle,
        covers=outline_of(chosen.covers, area) if chosen.covers else None,
        layer=LayerName(chosen.layer) if chosen.layer else None,
        surface=SurfaceKind(chosen.surface),
        vertical_datum=chosen.vertical_datum,
        horizontal_uncertainty_m=_metres(chosen.horizontal_uncertainty),
        vertical_uncertainty_m=_metres(chosen.vertical_uncertainty),
    )
    with made_for(folder, identity), _progress() as progress:
        added = add_files(folder, chosen.files, statement, progress)
    for layer in added:
        print(_added_words(layer))
    print(f"Chart set {set_record(folder).id}: {folder}")
    return CURRENT


def _list(words: Sequence[str], parser: argparse.ArgumentParser) -> int:
    parser.add_argument("set", nargs="?", metavar="SET")
    chosen = parser.parse_args(list(words))
    if chosen.set is None:
        return _list_sets()
    record = set_record(_existing(chosen.set))
    print(title_words(record))
    for held in held_by(record):
        print(f"\n{held.record.name.value}: {source_words(held.record)}")
        print(f"  {_dates(held.record)}; {bounds_words(held.record)}")
        print(f"  {count_words(held)}{f', imported {held.imported}' if held.imported else ''}")
    return CURRENT


def _list_sets() -> int:
    known = known_chart_sets()
    for name, folder in sorted(known.items()):
        print(f"{name}: {folder}")
    for name in sorted(known.doubles):
        print(f"!! {known.trouble_with(name)}")
    for why in sorted(known.unread.values()):
        print(f"!! {why}")
    return NOT_RELIABLE if known.doubles or known.unread else CURRENT


def _check(words: Sequence[str], parser: argparse.ArgumentParser) -> int:
    parser.add_argument("set", metavar="SET")
    parser.add_argument("--at", default="", metavar="DAY")
    chosen = parser.parse_args(list(words))
    window = _window(chosen.at)
    report = set_report(_existing(chosen.set), window)
    print(f"{title_words(report.record)}, on {window.start_utc:%Y-%m-%d}")
    absent = [layer for layer in report.layers if layer.absent and not layer.needed]
    for layer in report.layers:
        if layer not in absent:
            _print_layer(layer)
    if absent:
        names = ", ".join(layer.layer.value for layer in absent)
        print(f"\nNot in the set, so they grant nothing and count as not checked: {names}")
    reliable = all(layer.state is LayerState.OK for layer in report.layers if layer.needed)
    return CURRENT if reliable else NOT_RELIABLE


def _print_layer(layer: LayerReport) -> None:
    sign = "ok" if layer.state is LayerState.OK else "!!"
    print(f"\n{sign} {layer.layer.value} ({layer.weight.value}) {standing_words(layer)}")
    for held in layer.held:
        print(f"   {source_words(held.record)}\n   {_dates(held.record)}; {bounds_words(held.record)}")
        print(f"   {count_words(held)}")
        for why in held.quality.reasons:
            print(f"   refused: {why}")
    if layer.state is not LayerState.OK:
        print(f"   {consequence_words(layer)}; {_ADVICE[layer.state]}")


_ADVICE = {
    LayerState.MISSING: "add it from its publisher",
    LayerState.EXPIRED: "add the publisher's current edition",
    LayerState.NOT_YET_EFFECTIVE: "add the edition that is in force",
    LayerState.UNDATED: "add it again with --effective and --expires, or --cycle",
    LayerState.NOT_COVERING: "add it again with --covers",
    LayerState.DAMAGED: "add it again, from a file that is whole",
    LayerState.OTHER_JURISDICTION: "use a set of the place's own jurisdiction",
}


def _dates(layer: LayerRecord) -> str:
    begin = f"{layer.effective_utc:%Y-%m-%d %H:%MZ}" if layer.effective_utc else "not stated"
    end = f"{layer.expires_utc:%Y-%m-%d %H:%MZ}" if layer.expires_utc else "not stated"
    return f"from {begin} until {end}"


def _added_words(added: Added) -> str:
    entry, found = added.entry, added.quality
    lines = [f"{added.layer.value}: {entry['source']}"]
    if found.read is not None:
        lines.append(
            f"  {found.read:,} features read, {found.repaired:,} repaired, {found.refused:,} refused"
        )
    lines.extend(f"  refused: {why}" for why in found.reasons)
    lines.append(f"  from {entry['effective'] or 'not stated'} until {entry['expires'] or 'not stated'}")
    if added.said:
        lines.append(f"  {added.said}")
    if not entry["coverage"]:
        lines.append("  coverage none: say with --covers where it is complete, else no plan rests on it")
    if added.replaced:
        lines.append(f"  in place of {added.replaced}")
    return "\n".join(lines)


def _folder(given: str) -> Path:
    """Return the folder of a set named by id or path; it need not exist."""
    path = Path(given)
    if path.is_dir() or path.name != given:
        return path
    known = known_chart_sets()
    if given in known:
        return known[given]
    if given in known.doubles:
        raise UsageError(known.trouble_with(given), remedy="or name the folder instead of the id")
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9._-]{0,63}", given):
        raise UsageError(f"{given!r} is no id of a chart set", remedy="use letters, digits, . _ and -")
    return user_chart_dir() / given


def _existing(given: str) -> Path:
    folder = _folder(given)
    if not (folder / FILE_NAME).is_file():
        raise UsageError(
            f"there is no chart set {given!r}", remedy="lowline charts list names those that are at hand"
        )
    return folder


def _new_set(folder: Path, chosen: argparse.Namespace) -> Identity | None:
    """Return what to call a set that is not there yet; None where it is."""
    given = [name for name in ("title", "jurisdiction", "jurisdiction_name", "area") if getattr(chosen, name)]
    if (folder / FILE_NAME).is_file():
        if given:
            raise UsageError(
                f"the chart set is there already, so --{given[0].replace('_', '-')} can't be set anew",
                remedy="leave it out",
            )
        if set_record(folder).jurisdiction.invented:
            raise UsageError("this chart set is invented", remedy="make a set of your own for real charts")
        return None
    if not chosen.jurisdiction:
        raise UsageError(
            f"there is no chart set {chosen.into!r} yet",
            remedy="to make it, say whose rules it is for: --jurisdiction CODE, best with --area WHERE",
        )
    if chosen.area == JURISDICTION:
        raise UsageError("--area can't be 'jurisdiction'", remedy="give a box or a file with polygons")
    return Identity(
        id=folder.resolve().name,
        title=chosen.title or folder.resolve().name,
        jurisdiction=chosen.jurisdiction,
        jurisdiction_name=chosen.jurisdiction_name,
        area=outline_of(chosen.area) if chosen.area else None,
    )


def _day(name: str, text: str) -> str:
    if text and moment_of(text) is None:
        raise UsageError(f"--{name} {text!r} is no date", remedy="write it like 2026-11-26")
    return text


def _window(text: str) -> TimeWindow:
    if not text:
        now = datetime.now(UTC)
        return TimeWindow(now, now + timedelta(minutes=1))
    begin = moment_of(text)
    if begin is None:
        raise UsageError(f"--at {text!r} is no date", remedy="write it like 2026-11-26")
    whole_day = len(text.strip()) <= len("2026-11-26")
    return TimeWindow(begin, begin + (timedelta(days=1) if whole_day else timedelta(minutes=1)))


def _metres(value: float | None) -> float | None:
    if value is not None and not 0.0 <= value < float("inf"):
        raise UsageError(f"an uncertainty of {value} m can't be", remedy="give metres from zero up")
    return value


class _Bar:
    """Progress on one line of a terminal."""

    def __init__(self) -> None:
        self._shown = -1

    def report(self, share: float) -> None:
        percent = round(100 * share)
        if percent > self._shown:
            self._shown = percent
            print(f"\r{percent:3d} %", end="", file=sys.stderr, flush=True)

    def __enter__(self) -> Progress:
        return self

    def __exit__(self, *_exception: object) -> None:
        print("\r     \r", end="", file=sys.stderr, flush=True)


class _Silent(Unwatched):
    def __enter__(self) -> Progress:
        return self

    def __exit__(self, *_exception: object) -> None:
        return


def _progress() -> "_Bar | _Silent":
    return _Bar() if sys.stderr.isatty() else _Silent()
