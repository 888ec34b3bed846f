"""A weather report out of a text file, as it was issued."""

import re
from pathlib import Path
from typing import Final

from planner.errors import ChartError, LowlineError
from planner.world.weather.metar import read_metar
from planner.world.weather.taf import read_taf

LARGEST_BYTES = 20_000
"""No report is nearly as long: own choice."""

_DATE_ALONE: Final = re.compile(r"\s*\d{4}[/-]\d\d[/-]\d\d[ T]\d\d:?\d\d(?::?\d\d)?Z?\s*")
"""As weather offices put the hour of receipt before a report. A report names no month: that would be lost."""


def read_report_file(path: Path, *, forecast: bool) -> str:
    """Return the text of a METAR or SPECI, or of a TAF, without blank lines at its end.

    Raises
    ------
    LowlineError
        If it can't be read, is far too long, or is no such report.
    """
    kind = "TAF" if forecast else "METAR"
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise _refused(path, f"can't be read ({error.strerror or error})", "check its name") from error
    if len(data) > LARGEST_BYTES:
        raise _refused(path, f"is far too long for a {kind}", f"choose a file with one {kind} alone")
    try:
        text = data.decode("utf-8-sig").rstrip()
    except UnicodeDecodeError as error:
        raise _refused(path, "is no plain text", f"choose a text file with one {kind}") from error
    first, *rest = text.splitlines() or [""]
    if rest and _DATE_ALONE.fullmatch(first):
        why = f"begins with a date ({first.strip()}), which is no part of a {kind}"
        raise _refused(path, why, "see that it is the day of the flight, then take that line out")
    try:
        _ = read_taf(text) if forecast else read_metar(text)
    except LowlineError as error:
        raise _refused(path, f"is no {kind} ({error.what})", f"choose a text file with one {kind}") from error
    return text


def _refused(path: Path, why: str, remedy: str) -> LowlineError:
    return ChartError(why, where=path.name, remedy=remedy)
