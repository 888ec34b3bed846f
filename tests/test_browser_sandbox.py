"""A browser view that could only crash is refused in one line instead."""

import subprocess
import sys

import pytest

from planner import browser_sandbox

pytestmark = pytest.mark.skipif(
    not sys.platform.startswith("linux"), reason="the sandbox asked for is Linux's"
)

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


def test_the_answer_is_the_browser_engines_own(sandbox_wanted):
    # Outside check: Qt's browser engine itself, which aborts where it can't lock itself in.
    done = subprocess.run([sys.executable, "-c", OPEN_A_PAGE], capture_output=True, text=True, check=False)
    assert (done.returncode == 0) == browser_sandbox.sandbox_works(), done.stderr


def test_root_is_told_to_be_somebody_else(sandbox_wanted, monkeypatch):
    monkeypatch.setattr(browser_sandbox.os, "geteuid", lambda: 0)
    assert not browser_sandbox.sandbox_works()
    assert "ordinary user" in browser_sandbox.sandbox_line()


@pytest.mark.parametrize("allowed", [True, False])
def test_a_user_needs_namespaces(sandbox_wanted, monkeypatch, allowed):
    monkeypatch.setattr(browser_sandbox.os, "geteuid", lambda: 1000)
    monkeypatch.setattr(browser_sandbox, "_namespaces_can_be_made", lambda: allowed)
    assert browser_sandbox.sandbox_works() is allowed
    assert "namespaces" in browser_sandbox.sandbox_line()
    assert "\n" not in browser_sandbox.sandbox_line()


def test_the_users_own_decision_counts(monkeypatch):
    monkeypatch.setenv("QTWEBENGINE_DISABLE_SANDBOX", "1")
    monkeypatch.setattr(browser_sandbox.os, "geteuid", lambda: 0)
    assert browser_sandbox.sandbox_works()
