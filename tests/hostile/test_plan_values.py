"""Plan files with wrong values in the member `lowline`: each gives one clear line."""

import pytest

from tests.hostile.plan_complaints import Change, changed, complaint


@pytest.mark.parametrize(
    ("change", "where", "message"),
    [
        (lambda m: m["area"]["top"].pop("reference"), "lowline.area.top", "a height has no reference"),
        (lambda m: m["area"].update(top=36.6), "lowline.area.top", "a height has no reference"),
        (
            lambda m: m["path"][2].update(height=36.6),
            "path point 3 (lowline.path[2].height)",
            "a height has no reference",
        ),
        (lambda m: m["path"][2].pop("height"), "path point 3 (lowline.path[2].height)", "is missing"),
        (
            lambda m: m["area"]["top"].update(reference="above-sea"),
            "lowline.area.top",
            "unknown reference 'above-sea'",
        ),
        (lambda m: m["area"]["top"].update(reference=5), "lowline.area.top", "the reference 5"),
        (lambda m: m["area"]["top"].update(ft=5), "lowline.area.top", "not a reference and a number m"),
        (lambda m: m["area"]["top"].update(m="60"), "lowline.area.top", "is '60', not a finite number"),
        (lambda m: m["area"]["top"].update(m=float("nan")), "lowline.area.top", "is nan, not a finite"),
        (lambda m: m["area"]["top"].update(m=True), "lowline.area.top", "is True, not a finite"),
        (lambda m: m["area"]["top"].update(m=10_001), "lowline.area.top", "is not between -500 and 10000 m"),
        (
            lambda m: m["aircraft"].update(take_off_weight_kg=-1),
            "lowline.aircraft.take_off_weight_kg",
            "not from 0.005 to 250 kg",
        ),
        (
            lambda m: m["aircraft"].update(take_off_weight_kg="0.68"),
            "lowline.aircraft.take_off_weight_kg",
            "is '0.68', not a finite number",
        ),
        (
            lambda m: m["aircraft"].update(take_off_weight_kg=True),
            "lowline.aircraft.take_off_weight_kg",
            "is True, not a finite number",
        ),
        (
            lambda m: m["aircraft"].pop("take_off_weight_kg"),
            "lowline.aircraft.take_off_weight_kg",
            "is missing",
        ),
        (
            lambda m: m["aircraft"]["battery"].update(cells=6.0),
            "lowline.aircraft.battery.cells",
            "is 6.0, not a whole number",
        ),
        (
            lambda m: m["aircraft"]["radios"][1].update(use="picture"),
            "lowline.aircraft.radios[1].use",
            "is 'picture'; use one of control, video",
        ),
        (
            lambda m: m["aircraft"].update(propeller_guards=0),
            "lowline.aircraft.propeller_guards",
            "is 0, not true or false",
        ),
        (lambda m: m["aircraft"].update(wings=2), "lowline.aircraft", "the key 'wings' is not known"),
        (lambda m: m.update(verdict="ready"), "lowline", "the key 'verdict' is not known"),
        (lambda m: m.update(name=5), "lowline.name", "is 5, not a text"),
        (lambda m: m.update(name=["x"]), "lowline.name", "is a list, not a text"),
        (lambda m: m.update(name="\ud800"), "lowline.name", "holds half a character"),
        (lambda m: m.update(saved_as_draft="false"), "lowline.saved_as_draft", "is 'false', not true"),
        (lambda m: m.update(saved_as_draft=None), "lowline.saved_as_draft", "is null, not true or false"),
        (lambda m: m.update(chart_sets="demo"), "lowline.chart_sets", "is 'demo', not a list"),
        (lambda m: m.update(chart_sets={"demo": 1}), "lowline.chart_sets", "is an object, not a list"),
        (lambda m: m.update(chart_sets=[1]), "lowline.chart_sets[0]", "is 1, not a text"),
        (lambda m: m.update(structures_standing=[["x"]]), "lowline.structures_standing[0]", "is a list"),
        (lambda m: m.update(crew={}), "lowline.crew", "is an object, not a list"),
        (lambda m: m.update(crew=5), "lowline.crew", "is 5, not a list"),
        (lambda m: m.update(launch=5), "lowline.launch", "is 5, not an object"),
        (lambda m: m.update(area=[]), "lowline.area", "is a list, not an object"),
        (lambda m: m.update(path=[1, 2, 3]), "path point 1 (lowline.path[0])", "is 1, not an object"),
        (lambda m: m["crew"][2].update(key="pilot"), "lowline", "two crew members have the same key"),
        (lambda m: m["crew"][2].update(key=" "), "lowline.crew[2].key", "is empty"),
        (lambda m: m["crew"].append(None), "lowline.crew[3]", "is null, not an object"),
        (
            lambda m: m["crew"][1]["tried_ranges"][0].update(on="2026-05-32"),
            "lowline.crew[1].tried_ranges[0].on",
            "'2026-05-32' is not a date",
        ),
        (
            lambda m: m["window"].update(start_utc="2026-08-01T19:00:00"),
            "lowline.window.start_utc",
            "no offset from UTC",
        ),
        (lambda m: m["window"].update(start_utc=5), "lowline.window.start_utc", "is 5, not a time"),
        (
            lambda m: m["window"].update(start_utc="0001-01-01T00:00:00+10:00"),
            "lowline.window.start_utc",
            "is not a time",
        ),
        (lambda m: m["window"].update(end_utc="2026-08-01T19:00:00Z"), "lowline.window", "ends before"),
        (lambda m: m["window"].update(zone="../../etc/passwd"), "lowline.window", "is not known"),
        (lambda m: m["window"].update(zone="\0"), "lowline.window", "is not known"),
        (lambda m: m["area"].pop("drawn_clockwise"), "lowline.area.drawn_clockwise", "is missing"),
        (lambda m: m["area"].update(drawn_clockwise=1), "lowline.area.drawn_clockwise", "is 1, not true"),
        (lambda m: m.update({"x\n\x1b[31m" + "y" * 9_000: 1}), "lowline", "is not known"),
    ],
)
def test_wrong_values(change: Change, where: str, message: str):
    line = complaint(changed(lambda document: change(document["lowline"])))
    assert where in line
    assert message in line
