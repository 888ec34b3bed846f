"""A browser view that could only crash is refused in one line, or helped on."""

import os
import subprocess
import sys

import pytest

from planner import browser_engine

pytestmark = pytest.mark.skipif(not sys.platform.startswith("linux"), reason="asks about Linux")

OPEN_A_PAGE = """
from PySide6.QtCore import QTimer
from PySide6.QtWebEngineWidgets import QWebEngineView
from PySide6.QtWidgets import QApplication
application = QApplication([])
view = QWebEngineView()
view.loadFinished.connect(lambda good: application.exit(0 if good else 3))
QTimer.singleShot(20000, lambda: application.exit(4))
view.setHtml("<p>page</p>")
raise SystemExit(application.exec())
"""


@pytest.fixture
def sandbox_wanted(monkeypatch):
    monkeypatch.delenv("QTWEBENGINE_DISABLE_SANDBOX", raising=False)


def test_the_answer_is_the_engines_own(sandbox_wanted):
    # Outside check: Qt's browser engine itself, started as this test's user.
    done = subprocess.run([sys.executable, "-c", OPEN_A_PAGE], capture_output=True, text=True, check=False)
    assert (done.returncode == 0) != browser_engine.refuses_this_user(), done.stderr


def test_only_root_is_refused(sandbox_wanted, monkeypatch):
    monkeypatch.setattr(browser_engine.os, "geteuid", lambda: 0)
    assert browser_engine.refuses_this_user()
    monkeypatch.setattr(browser_engine.os, "geteuid", lambda: 1000)
    assert not browser_engine.refuses_this_user()


def test_roots_own_decision_counts(monkeypatch):
    monkeypatch.setenv("QTWEBENGINE_DISABLE_SANDBOX", "1")
    monkeypatch.setattr(browser_engine.os, "geteuid", lambda: 0)
    assert not browser_engine.refuses_this_user()


def test_unwritable_shared_memory_is_spared_and_other_flags_stay(monkeypatch, tmp_path):
    monkeypatch.setenv("QTWEBENGINE_CHROMIUM_FLAGS", "--some-flag")
    monkeypatch.setattr(browser_engine, "_SHARED_MEMORY", tmp_path / "missing")
    browser_engine.spare_shared_memory()
    browser_engine.spare_shared_memory()
    assert os.environ["QTWEBENGINE_CHROMIUM_FLAGS"] == "--some-flag --disable-dev-shm-usage"


def test_writable_shared_memory_is_used(monkeypatch, tmp_path):
    monkeypatch.delenv("QTWEBENGINE_CHROMIUM_FLAGS", raising=False)
    monkeypatch.setattr(browser_engine, "_SHARED_MEMORY", tmp_path)
    browser_engine.spare_shared_memory()
    assert "QTWEBENGINE_CHROMIUM_FLAGS" not in os.environ
