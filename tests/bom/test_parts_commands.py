"""What `kitbill parts` says and does, without the command line around it."""

from pathlib import Path

import pytest

from bom import parts
from bom.parts import dump_parts, list_parts, load_parts, show_part
from catalog.store import open_catalog, read_stock
from solver.errors import BadCatalog, BadInput
from tests.catalog.sample import FILES, LUG, small_catalog, write


@pytest.fixture
def small(tmp_path: Path) -> str:
    """The small catalog, as `--catalog` names it."""
    return str(small_catalog(tmp_path))


def first_words(text: str) -> list[str]:
    """The first word of each line but the heading."""
    return [line.split()[0] for line in text.splitlines()[1:]]


def test_load_starts_a_catalog_and_says_what_it_did(tmp_path: Path) -> None:
    """A person sees what was added; a second load changes nothing and says so."""
    files = write(tmp_path / "files", **FILES)
    where = str(tmp_path / "mine.sqlite")
    told: list[str] = []
    text = load_parts([files], where, told.append)
    assert "loaded 10 files" in text
    assert "parts: 11 added, 0 changed, 0 as before." in text
    assert "suppliers: 2 added" in text
    assert "offers: 9 read; 7 pairs of part and supplier new or changed." in text
    assert "reading lug.csv" in told
    again = load_parts([str(files)], where)
    assert "parts: 0 added, 0 changed, 11 as before." in again
    assert "0 pairs of part and supplier new or changed" in again


def test_load_takes_the_catalog_of_the_environment(tmp_path: Path, monkeypatch) -> None:
    """Without the option the variable names the catalog; the option goes first."""
    files = write(tmp_path / "files", lug=LUG)
    monkeypatch.setenv("KITBILL_CATALOG", str(tmp_path / "mine.sqlite"))
    load_parts([files])
    load_parts([files], str(tmp_path / "other.sqlite"))
    assert (tmp_path / "mine.sqlite").exists()
    assert (tmp_path / "other.sqlite").exists()
    assert "lug-35-m8" in list_parts()


@pytest.mark.parametrize("variable", [None, ""])
def test_load_into_the_shipped_catalog_is_refused(
    variable: str | None, tmp_path: Path, monkeypatch
) -> None:
    """The message says both ways to name a catalog of one's own."""
    if variable is not None:
        monkeypatch.setenv("KITBILL_CATALOG", variable)
    with pytest.raises(BadInput) as caught:
        load_parts([write(tmp_path / "files", lug=LUG)])
    assert "--catalog" in str(caught.value)
    assert "KITBILL_CATALOG" in str(caught.value)


def test_a_load_that_fails_leaves_no_catalog(tmp_path: Path) -> None:
    """Nothing is written when anything is wrong."""
    files = write(tmp_path / "files", lug=LUG.replace("M8", "M7"))
    with pytest.raises(BadCatalog, match="column stud"):
        load_parts([files], str(tmp_path / "mine.sqlite"))
    assert [p.name for p in tmp_path.iterdir()] == ["files"]


def test_dump_and_load_give_the_same_catalog(small: str, tmp_path: Path) -> None:
    """What the two commands promise together."""
    text = dump_parts(tmp_path / "out", small)
    assert text == f"{tmp_path / 'out'}: wrote 10 files of {small}."
    load_parts([tmp_path / "out"], str(tmp_path / "new.sqlite"))
    with open_catalog(small) as one, open_catalog(tmp_path / "new.sqlite") as other:
        assert read_stock(one) == read_stock(other)


def test_list_is_one_line_a_part(small: str) -> None:
    """Every part with its class and name, in columns, in one order."""
    lines = list_parts(small).splitlines()
    assert lines[0].split() == ["part", "class", "name"]
    assert len(lines) == 12
    assert "lug-35-m8     lug         Lug 35 mm² M8" in lines


def test_list_of_a_class_shows_its_own_columns(small: str) -> None:
    """The figures that tell the parts of a class apart come first, numbers to the right."""
    lines = list_parts(small, "controller").splitlines()
    assert lines[0].split()[:4] == ["part", "kind", "battery_v", "max_pv_v"]
    assert lines[0].split()[-1] == "name"
    assert lines[1].split()[:4] == ["mppt-20", "mppt", "12;24", "100"]
    assert lines[0].index("max_pv_v") + len("max_pv_v") == lines[1].index("100") + 3


@pytest.mark.parametrize("width", [40, 60, 80, 100])
def test_list_fits_a_terminal(width: int, small: str) -> None:
    """No line is longer than the terminal; columns without room are named."""
    assert max(map(len, list_parts(small, width=width).splitlines())) <= width
    *table, note = list_parts(small, "controller", width=width).splitlines()
    assert max(map(len, table)) <= width
    assert note.startswith("(no room for ")


def test_list_cuts_nothing_where_there_is_no_terminal(small: str) -> None:
    """Another program gets whole names."""
    assert "…" not in list_parts(small)
    assert "…" in list_parts(small, width=30)


