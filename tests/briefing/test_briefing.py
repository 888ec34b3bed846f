"""The briefing on paper: read back from the PDF as its readers would."""

import hashlib
import io
import os
import subprocess
import sys
from datetime import UTC, datetime

import attrs
import pytest
from geographiclib.geodesic import Geodesic
from pypdf import PdfReader

from planner.briefing import typesetting
from planner.briefing.briefing import briefing_pdf, stamps, write_briefing
from planner.briefing.points_table import points_table
from planner.briefing.template_copy import write_template
from planner.errors import OutputError
from planner.geo.heights import AboveGround
from planner.plan.crew import Contact, CrewMember, Role
from planner.plan.geometry import PathPoint
from planner.plan.model import Plan
from planner.rules.verdict import Verdict
from planner.wording import CAUTIONS
from planner.world.world import World
from tests.briefing import made
from tests.briefing.made_world import place

HOSTILE = (
    'O\'Brien "Q" #1',
    "$x^2$ *bold* _it_",
    "<b>&amp;</b>",
    "#panic() @ref",
    "\\u{41} `raw`",
    "Ελένη Ж Ørsted",
    "// no /* note */",
)


def pages(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


@pytest.fixture(scope="module")
def needed() -> list[str]:
    return pages(briefing_pdf(made.assessment()))


def bare_assessment(**changes):
    empty = {"findings": (), "permissions": (), "data": (), "recheck": (), "not_known": (), "world": World()}
    return made.assessment(Verdict.UNDETERMINED, Plan(), **(empty | changes))


@pytest.mark.parametrize(("paper", "size"), [("letter", (612, 792)), ("a4", (595.28, 841.89))])
def test_pages_of_the_paper_asked_for(paper, size):
    # ISO 216: A4 is 210 mm by 297 mm; letter is 8.5 in by 11 in (ANSI/ASME Y14.1). Common practice.
    reader = PdfReader(io.BytesIO(briefing_pdf(made.assessment(), paper=paper)))
    # Two observers who stand apart, the pilot, the papers.
    assert len(reader.pages) == 4
    for page in reader.pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(size, abs=0.1)


def test_observers_page_tells_what_an_observer_needs(needed):
    front = needed[0]
    told = (
        "Permission needed.", "ask for 200 ft", "Not to be flown as it stands.",
        "Wed 25 Nov 2026, 15:40 to 16:05 HST", "Land by 16:05",
        "Invented five-inch", "31 cm (12 in)", "0.68 kg (1.50 lb)", "anti-collision light, seen 3 mi",
        "C. Invented, stand", "37.79689° N 150.20216° W", "SEEN every 15 s, unasked",
        "FADING", "LOST", "TRAFFIC", "PEOPLE", "LAND", "MOTORS OFF", "NO PICTURE",
        "Twelve o’clock is", "magnetic", "Where it goes", "If the link is lost", "Look for, on foot",
        "Sunrise", "sunset", "civil twilight ends", "wind above", "visibility below", "cloud below",
        "notices not rechecked", "channel", "Remote ID", "readout not zeroed", "Launch 37.79", "Gate",
        "Emergency", "First aid", "Extinguisher",
    )  # fmt: skip
    assert [words for words in told if words not in front] == []


def test_each_observer_gets_a_page_of_their_own_place(needed):
    # Bearings by geographiclib, which is not what the program uses (pyproj).
    observers = [one for one in made.plan().crew if one.role is Role.OBSERVER]
    launch = made.plan().launch.place
    for one, page in zip(observers, needed, strict=False):
        assert f"for {one.name}, observer" in page
        here = Geodesic.WGS84.Inverse(launch.lat_deg, launch.lon_deg, one.place.lat_deg, one.place.lon_deg)
        away = f"{here['s12']:.0f} m" if here["s12"] < 1000 else f"{here['s12'] / 1000:.2f} km"
        assert f"{one.name}, stand {away} from launch, {round(here['azi1']) % 360:03d}° true" in page
        assert "twelve o’clock" in page.lower()
    assert needed[0].split("Where it goes")[1] != needed[1].split("Where it goes")[1]


def test_times_of_sun_are_rounded_toward_less_light(needed):
    # Independent of the program's rounding: the moments themselves, from planner.world.light (tested there).
    from planner.world.light import sun_times

    times = sun_times(made.plan().anchor(), datetime(2026, 11, 26, 1, 52, tzinfo=UTC))
    window = made.WINDOW
    front = needed[0]
    assert times.set_utc.second
    assert f"sunset {window.local(times.set_utc):%H:%M}" in front
    assert f"Sunrise {window.local(times.rise_utc.replace(second=0)):%H:%M}" not in front


def test_pilots_page_tells_what_only_the_pilot_needs(needed):
    told = (
        "Profile", "Points", "above ground", "in goggles", "never exceed", "over by 66 ft",
        "Battery and turn-back point", "If the link is lost", "Radios", "Nearest aerodromes",
    )  # fmt: skip
    assert [words for words in told if words not in needed[-2]] == []


def test_the_page_of_papers_tells_what_the_verdict_rests_on(needed):
    back = needed[-1]
    told = (
        "INVENTED FIELD (Class D)", "automated request", "minutes as a rule", "facility map: 200 ft",
        "14 CFR 107.41", "stadium events", "missing", "24 Dec 2026", "people on the spot",
        "notices and temporary restrictions: by 15:10",
        "To carry", "(a)(1)", "(a)(4)", "(f)", "Insurance", "Owner of the land", "emergency operations",
    )  # fmt: skip
    flat = back.replace("’", "'")
    assert [words for words in told if words not in flat] == []


def test_cautions_stand_with_the_papers_and_their_heart_on_every_page(needed):
    last = needed[-1].replace("’", "'")
    assert [words for words in CAUTIONS if words not in last] == []
    assert all("A plan, not a permission" in page for page in needed)


def test_a_ready_plan_says_until_when_and_carries_no_stamp_but_the_places():
    answer = made.assessment(Verdict.READY)
    front, *others = pages(briefing_pdf(answer))
    assert "Ready until 16:05." in front
    assert "Not to be flown" not in front
    for page in (front, *others):
        assert "INVENTED PLACE" in page
        assert "DRAFT" not in page
        assert "NOT READY" not in page


@pytest.mark.parametrize(
    ("verdict", "draft", "invented", "expected"),
    [
        (Verdict.READY, False, False, []),
        (Verdict.READY, True, False, ["DRAFT"]),
        (Verdict.PERMISSION_NEEDED, False, False, ["DRAFT", "NOT READY"]),
        (Verdict.UNDETERMINED, True, True, ["INVENTED PLACE", "DRAFT", "NOT READY"]),
        (Verdict.READY, False, True, ["INVENTED PLACE"]),
    ],
)
def test_stamps_say_what_is_true(verdict, draft, invented, expected):
    plan = made.plan(saved_as_draft=draft)
    answer = made.assessment(verdict, plan, world=made.world(invented=invented))
    assert stamps(answer) == expected
    for number, page in enumerate(pages(briefing_pdf(answer))):
        for words in ("INVENTED PLACE", "DRAFT", "NOT READY"):
            # Across the page and in the heading, behind the observers' pages in the foot, too: or never.
            assert page.count(words) == ((2 if number < 2 else 3) if words in expected else 0)


def crowd() -> Plan:
    roles = [Role.OBSERVER] * 4 + [Role.REMOTE_PILOT, Role.PERSON_AT_CONTROLS] + [Role.SPECTATOR] * 6
    names = [*HOSTILE, "Eighth", "", "Tenth", "Eleventh", "W" * 70]
    crew = tuple(
        CrewMember(
            f"k{index}", role, name, place(-200 + 40 * index, -300) if index % 4 else None,
            (None, Contact.RADIO, Contact.PHONE)[index % 3],
        )
        for index, (role, name) in enumerate(zip(roles, names, strict=True))
    )  # fmt: skip
    path = tuple(
        PathPoint(place(20 * step, 15 * step), AboveGround(60), name=f"p{step}") for step in range(60)
    )
    return made.plan(name='Ridge #1 $x$ *y* <z> "q"', crew=crew, path=path)


@pytest.fixture(scope="module")
def crowded() -> list[str]:
    return pages(briefing_pdf(made.assessment(Verdict.MUST_CHANGE, crowd())))


def test_text_of_users_is_printed_as_they_wrote_it(crowded):
    whole = " ".join(crowded)
    assert [name for name in (*HOSTILE, 'Ridge #1 $x$ *y* <z> "q"') if name not in whole] == []


def test_sixty_points_and_twelve_people_are_all_there(crowded):
    whole = " ".join(crowded)
    assert [name for name in ("Eighth", "Tenth", "Eleventh", "name not given") if name not in whole] == []
    assert all(f" {step + 1} p{step} " in whole for step in range(60))
    # Three observers stand at three places.
    assert len(crowded) <= 8


def test_nothing_runs_off_the_paper():
    reader = PdfReader(io.BytesIO(briefing_pdf(made.assessment(Verdict.MUST_CHANGE, crowd()))))
    outside = []

    def look(text, _matrix, position, _font, _size):
        if text.strip() and not (20 < position[4] < 592 and 20 < position[5] < 772):
            outside.append((text, position[4], position[5]))

    for page in reader.pages:
        page.extract_text(visitor_text=look)
    assert [spot for spot in outside if spot[1:] != (0.0, 0.0)] == []


def test_an_empty_plan_still_makes_pages():
    front, _, papers = pages(briefing_pdf(bare_assessment()))
    told = (
        "Flight without a name", "no time set", "Aircraft not given.", "no place is drawn yet",
        "nobody knows where to stand", "Nobody is named as pilot", "not known without place and time",
    )  # fmt: skip
    for words in told:
        assert words in front
    assert "Cautions" in papers
    assert "Nobody is named." in papers


def test_a_day_without_sunset_says_so():
    north = attrs.evolve(
        made.plan(path=(), area=None, crew=()),
        launch=attrs.evolve(made.plan().launch, place=place(0, 0).__class__(-150.2, 78.0)),
        landing=None,
        window=attrs.evolve(
            made.WINDOW,
            start_utc=datetime(2026, 6, 21, 20, tzinfo=UTC),
            end_utc=datetime(2026, 6, 21, 21, tzinfo=UTC),
        ),
    )
    front = pages(briefing_pdf(made.assessment(Verdict.READY, north, area=None)))[0]
    assert "No sunset: up all day, twilight all night." in front


def test_same_plan_and_data_give_the_same_bytes_in_another_process_and_time_zone(repo):
    here = briefing_pdf(made.assessment())
    script = (
        "import hashlib; from tests.briefing import made; from planner.briefing.briefing import briefing_pdf;"
        "print(hashlib.sha256(briefing_pdf(made.assessment())).hexdigest())"
    )
    environment = {
        **os.environ,
        "TZ": "Asia/Tokyo",
        "LC_ALL": "C",
        "PYTHONHASHSEED": "7",
        "PYTHONPATH": str(repo),
    }
    other = subprocess.run(
        [sys.executable, "-c", script], cwd=repo, env=environment, capture_output=True, text=True, check=True
    )
    assert other.stdout.strip() == hashlib.sha256(here).hexdigest()


def test_date_inside_is_the_plans_not_the_clocks():
    metadata = PdfReader(io.BytesIO(briefing_pdf(made.assessment()))).metadata
    assert metadata.creation_date == datetime(2026, 11, 26, 1, 40, tzinfo=UTC)


def test_letters_come_from_the_font_that_travels_along():
    reader = PdfReader(io.BytesIO(briefing_pdf(made.assessment())))
    fonts = {
        font.get_object()["/BaseFont"].split("+")[-1]
        for page in reader.pages
        for font in page["/Resources"]["/Font"].values()
    }
    assert all(name.startswith("SourceSans3") for name in fonts), fonts


def test_covered_letters_are_in_the_font(qapp):
    # The font's own character map, read by Qt.
    from importlib.resources import files

    from PySide6.QtGui import QRawFont

    folder = files("fontpkg_source_sans_3") / "files"
    font = next(path for path in folder.iterdir() if path.name.startswith("SourceSans3["))
    raw = QRawFont(os.fspath(font), 12.0)
    letters = [code for low, high in typesetting._COVERED for code in range(low, high + 1)]
    assert [hex(code) for code in letters if not raw.supportsCharacter(code)] == []
    assert typesetting.is_covered(["Corrow Field · 1,200 ft – Ελένη"])
    assert not typesetting.is_covered(["山"])


def test_points_table_never_promises_room_that_is_not_there():
    answer = made.assessment()
    jump = answer.track.point_sample[3]
    ceiling = answer.profile.ceiling_amsl_m
    rows = points_table(answer)
    before, after = ceiling[jump - 1], ceiling[jump]
    assert before != after
    assert rows[3].ceiling == f"{int(min(before, after) / 0.3048 + 1e-6):,} ft"
    assert [row.over for row in rows[:3]] == [True, True, True]


def test_written_in_one_step_or_not_at_all(tmp_path):
    target = tmp_path / "sheet.pdf"
    write_briefing(made.assessment(), target, paper="a4")
    assert target.read_bytes() == briefing_pdf(made.assessment(), paper="a4")
    with pytest.raises(OutputError, match="folder"):
        write_briefing(made.assessment(), tmp_path / "missing" / "sheet.pdf")
    assert [path.name for path in tmp_path.iterdir()] == ["sheet.pdf"]


def test_a_fault_in_a_template_is_told_with_its_file_and_line(tmp_path):
    write_template(tmp_path / "mine")
    part = tmp_path / "mine" / "pilot.typ"
    lines = part.read_text(encoding="utf-8").count("\n")
    with part.open("a", encoding="utf-8") as stream:
        stream.write("#nothing-of-that-name\n")
    with pytest.raises(OutputError) as trouble:
        briefing_pdf(made.assessment(), template=tmp_path / "mine")
    assert f"{part}, line {lines + 1}: " in trouble.value.one_line()


def test_a_broken_template_ends_in_one_line(tmp_path, monkeypatch):
    (tmp_path / "briefing").mkdir()
    (tmp_path / "briefing" / "briefing.typ").write_text("#let d = \n#nothing-of-that-name", encoding="utf-8")
    monkeypatch.setattr(typesetting, "resources_dir", lambda: tmp_path)
    with pytest.raises(OutputError) as trouble:
        briefing_pdf(made.assessment())
    assert "briefing.typ" in trouble.value.one_line()
    assert "\n" not in trouble.value.one_line()
