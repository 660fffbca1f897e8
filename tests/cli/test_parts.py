"""`kitbill parts` from outside: streams, exit codes, and that nothing is lost on the way."""

import pytest

from tests.cli.commands import typed

SUPPLIERS = """\
supplier,name,currency,shipping,free_over,lead_days
shed,The shed (invented),EUR,0,,1
"""
LUGS = """\
part,name,length_mm,width_mm,height_mm,kg,area_mm2,stud,kind
lug-own,Lug of my own,,,,0.01,{area},M8,tube
"""


@pytest.fixture
def own(tmp_path):
    """A folder of CSV files with one lug and one supplier."""
    folder = tmp_path / "own"
    folder.mkdir()
    (folder / "suppliers.csv").write_text(SUPPLIERS, encoding="utf-8")
    (folder / "lug.csv").write_text(LUGS.format(area=25), encoding="utf-8")
    return folder


def _dumped(monkeypatch, folder, catalog=None):
    chosen = ["--catalog", catalog] if catalog else []
    assert typed(monkeypatch, "parts", "dump", folder, *chosen) == 0
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_a_dump_of_the_shipped_catalog_loads_and_dumps_the_same(monkeypatch, capsys, tmp_path):
    """A catalog of one's own begins as a copy of the shipped one, to the last cell."""
    first = _dumped(monkeypatch, tmp_path / "first")
    own = tmp_path / "own.sqlite"
    assert typed(monkeypatch, "parts", "load", tmp_path / "first", "--catalog", own) == 0
    assert _dumped(monkeypatch, tmp_path / "second", own) == first
    assert "lug.csv" in first
    assert "Traceback" not in capsys.readouterr().err


def test_load_adds_and_show_finds(monkeypatch, capsys, own, tmp_path):
    """What was loaded is there in the next command."""
    catalog = tmp_path / "own.sqlite"
    assert typed(monkeypatch, "parts", "load", own, "--catalog", catalog) == 0
    assert typed(monkeypatch, "parts", "show", "lug-own", "--catalog", catalog) == 0
    out = capsys.readouterr().out
    assert "Lug of my own" in out
    assert "25" in out


def test_the_environment_names_the_catalog(monkeypatch, capsys, own, tmp_path):
    """KITBILL_CATALOG stands for --catalog in every command."""
    monkeypatch.setenv("KITBILL_CATALOG", str(tmp_path / "own.sqlite"))
    assert typed(monkeypatch, "parts", "load", own) == 0
    capsys.readouterr()
    assert typed(monkeypatch, "parts", "list") == 0
    listed = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in listed] == ["part", "lug-own"]


def test_the_shipped_catalog_is_never_loaded_into(monkeypatch, capsys, own):
    """Without a catalog of one's own, load is bad input and says how to name one."""
    assert typed(monkeypatch, "parts", "load", own) == 2
    seen = capsys.readouterr()
    assert seen.out == ""
    assert "--catalog" in seen.err


def test_a_fault_in_a_file_is_named_and_nothing_is_loaded(monkeypatch, capsys, own, tmp_path):
    """File, row, column, what was found: and the catalog is as it was before."""
    catalog = tmp_path / "own.sqlite"
    assert typed(monkeypatch, "parts", "load", own, "--catalog", catalog) == 0
    before = _dumped(monkeypatch, tmp_path / "before", catalog)
    (own / "lug.csv").write_text(LUGS.format(area="25mm"), encoding="utf-8")
    capsys.readouterr()
    assert typed(monkeypatch, "parts", "load", own, "--catalog", catalog) == 2
    err = capsys.readouterr().err
    for named in ("lug.csv", "row 2", "area_mm2", '"25mm"'):
        assert named in err
    assert _dumped(monkeypatch, tmp_path / "after", catalog) == before


def test_list_narrows_by_class_and_comparison(monkeypatch, capsys):
    """`--class` and `--where` leave only parts for which they hold."""
    words = ("parts", "list", "--class", "battery", "--where", "chemistry=lfp")
    assert typed(monkeypatch, *words, "--where", "capacity_ah>=100") == 0
    heading, *rows = capsys.readouterr().out.splitlines()
    columns = heading.split()
    assert rows
    for row in rows:
        cells = row.split()
        assert cells[columns.index("chemistry")] == "lfp"
        assert float(cells[columns.index("capacity_ah")]) >= 100


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (("show", "no-such-part"), "no-such-part"),
        (("list", "--class", "lugs"), "lug"),
        (("list", "--where", "area>=3"), "area"),
        (("load", "no-such-file.csv", "--catalog", "own.sqlite"), "no-such-file.csv"),
        (("list", "--catalog", "no-such.sqlite"), "no-such.sqlite"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else value,
)
def test_what_is_not_there_is_bad_input_and_named(monkeypatch, capsys, tmp_path, words, named):
    """A misspelt part, class, column, file or catalog: exit code 2, and nothing is made."""
    monkeypatch.chdir(tmp_path)
    assert typed(monkeypatch, "parts", *words) == 2
    seen = capsys.readouterr()
    assert named in seen.err
    assert seen.out == ""
    assert [p.name for p in tmp_path.iterdir() if p.name.startswith("no-such")] == []
