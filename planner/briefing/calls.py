"""The calls of observer and pilot: short phrases of our own, and what the other does then."""

from planner.plan.sheet import CallTimes, SheetNotes

Call = tuple[str, str]


def calls_of(notes: SheetNotes | None) -> tuple[Call, ...]:
    """Return the observer's calls in the order they are read aloud, each with what the pilot does."""
    times = notes.calls if notes else CallTimes()
    every, late = seconds(times.seen_every_s), seconds(times.seen_every_s + times.fading_s)
    return (
        ("SEEN", f"every {every}, unasked. None for {late}: pilot acts as on LOST"),
        ("FADING", f"pilot turns back toward you at once. After {seconds(times.fading_s)}: LOST"),
        ("LOST", f"pilot levels, climbs, comes back. Not seen after {seconds(times.lost_s)}: LAND"),
        (
            "TRAFFIC",
            f"+ LEFT or RIGHT, LOW. Pilot drops, moves away. Not clear in {seconds(times.traffic_s)}: LAND",
        ),
        ("PEOPLE", "somebody walks in beneath. Pilot turns away at once, within 2 s"),
        ("LAND", "pilot lands on the nearest clear ground, starts down within 2 s"),
        ("MOTORS OFF", "pilot stops the motors at once, wherever it is"),
    )


def pilot_call_of(notes: SheetNotes | None) -> Call:
    """Return the pilot's own call, with what the observer does."""
    times = notes.calls if notes else CallTimes()
    return (
        "NO PICTURE",
        f"pilot levels, climbs. You talk: left, right, up. Not back in {seconds(times.blind_s)}: pilot lands",
    )


def seconds(value_s: float) -> str:
    """Return seconds as they are counted aloud: '5 s'."""
    return f"{value_s:g} s"
