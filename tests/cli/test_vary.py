"""`kitbill vary` from outside: the same answers as `pick`, files that an interruption does not
change, and every way of ending.
"""

import importlib.util
import json
import os
import signal
import subprocess
import sys
from decimal import Decimal
from types import SimpleNamespace

import openpyxl
import pytest

from tests.cli.commands import begun, shell, typed
from tests.cli.small_shop import small_needs

SETS = ("--set", "energy.autonomy_days=1,3")


def read(path):
    """A JSON file, its amounts as they are written."""
    return json.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)


@pytest.fixture(scope="module")
def varied(shop, cabin, tmp_path_factory):
    """The cabin with two reserves, side by side."""
    folder = tmp_path_factory.mktemp("varied")
    book, answer = folder / "v.xlsx", folder / "v.json"
    files = ("--out", book, "--json", answer)
    run = shell("vary", cabin, "--catalog", shop, *SETS, *files, "--workers", "2")
    assert run.returncode == 0, run.stderr
    return SimpleNamespace(run=run, folder=folder, book=book, answer=answer, found=read(answer))


def needs_by_part(result):
    """By part what a bill of `pick` needs."""
    found = {}
    for line in result["lines"]:
        found[line["part"]] = found.get(line["part"], 0) + line["need"]
    return found


def test_each_cell_is_the_answer_of_pick(varied, picked, shop, tmp_path):
    """Total, verdict and parts of both cells are those of two needs files picked by themselves."""
    more = small_needs(tmp_path, autonomy_days=3)
    run = shell("pick", more, "--catalog", shop, "--json", tmp_path / "more.json")
    assert run.returncode == 0, run.stderr
    first, second = read(picked.answer), read(tmp_path / "more.json")
    assert varied.found["format"] == "kitbill-vary-1"
    cells = varied.found["cells"]
    assert [c["set"] for c in cells] == [{"energy.autonomy_days": n} for n in (1, 3)]
    assert [c["total"] for c in cells] == [first["total"], second["total"]]
    assert [c["status"] for c in cells] == [first["status"], second["status"]]
    assert varied.found["cheapest"] == 0
    assert cells[0]["changes"] == []
    before, after = needs_by_part(first), needs_by_part(second)
    told = {c["part"]: (c["before"], c["after"]) for c in cells[1]["changes"]}
    assert told == {
        part: (before.get(part, 0), after.get(part, 0))
        for part in before.keys() | after.keys()
        if before.get(part, 0) != after.get(part, 0)
    }
    assert told


def test_the_table_is_printed_and_progress_is_apart(varied):
    """A row for each cell, the cheapest and what changes on standard output alone."""
    heading, first, second, *rest = varied.run.stdout.splitlines()
    assert heading.split() == ["energy.autonomy_days", "total", "EUR"]
    for row, cell in zip((first, second), varied.found["cells"], strict=True):
        assert f"{cell['total']:,.2f}" in row
    assert any(line.startswith("cheapest: autonomy_days 1") for line in rest)
    assert "2 cells" in varied.run.stderr
    assert "2 of 2: autonomy_days" in varied.run.stderr
    assert "2 of 2" not in varied.run.stdout


def test_the_workbook_has_the_cells_and_a_chart_of_the_cost(varied):
    """Totals as numbers on the first sheet, the cost against the key with its chart."""
    book = openpyxl.load_workbook(varied.book)
    assert book.sheetnames == ["variants", "by energy.autonomy_days", "changes"]
    totals = [row[1] for row in book["variants"].iter_rows(min_row=5, values_only=True)]
    assert [Decimal(str(t)) for t in totals] == [c["total"] for c in varied.found["cells"]]
    against = book["by energy.autonomy_days"]
    assert [row[0] for row in against.iter_rows(min_row=5, values_only=True)] == [1, 3]
    assert len(against._charts) == 1


def test_nothing_but_the_files_asked_for_is_left(varied):
    """The journal is gone once all is written."""
    assert {p.name for p in varied.folder.iterdir()} == {"v.xlsx", "v.json"}


@pytest.mark.skipif(
    importlib.util.find_spec("distributed") is None, reason="Dask is not installed"
)
def test_a_scheduler_with_two_workers_writes_the_same_bytes(varied, cabin, shop, tmp_path):
    """Who works the cells out is not told by the file."""
    answer = tmp_path / "v.json"
    words = (*SETS, "--json", answer, "--scheduler", "local", "--workers", "2")
    run = shell("vary", cabin, "--catalog", shop, *words)
    assert run.returncode == 0, run.stderr
    assert answer.read_bytes() == varied.answer.read_bytes()


