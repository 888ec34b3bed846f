"""The first groups of a report: kind, station, time of issue."""

import attrs

from planner.world.weather import patterns
from planner.world.weather.report import CodedTime, WeatherReportError

_LONGEST = 5_000


@attrs.define
class Groups:
    """The groups of a text, taken one by one from the front."""

    left: list[str]

    def take(self, *choices: str) -> str:
        """Return and drop the first group if it is one of `choices`, else ''."""
        if self.left and self.left[0] in choices:
            return self.left.pop(0)
        return ""

    def before(self, *marks: str) -> tuple[list[str], list[str]]:
        """Return the groups up to the first of `marks`, and those from it on."""
        for index, group in enumerate(self.left):
            if group in marks:
                return self.left[:index], self.left[index:]
        return self.left, []


def groups_of(text: str, what: str) -> Groups:
    """Return the groups of a report's text.

    Raises
    ------
    WeatherReportError
        If it is empty, too long to be one, or not plain text.
    """
    if len(text) > _LONGEST:
        raise WeatherReportError(
            f"the {what} is longer than {_LONGEST:,} characters", remedy="paste one only"
        )
    groups = text.strip().removesuffix("=").split()
    if not groups:
        raise WeatherReportError(f"the {what} is empty", remedy="paste its text")
    if not all(group.isascii() and group.isprintable() for group in groups):
        raise WeatherReportError(f"the {what} holds characters of no code", remedy="paste its text as issued")
    return Groups(groups)


def take_station(groups: Groups, what: str) -> str:
    """Return the four letters of the station and drop them."""
    if groups.left and patterns.STATION.fullmatch(groups.left[0]):
        return groups.left.pop(0)
    first = groups.left[0] if groups.left else ""
    named = first.upper() in ("METAR", "SPECI", "TAF") or patterns.STATION.fullmatch(first.upper())
    if named and first != first.upper():
        raise WeatherReportError(f"the {what} is not in capitals", remedy="paste it as it was issued")
    raise WeatherReportError(f"the {what} names no station", remedy="paste it from its first word on")


def take_issued(groups: Groups, what: str) -> CodedTime:
    """Return the time of issue and drop it."""
    found = patterns.ISSUED.fullmatch(groups.left[0]) if groups.left else None
    if found:
        issued = coded_time(found[1], found[2], found[3])
        if issued and issued.hour < 24:
            groups.left.pop(0)
            return issued
    raise WeatherReportError(f"the {what} has no time of issue", remedy="it looks like 251753Z")


def coded_time(day: str, hour: str, minute: str = "00") -> CodedTime | None:
    """Return a time of the code, None if there is none such."""
    time = CodedTime(int(day), int(hour), int(minute))
    whole_day = time.hour == 24 and time.minute == 0
    if 1 <= time.day <= 31 and (time.hour < 24 or whole_day) and time.minute < 60:
        return time
    return None
