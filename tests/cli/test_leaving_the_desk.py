"""Card, template and exports from the command line."""

import pytest

from planner.cli import main
from tests.conftest import REPO

PLAN = str(REPO / "demo_missions" / "mast_dive_part107.plan.geojson")


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


def test_the_card_is_a_png_as_wide_as_a_phone(tmp_path):
    target = tmp_path / "card.png"
    assert main(["brief", PLAN, "-o", str(target)]) == 0
    data = target.read_bytes()
    # PNG (ISO/IEC 15948, standing C): signature, then IHDR with width and height.
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    assert int.from_bytes(data[16:20], "big") == 1080
    assert int.from_bytes(data[20:24], "big") > 2000


@pytest.mark.parametrize("suffix", ["kml", "gpx", "geojson"])
def test_exports_are_written(suffix, tmp_path):
    target = tmp_path / f"flight.{suffix}"
    assert main(["export", PLAN, "-o", str(target)]) == 0
    assert target.stat().st_size > 500


def test_a_name_of_no_format_is_one_line(tmp_path, capsys):
    assert main(["export", PLAN, "-o", str(tmp_path / "flight.txt")]) == 2
    assert capsys.readouterr().err.count("\n") == 1
