"""The request sheet from the desk: by the menu and from the permissions, as paper and for a map."""

import pyogrio
import pytest
from pypdf import PdfReader

from planner.desk.need_card import NeedCard
from tests.desk.saving_rig import MISSION, READY, Rig


@pytest.fixture
def rig(qtbot, tmp_path):
    made = Rig(qtbot, tmp_path)
    yield made
    made.window.doors.requests.close()
    made.document.close()


def written(rig, path):
    rig.qtbot.waitUntil(path.exists, timeout=20_000)
    return path


def test_the_menu_writes_what_to_type_into_the_form(rig, tmp_path):
    rig.open(MISSION)
    rig.answers.request = tmp_path / "ask"
    said = []
    rig.document.message.connect(said.append)
    rig.window.menu_actions["request"].trigger()
    pages = PdfReader(written(rig, tmp_path / "ask.pdf")).pages
    text = " ".join(page.extract_text() for page in pages)
    assert "CORROW FIELD CLASS C (INVENTED)" in text
    assert "NM" in text
    rig.qtbot.waitUntil(lambda: any("Nothing was sent" in line for line in said))


def test_the_permissions_offer_it_where_something_has_to_be_asked(rig, tmp_path):
    rig.open(MISSION)
    rig.window.side.go_to("permissions")
    panel = rig.window.side.permissions
    rig.qtbot.waitUntil(lambda: bool(panel.findChildren(NeedCard)))
    rig.answers.request = tmp_path / "ask.geojson"
    panel.ask.click()
    # Outline, circle and the circle's centre.
    assert pyogrio.read_info(written(rig, tmp_path / "ask.geojson"))["features"] == 3
    rig.open(READY)
    rig.qtbot.waitUntil(lambda: panel.needs == [])


def test_a_name_that_cannot_be_written_is_told(rig, tmp_path):
    rig.open(MISSION)
    rig.answers.request = tmp_path / "no such folder" / "ask.pdf"
    rig.window.menu_actions["request"].trigger()
    rig.qtbot.waitUntil(lambda: bool(rig.answers.told), timeout=20_000)
    assert "folder" in rig.answers.told[0][1]
