"""What `kitbill pick` gives a doubter: the log of its proof, a second opinion, and an answer to
whoever does not want to wait.
"""

import json
import os
import signal
import subprocess
from decimal import Decimal
from types import SimpleNamespace

import openpyxl
import pytest

import solver.milp
from solver.milp import has_cbc
from tests.cli.commands import begun, shell, typed
from tests.cli.retrace import lower_bound
from tests.cli.small_shop import small_catalog


@pytest.fixture(scope="module")
def doubted(shop, cabin, tmp_path_factory):
    """The cabin's kit with the log of its proof and a second opinion."""
    if not has_cbc():
        pytest.skip("CBC is not installed")
    folder = tmp_path_factory.mktemp("doubted")
    book, answer, trace = folder / "b.xlsx", folder / "b.json", folder / "proof.jsonl"
    words = ("--out", book, "--json", answer, "--trace", trace, "--second-opinion")
    run = shell("pick", cabin, "--catalog", shop, *words)
    assert run.returncode == 0, run.stderr
    result = json.loads(answer.read_text(encoding="utf-8"), parse_float=Decimal)
    return SimpleNamespace(run=run, book=book, trace=trace, result=result)


@pytest.fixture(scope="module")
def several_shops(tmp_path_factory):
    """A catalog of three suppliers: the proof of its cheapest kit takes a while."""
    return small_catalog(tmp_path_factory.mktemp("shops"), ("birch", "cedar", "dogwood"))


def kit_bound(result):
    """What no kit undercuts, small parts apart: they follow from the kit."""
    return result["lower_bound"] - (result["total"] - result["kit_total"])


def test_the_lower_bound_follows_from_the_trace(doubted):
    """Whoever goes over the file alone finds the bound that the answer claims."""
    assert lower_bound(doubted.trace) == kit_bound(doubted.result)
    last = json.loads(doubted.trace.read_text(encoding="utf-8").splitlines()[-1])
    assert last["what"] == "answer"
    assert Decimal(str(last["total"])) == doubted.result["kit_total"]
    assert last["status"] == doubted.result["status"]


def test_a_second_opinion_stands_in_every_answer(doubted):
    """On the terminal, in the JSON and on the workbook's first sheet, with its figure."""
    opinion = doubted.result["second_opinion"]
    assert opinion["said"] == "agrees"
    assert opinion["first"] == opinion["second"] == doubted.result["kit_total"]
    said = " ".join(doubted.run.stdout.split())
    assert f"CBC finds the same least cost, {opinion['second']:,.2f} EUR" in said
    sheet = openpyxl.load_workbook(doubted.book)["start here"]
    texts = [str(row[1]) for row in sheet.iter_rows(values_only=True)]
    assert [t for t in texts if t.startswith("second opinion: CBC finds the same")]


def test_without_the_second_solver_there_is_a_message(monkeypatch, capsys, cabin, shop):
    """It is told before the long work, with what to install."""
    monkeypatch.setattr(solver.milp, "has_cbc", lambda: False)
    assert typed(monkeypatch, "pick", cabin, "--catalog", shop, "--second-opinion") == 2
    err = capsys.readouterr().err
    assert err.startswith("--second-opinion: the solver CBC is not installed")
    assert "pip install" in err


@pytest.mark.parametrize(
    "words",
    [
        ("--trace", "no-such-folder/proof.jsonl"),
        ("--trace", "same.json", "--json", "same.json"),
        ("--second-opinion", "--opinion-s", "nan"),
    ],
    ids=" ".join,
)
def test_what_cannot_be_is_told_before_the_work(cabin, tmp_path, words):
    """With the option's or the file's name, exit code 2, and nothing is made."""
    run = shell("pick", cabin, *words, cwd=tmp_path)
    assert run.returncode == 2
    assert run.stdout == ""
    assert "bounding" not in run.stderr
    assert any(word in run.stderr for word in words)
    assert list(tmp_path.iterdir()) == []


def interrupted(words, after):
    """A run that is interrupted, workers and all, once a line with `after` was shown."""
    with begun(*words, stdout=subprocess.PIPE, start_new_session=True) as run:
        assert any(after in line for line in run.stderr), "it never came so far"
        os.killpg(run.pid, signal.SIGINT)
        out, err = run.communicate()
    return SimpleNamespace(code=run.returncode, out=out, err=err)


@pytest.mark.skipif(os.name == "nt", reason="signals are others there")
@pytest.mark.parametrize("after", ["a kit at", "proof: no kit under"])
def test_an_interruption_gives_the_best_kit_so_far(cabin, several_shops, tmp_path, after):
    """With its true gap and all files, whether this process is at work or others are."""
    answer, trace, book = (tmp_path / n for n in ("b.json", "proof.jsonl", "b.xlsx"))
    words = ("--json", answer, "--trace", trace, "--out", book, "--limit-s", "600")
    run = interrupted(("pick", cabin, "--catalog", several_shops, *words), after)
    assert run.code == 0, run.err
    assert "Traceback" not in run.err
    assert "stopped before the proof was complete" in run.out
    result = json.loads(answer.read_text(encoding="utf-8"), parse_float=Decimal)
    assert result["status"] == "feasible"
    assert 0 < result["lower_bound"] < result["total"]
    assert result["gap_pct"] > Decimal("0.01")
    assert lower_bound(trace) == kit_bound(result)
    assert '"why": "interrupted"' in trace.read_text(encoding="utf-8")
    assert {p.name for p in tmp_path.iterdir()} == {"b.json", "proof.jsonl", "b.xlsx"}


@pytest.mark.skipif(os.name == "nt", reason="signals are others there")
def test_an_interruption_before_there_is_a_kit_says_so(cabin, shop, tmp_path):
    """In one line, with 130 and no files."""
    words = ("pick", cabin, "--catalog", shop, "--json", tmp_path / "b.json")
    run = interrupted(words, " parts, ")
    assert run.code == 130, run.err
    assert run.err.splitlines()[-1] == "interrupted before there was a kit; nothing is written"
    assert run.out == ""
    assert list(tmp_path.iterdir()) == []
