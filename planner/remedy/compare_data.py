"""What changed in the data an answer rests on: which layer, whose, from when to when, how it stands."""

from collections.abc import Iterator
from datetime import datetime

from planner.assessment import Assessment
from planner.remedy.compare_change import Change, Kind, Topic, paired
from planner.rules.data_status import DataStatus
from planner.rules.unknowns import Weight
from planner.world.currency import LayerState
from planner.world.extent import Extent
from planner.world.layers import LayerName, LayerRecord

_STATES = {
    LayerState.OK: "good for this flight",
    LayerState.UNDATED: "without dates",
    LayerState.EXPIRED: "expired",
    LayerState.NOT_YET_EFFECTIVE: "not yet in force",
    LayerState.DAMAGED: "can't be read",
    LayerState.OTHER_JURISDICTION: "made for another jurisdiction",
    LayerState.NOT_COVERING: "does not cover this place",
    LayerState.MISSING: "missing",
}
_NOT_STATED = "not stated"
_OF_ITSELF = frozenset({"publisher", "source"})


def data_changes(before: Assessment, after: Assessment) -> Iterator[Change]:
    """Yield chart sets, how each layer stands, then each layer's records."""
    yield from _sets(before.plan.chart_sets, after.plan.chart_sets)
    places = [Extent.around(answer.plan.places()) for answer in (before, after)]
    states = [{status.layer: status for status in answer.data} for answer in (before, after)]
    for layer in LayerName:
        old, new = (state.get(layer) for state in states)
        if old is not None and new is not None and old.state is not new.state:
            yield _changed(layer, "", (_STATES[old.state], _STATES[new.state]))
        # How many features were read depends on the place, too.
        yield from _records(before, after, layer, counted=places[0] == places[1])
    if before.world.invented != after.world.invented:
        words = ("invented" if answer.world.invented else "real" for answer in (before, after))
        yield Change(Topic.DATA, Kind.CHANGED, "invented", "Charts of an invented place", words)


def data_not_compared(before: Assessment, after: Assessment) -> Iterator[str]:
    """Yield, without a full stop, the restricting layers on which neither side can be relied."""
    names = [
        _called(new.layer)
        for old, new in zip(before.data, after.data, strict=True)
        if _open(old) and _open(new)
    ]
    if names:
        yield f"What these layers would show is not known on either side: {', '.join(names)}"


def _open(status: DataStatus) -> bool:
    return status.weight is Weight.RESTRICTING and status.state is not LayerState.OK


def _sets(old: tuple[str, ...], new: tuple[str, ...]) -> Iterator[Change]:
    for name in old:
        if name not in new:
            yield Change(Topic.DATA, Kind.GONE, f"set:{name}", f"Chart set {name}", ("judged by", ""))
    for name in new:
        if name not in old:
            yield Change(Topic.DATA, Kind.APPEARED, f"set:{name}", f"Chart set {name}", ("", "judged by"))
    if old != new and sorted(old) == sorted(new):
        words = (", ".join(sets) for sets in (old, new))
        yield Change(Topic.DATA, Kind.CHANGED, "set-order", "Order of the chart sets", words)


def _records(before: Assessment, after: Assessment, layer: LayerName, *, counted: bool) -> Iterator[Change]:
    facts = [
        [_facts(record, counted=counted) for record in answer.world.layers if record.name is layer]
        for answer in (before, after)
    ]
    both, gone, new = paired(facts[0], facts[1], lambda fact: fact["chart set"])
    for fact in gone:
        yield Change(Topic.DATA, Kind.GONE, f"layer:{layer.value}", _title(layer), (_row(fact), ""))
    for fact in new:
        yield Change(Topic.DATA, Kind.APPEARED, f"layer:{layer.value}", _title(layer), ("", _row(fact)))
    for old, now in both:
        for name in old:
            if old[name] != now[name]:
                yield _changed(layer, name, (old[name] or _NOT_STATED, now[name] or _NOT_STATED))


def _facts(record: LayerRecord, *, counted: bool) -> dict[str, str]:
    return {
        "publisher": record.publisher,
        "source": record.source,
        "in force from": _day(record.effective_utc),
        "expires": _day(record.expires_utc),
        "chart set": record.chart_set,
        "damage": record.damage,
        "features": f"{record.features:,}" if counted else "",
        "coverage": "stated" if record.coverage is not None else "",
    }


def _day(at_utc: datetime | None) -> str:
    return f"{at_utc.day} {at_utc:%b %Y %H:%M} UTC" if at_utc else ""


def _row(fact: dict[str, str]) -> str:
    said = {name: value for name, value in fact.items() if value and name != "coverage"}
    words = (value if name in _OF_ITSELF else f"{name} {value}" for name, value in said.items())
    return ", ".join(words) or _NOT_STATED


def _changed(layer: LayerName, about: str, words: tuple[str, str]) -> Change:
    title = f"{_title(layer)}{f': {about}' if about else ''}"
    return Change(Topic.DATA, Kind.CHANGED, f"layer:{layer.value}", title, words)


def _title(layer: LayerName) -> str:
    name = _called(layer)
    return f"{name[:1].upper()}{name[1:]}"


def _called(layer: LayerName) -> str:
    return layer.value.replace("_", " ")
