"""`kitbill pick` with a date, with tasks of one's own and beside an earlier result, from outside."""

import json
from decimal import Decimal

import openpyxl
import pytest

from bom.tasks_file import SHIPPED
from tests.cli.commands import EXAMPLES, shell, typed
from tests.cli.small_shop import small_catalog

LATE = EXAMPLES / "late" / "cabin-in-a-fortnight.toml"


@pytest.fixture(scope="module")
def late(tmp_path_factory):
    """The example with late parts, picked from a shop with a quick supplier and a slow one."""
    folder = tmp_path_factory.mktemp("late")
    catalog = small_catalog(folder, ("birch", "elm"))
    answer, book = folder / "a.json", folder / "a.xlsx"
    run = shell("pick", LATE, "--catalog", catalog, "--json", answer, "--out", book,
                "--without-need-by", "--limit-s", "10")  # fmt: skip
    assert run.returncode == 0, run.stderr
    found = json.loads(answer.read_text(encoding="utf-8"), parse_float=Decimal)
    return run.stdout, found, openpyxl.load_workbook(book)


def test_the_late_part_is_named_and_the_total_without_the_date_stands_beside_it(late):
    """What the date costs, which parts would be late, what can be done while they come."""
    text, found, book = late
    work = found["work_order"]
    without = work["without_need_by"]
    assert without["saved"] > 0
    assert without["total"] + without["saved"] == found["total"]
    assert without["later"]
    assert {p["supplier"] for p in without["later"]} == {"elm"}
    assert all(p["late_days"] > 0 and p["here"] > "2027-03-15" for p in without["later"])
    assert "mark out" in without["meanwhile"]
    assert "switch on" not in without["meanwhile"]
    assert without["holds_back"]["supplier"] == "elm"
    assert all(o["arrives"] <= "2027-03-15" for o in found["orders"])
    flat = " ".join(text.split())
    assert f"{without['saved']:,.2f} EUR less" in flat
    # a name may be broken at its hyphen
    whole = flat.replace("- ", "-")
    assert all(part["part"] in whole for part in without["later"])
    cells = [str(r[0].value) for r in book["work order"].iter_rows()]
    assert "Without need_by" in cells
    assert any(f"{without['saved']:,.2f} EUR less" in c for c in cells)


def test_what_holds_the_kit_itself_back_is_told(late):
    """Of the kit that is bought, the consignment of the one supplier sets the finish."""
    text, found, _ = late
    hold = found["work_order"]["holds_back"]
    assert hold["supplier"] == "birch"
    assert hold["parts"][0] in " ".join(text.split())
    starts = [t["can_start"] for t in found["work_order"]["tasks"]]
    assert min(starts) == "2027-03-01"
    assert found["work_order"]["finish"] >= max(
        t["ready"] for t in found["work_order"]["tasks"]
    )


def test_a_result_beside_itself_and_beside_another(picked, cabin, shop, tmp_path):
    """The same needs and shop: nothing changed. A total that was otherwise is told as changed."""
    old = json.loads(picked.answer.read_text(encoding="utf-8"))
    line = next(x for x in old["lines"] if x["class"] == "battery")
    line["price"] -= 10
    line["line_total"] -= 10 * line["packs"]
    old["total"] -= 10 * line["packs"]
    (tmp_path / "old.json").write_text(json.dumps(old), encoding="utf-8")
    tasks = tmp_path / "mine.toml"
    text = SHIPPED.read_text(encoding="utf-8").replace("people = 1", "people = 3")
    tasks.write_text(text, encoding="utf-8")
    run = shell("pick", cabin, "--catalog", shop, "--since", tmp_path / "old.json",
                "--tasks", tasks, "--json", tmp_path / "new.json", "--out", tmp_path / "new.xlsx")  # fmt: skip
    assert run.returncode == 0, run.stderr
    new = json.loads((tmp_path / "new.json").read_text(encoding="utf-8"))
    assert [p["part"] for p in new["since"]["prices"]] == [line["part"]]
    assert new["since"]["difference"] == pytest.approx(10 * line["packs"])
    assert [x["change"] for x in new["since"]["lines"]] == ["dearer"]
    assert f"{line['part']}: dearer" in " ".join(run.stdout.split())
    assert "since" in openpyxl.load_workbook(tmp_path / "new.xlsx").sheetnames
    assert new["work_order"]["calendar"]["people"] == 3
    same = {k: v for k, v in new.items() if k not in ("since", "work_order")}
    was = json.loads(picked.answer.read_text(encoding="utf-8"))
    assert same == {k: v for k, v in was.items() if k != "work_order"}


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--since", "none.json"), "none.json: No such file"),
        (("--since", "bad.json"), "bad.json: is no JSON"),
        (("--since", "."), ".: is a folder"),
        (("--tasks", "bad.toml"), 'bad.toml, [[task]] number 1 "a", needs: found "nonsense"'),
        (("--tasks", "none.toml"), "none.toml: No such file"),
        (("--without-need-by",), "--without-need-by needs [order] start and need_by"),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_bad_files_and_options_end_with_2_before_the_work(
    cabin, tmp_path, monkeypatch, capsys, words, said
):
    """What is wrong is named, and nothing is written."""
    (tmp_path / "bad.json").write_text("{", encoding="utf-8")
    (tmp_path / "bad.toml").write_text(
        '[[task]]\nname = "a"\ndoes = "b"\nneeds = ["nonsense"]\n', encoding="utf-8"
    )
    monkeypatch.chdir(tmp_path)
    code = typed(monkeypatch, "pick", cabin, "--json", "out.json", *words)
    assert code == 2
    assert said in capsys.readouterr().err
    assert not (tmp_path / "out.json").exists()
