"""Card, template and exports from the command line."""

from pathlib import Path

import pytest

from planner.cli import main
from tests.conftest import REPO

PLAN = str(REPO / "demo_missions" / "mast_dive_part107.lowline.geojson")


def test_a_changed_template_is_used_and_never_overwritten(tmp_path, capsys):
    folder = tmp_path / "mine"
    assert main(["template", str(folder)]) == 0
    parts = folder / "observer.typ"
    parts.write_text(parts.read_text(encoding="utf-8").replace("Where it goes", "Wohin"), encoding="utf-8")
    assert main(["template", str(folder)]) == 2
    assert "already" in capsys.readouterr().err
    assert main(["brief", PLAN, "-o", str(tmp_path / "sheet.pdf"), "--template", str(folder)]) == 0
    from pypdf import PdfReader

    assert "Wohin" in PdfReader(tmp_path / "sheet.pdf").pages[0].extract_text()


def test_each_observer_gets_a_card_as_wide_as_a_phone(tmp_path, capsys):
    apart = str(REPO / "demo_missions" / "long_ridge_small_quad.lowline.geojson")
    cards = [tmp_path / "card.png", tmp_path / "card-2.png"]
    assert main(["brief", apart, "-o", str(cards[0])]) == 0
    assert sorted(tmp_path.iterdir()) == sorted(cards)
    assert all(str(card) in capsys.readouterr().out for card in cards[:1])
    first, second = (card.read_bytes() for card in cards)
    assert first != second
    for data in (first, second):
        # PNG (ISO/IEC 15948, standing C): signature, then IHDR with width and height.
        assert data[:8] == b"\x89PNG\r\n\x1a\n"
        assert int.from_bytes(data[16:20], "big") == 1080
        assert int.from_bytes(data[20:24], "big") > 2000


@pytest.mark.parametrize(
    ("command", "name", "out"),
    [
        ("brief", "a.lowline.geojson", "a.lowline.geojson"),
        ("brief", "a.geojson", "a.geojson"),
        ("request", "a.lowline.geojson", "a.lowline.geojson"),
        ("export", "flight.geojson", "flight.geojson"),
        ("export", "a.lowline.geojson", "b.PLAN.geojson"),
    ],
)
def test_a_plan_is_never_written_over_by_what_leaves_the_desk(command, name, out, tmp_path, capsys):
    plan = tmp_path / name
    plan.write_bytes(Path(PLAN).read_bytes())
    assert main([command, str(plan), "-o", str(tmp_path / out)]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "this name is a plan's" in said
    assert plan.read_bytes() == Path(PLAN).read_bytes()
    assert list(tmp_path.iterdir()) == [plan]


def test_a_briefing_is_never_written_into_a_file_of_another_kind(tmp_path, capsys):
    assert main(["brief", PLAN, "-o", str(tmp_path / "notes.txt")]) == 2
    assert "a briefing is written as .pdf" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("suffix", ["kml", "gpx", "geojson"])
def test_exports_are_written(suffix, tmp_path):
    target = tmp_path / f"flight.{suffix}"
    assert main(["export", PLAN, "-o", str(target)]) == 0
    assert target.stat().st_size > 500


def test_a_name_of_no_format_is_one_line(tmp_path, capsys):
    assert main(["export", PLAN, "-o", str(tmp_path / "flight.txt")]) == 2
    assert capsys.readouterr().err.count("\n") == 1
