"""The program finds its own files from a checkout and from an installed copy."""

from planner import locate


def test_in_a_checkout_they_lie_beside_the_package(repo):
    assert locate.resources_dir() == repo / "resources"
    assert locate.demo_missions_dir() == repo / "demo_missions"


def test_an_installed_copy_uses_what_it_carries(tmp_path, monkeypatch):
    shipped = tmp_path / "planner" / "_resources"
    shipped.mkdir(parents=True)
    monkeypatch.setattr(locate, "_PACKAGE", tmp_path / "planner")
    assert locate.resources_dir() == shipped