@pytest.mark.skipif(os.name == "nt", reason="signals are others there")
@pytest.mark.parametrize("workers", ["1", pytest.param("2", marks=pytest.mark.slow)])
def test_an_interrupted_comparison_goes_on_and_ends_with_the_same_file(
    varied, cabin, shop, tmp_path, workers
):
    """Ctrl-C after the first cell: 130, no file but the journal; the same words finish the rest.

    Nor do the files tell how many worked side by side.
    """
    answer, book = tmp_path / "v.json", tmp_path / "v.xlsx"
    words = [str(w) for w in ("vary", cabin, "--catalog", shop, *SETS, "--json", answer)]
    words += ["--out", str(book), "--workers", workers]
    with begun(*words, stdout=subprocess.DEVNULL, start_new_session=True) as run:
        for line in run.stderr:
            if line.startswith("1 of 2"):
                break
        os.killpg(run.pid, signal.SIGINT)
        rest = run.stderr.read()
    assert run.returncode == 130, rest
    assert "Traceback" not in rest
    journal = tmp_path / "v.json.journal"
    assert f"{journal} keeps 1 of 2 answers" in rest
    assert list(tmp_path.iterdir()) == [journal]
    again = shell(*words)
    assert again.returncode == 0, again.stderr
    assert "1 known from" in again.stderr
    assert "1 of 1" in again.stderr
    assert answer.read_bytes() == varied.answer.read_bytes()
    assert book.read_bytes() == varied.book.read_bytes()
    assert {path.name for path in tmp_path.iterdir()} == {"v.json", "v.xlsx"}


def test_cells_without_a_kit_say_why_and_all_of_them_end_with_1(cabin, shop, tmp_path):
    """The needs were understood; the reason stands in the JSON and on the terminal."""
    answer = tmp_path / "v.json"
    words = ("--set", "place.locker.max_kg=10,15", "--json", answer)
    run = shell("vary", cabin, "--catalog", shop, *words)
    assert run.returncode == 1, run.stderr
    found = read(answer)
    assert found["cheapest"] is None
    for cell in found["cells"]:
        assert cell["status"] == "infeasible"
        assert cell["total"] is None
        assert 'place."locker".max_kg' in cell["reasons"][0]["needs"]
    assert "no kit: locker.max_kg 10" in run.stdout
    assert "There is none even at 15" in " ".join(run.stdout.split())


def test_named_alternatives_are_rows_of_the_table(cabin, shop, tmp_path):
    """One as stated, one with another voltage, for which this shop has no kit so light."""
    ways = tmp_path / "ways.toml"
    ways.write_text(
        '["as stated"]\n["light and strong"]\n"rules.voltages" = 24\n'
        'place."locker".max_kg = 12\n',
        encoding="utf-8",
    )
    run = shell("vary", cabin, "--catalog", shop, "--alternatives", ways)
    assert run.returncode == 0, run.stderr
    heading, first, second, *_ = run.stdout.splitlines()
    assert heading.startswith("alternative")
    assert first.startswith("as stated")
    assert first.endswith("proven")
    assert second.startswith("light and strong")
    assert second.endswith("no kit")


def test_a_frontier_tells_every_step_and_never_falls(cabin, shop, tmp_path):
    """Between two reserves the cost rises where the bank has to grow; all values have a step."""
    book, answer = tmp_path / "f.xlsx", tmp_path / "f.json"
    words = ("--frontier", "energy.autonomy_days=2.3..2.5 step 0.1", "--out", book)
    run = shell("vary", cabin, "--catalog", shop, *words, "--json", answer)
    assert run.returncode == 0, run.stderr
    found = read(answer)
    steps = found["frontier"]["steps"]
    assert (steps[0]["from"], steps[-1]["to"]) == (Decimal("2.3"), Decimal("2.5"))
    totals = [s["total"] for s in steps]
    assert totals == sorted(totals)
    assert len(set(totals)) == len(totals) > 1
    assert all(found["cells"][s["cell"]]["total"] == s["total"] for s in steps)
    sheet = openpyxl.load_workbook(book)["frontier"]
    assert len(sheet._charts) == 1
    assert "energy.autonomy_days" in run.stdout


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ((), "--set KEY=VALUE"),
        (("--set", "energy.autonomy_day=1"), "autonomy_days"),
        (("--set", "energy.autonomy_days=1,-1"), "with autonomy_days -1"),
        (("--set", "load.Kettel.watts=1"), 'did you mean "Kettle"'),
        (("--set", "job.currency=EUR,USD"), "[job]"),
        ((*SETS, "--out", "v.ods"), "--out"),
        ((*SETS, "--workers", "0"), "--workers"),
        ((*SETS, "--limit-s", "0"), "--limit-s"),
        ((*SETS, "--frontier", "energy.autonomy_days=1..2"), "stands alone"),
        ((*SETS, "--scheduler", "my-cluster"), "tcp://"),
        (("--alternatives", "no-such.toml"), "no-such.toml"),
        ((*SETS, "--json", "no-such/v.json"), "no-such"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else value,
)
def test_bad_input_ends_with_2_and_writes_nothing(
    monkeypatch, capsys, cabin, shop, tmp_path, words, named
):
    """Before anything is solved, with what was found and what is meant."""
    monkeypatch.chdir(tmp_path)
    assert typed(monkeypatch, "vary", cabin, "--catalog", shop, *words) == 2
    seen = capsys.readouterr()
    assert named in seen.err
    assert seen.out == ""
    assert list(tmp_path.iterdir()) == []


def test_without_dask_the_option_says_what_to_install(monkeypatch, capsys, cabin, shop):
    """A missing optional library is no traceback."""
    monkeypatch.setitem(sys.modules, "distributed", None)
    words = ("vary", cabin, "--catalog", shop, *SETS, "--scheduler", "local")
    assert typed(monkeypatch, *words) == 2
    assert "pip install 'kitbill[dask]'" in capsys.readouterr().err
