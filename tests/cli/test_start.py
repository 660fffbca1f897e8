"""`kitbill start`: a needs file to write over, and never over somebody's work."""

import pytest

from bom.parts import load_parts
from tests.cli.commands import shell, typed

SUPPLIERS = """\
supplier,name,currency,shipping,free_over,lead_days
shed,"The shed, an invented shop",EUR,0,,1
"""
"""A shop without parts: that it has no kit is found at once, once the needs are read."""


@pytest.mark.parametrize("name", ["needs.toml", "needs.xlsx"])
def test_start_writes_a_file_and_says_what_to_do_next(monkeypatch, capsys, tmp_path, name):
    """A person who knows one command finds the next one."""
    path = tmp_path / name
    assert typed(monkeypatch, "start", path) == 0
    assert path.stat().st_size > 0
    assert f"kitbill pick {path}" in capsys.readouterr().out


@pytest.mark.parametrize("name", ["needs.toml", "needs.xlsx"])
def test_what_start_wrote_is_a_valid_needs_file(tmp_path, name):
    """The template can be read as it stands: nobody begins with an error."""
    path = tmp_path / name
    assert shell("start", path).returncode == 0
    (tmp_path / "suppliers.csv").write_text(SUPPLIERS, encoding="utf-8")
    shop = tmp_path / "shop.sqlite"
    load_parts([tmp_path / "suppliers.csv"], str(shop))
    run = shell("pick", path, "--catalog", shop)
    assert run.returncode == 1, run.stderr
    assert "no kit" in run.stdout
    assert "Traceback" not in run.stderr


def test_start_never_overwrites_without_force(monkeypatch, capsys, tmp_path):
    """A filled-in needs file is an evening's work."""
    path = tmp_path / "needs.toml"
    path.write_text("mine", encoding="utf-8")
    assert typed(monkeypatch, "start", path) == 2
    assert "--force" in capsys.readouterr().err
    assert path.read_text(encoding="utf-8") == "mine"
    assert typed(monkeypatch, "start", path, "--force") == 0
    assert path.read_text(encoding="utf-8") != "mine"


@pytest.mark.parametrize("name", ["needs.txt", "needs", "no-such-folder/needs.toml"])
def test_start_refuses_what_it_cannot_write(monkeypatch, capsys, tmp_path, name):
    """Another suffix or a missing folder is told, and nothing is made."""
    assert typed(monkeypatch, "start", tmp_path / name) == 2
    assert name.split("/")[0] in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