@pytest.mark.parametrize(
    ("cls", "where", "found"),
    [
        ("panel", ["stc_w>=200"], ["panel-200"]),
        ("panel", ["stc_w>100"], ["panel-200"]),
        ("panel", ["stc_w<=100"], ["panel-100"]),
        ("panel", ["stc_w < 0.2e3"], ["panel-100"]),
        ("panel", ["stc_w=100"], ["panel-100"]),
        ("panel", ["stc_w!=100"], ["panel-200"]),
        ("panel", ["stc_w>=0", "kg>7"], ["panel-200"]),
        ("panel", ["voc_pct_per_c="], ["panel-200"]),
        ("panel", ["voc_pct_per_c<0"], ["panel-100"]),
        (None, ["stud=M8"], ["lug-35-m8"]),
        (None, ["stud=5/16 in"], ["lug-16-516"]),
        (None, ["kind=mppt"], ["mppt-20"]),
        (None, ["battery_v=24"], ["mppt-20"]),
        (None, ["battery_v=12"], ["mppt-20", "pwm-10"]),
        (None, ["battery_v!=24"], ["pwm-10"]),
        (None, ["wears=false"], ["crimper"]),
        (None, ["rated_a>=20", "holder=holder-1"], ["fuse-20"]),
        (None, ["name=Holder"], ["holder-1"]),
        (None, ["area_mm2=35"], ["cable-35-red", "lug-35-m8"]),
    ],
)
def test_where_keeps_what_it_says(
    cls: str | None, where: list[str], found: list[str], small: str
) -> None:
    """All comparisons hold for what is listed, and for nothing that is left out."""
    assert first_words(list_parts(small, cls, where)) == found


def test_where_nothing_is_left(small: str) -> None:
    """A search that finds nothing says so; that is no error."""
    assert list_parts(small, "panel", ["stc_w>1000"]) == "no such part"


@pytest.mark.parametrize(
    ("cls", "where", "words"),
    [
        ("panel", "stc>200", 'no column "stc"; did you mean "stc_w"?'),
        (None, "studd=M8", 'no class has a column "studd"; did you mean "stud"?'),
        ("lug", "stc_w>200", 'the class lug has no column "stc_w"'),
        ("panel", "stc_w", "a comparison belongs here"),
        ("panel", "stc_w>", "found nothing after >"),
        ("panel", "stc_w>=much", 'found "much"; a number in W belongs here'),
        ("panel", "stc_w>=nan", 'found "nan"; a number in W belongs here'),
        ("controller", "kind=mpt", 'found "mpt"; one of mppt, pwm belongs here'),
        ("lug", "stud>M5", "stud can only be compared with = and !="),
        ("controller", "battery_v>12", "battery_v can only be compared with = and !="),
    ],
)
def test_a_comparison_that_cannot_be_is_bad_input(
    cls: str | None, where: str, words: str, small: str
) -> None:
    """The message shows what was typed and what belongs there."""
    with pytest.raises(BadInput) as caught:
        list_parts(small, cls, [where])
    assert caught.value.problems[0].startswith(f'--where "{where}": ')
    assert words in str(caught.value)


def test_a_class_there_is_not_is_bad_input(small: str) -> None:
    """With the nearest right name."""
    with pytest.raises(BadInput, match=r'"pannel".*did you mean "panel"'):
        list_parts(small, "pannel")


def test_show_tells_every_column_and_every_offer(small: str) -> None:
    """Value, unit and meaning of each column; price breaks by supplier, with their currency."""
    lines = show_part("panel-100", small).splitlines()
    assert lines[0] == "panel-100 (panel): 100 W panel"
    cells = {line.split()[0]: line.split()[1:] for line in lines[2:] if line}
    assert cells["stc_w"] == ["100", "W", "power", "at", "standard", "test", "conditions"]
    assert cells["clear_mm"][:2] == ["-", "mm"]
    assert [line.split() for line in lines[-2:]] == [
        ["north", "each", "1", "1", "79.00", "EUR", "3", "12"],
        ["north", "each", "1", "4", "75.50", "EUR", "3", "12"],
    ]


def test_show_tells_spools_odd_prices_and_lead_times(small: str) -> None:
    """A spool with its metres, a price with all its digits, an offer's own days."""
    assert "spool of 25 m" in show_part("cable-35-red", small)
    assert "8.125 EUR" in show_part("lug-35-m8", small)
    assert show_part("panel-200", small).splitlines()[-1].split() == [
        "south", "each", "1", "1", "120.00", "USD", "2", "enough",
    ]  # fmt: skip
    assert show_part("pwm-10", small).endswith("no supplier offers it")


def test_show_wraps_at_the_terminal(small: str) -> None:
    """Meanings go on in their own column."""
    table = show_part("panel-100", small, width=70).split("\n\n")[1]
    assert max(map(len, table.splitlines())) <= 70


def test_show_of_a_part_there_is_not_is_bad_input(small: str) -> None:
    """With the nearest right name."""
    with pytest.raises(BadInput, match=r'"panel-10".*did you mean "panel-100"'):
        show_part("panel-10", small)


def test_without_a_catalog_the_shipped_one_is_read(small: str, monkeypatch) -> None:
    """It is found and opened for reading, and called by what it is."""
    monkeypatch.setattr(parts, "shipped_path", lambda: Path(small))
    with parts.open_chosen(None) as catalog:
        assert catalog.write is False
        assert catalog.shown == "the shipped catalog"
    assert "panel-100" in list_parts()
