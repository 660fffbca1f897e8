"""`kitbill pick` from outside: the real job, its files, streams, exit codes and interruption."""

import json
import os
import signal
import subprocess
import sys

import openpyxl
import pytest

from tests.cli.commands import EXAMPLES, ROOT, shell

JOB = EXAMPLES / "star-gazing-hut.toml"
IMPOSSIBLE = sorted((EXAMPLES / "impossible").glob("*.toml"))


@pytest.fixture(scope="module")
def narrow(tmp_path_factory):
    """An example with one supplier, voltage and chemistry: proven in seconds."""
    text = JOB.read_text(encoding="utf-8")
    for found, wanted in (
        ("voltages = [12, 24, 48]", "voltages = [24]"),
        ('chemistries = ["lfp", "agm"]', 'chemistries = ["lfp"]'),
        ("[order]", '[order]\navoid_suppliers = ["alder", "cedar", "dogwood", "elm"]'),
    ):
        assert found in text
        text = text.replace(found, wanted)
    needs = tmp_path_factory.mktemp("narrow") / "needs.toml"
    needs.write_text(text, encoding="utf-8")
    return needs


@pytest.fixture(scope="module")
def picked(narrow, tmp_path_factory):
    """One run of an example with all its files."""
    folder = tmp_path_factory.mktemp("picked")
    book, answer = folder / "bill.xlsx", folder / "bill.json"
    run = shell("pick", narrow, "--out", book, "--json", answer, "--limit-s", "60")
    return run, book, answer


def test_an_answer_is_proven_and_printed(picked):
    """Exit code 0, the answer on standard output, no traceback beside it."""
    run, _, answer = picked
    assert run.returncode == 0, run.stderr
    result = json.loads(answer.read_text(encoding="utf-8"))
    assert result["format"] == "kitbill-result-1"
    assert result["status"] in ("optimal", "feasible")
    assert result["gap_pct"] <= 5
    assert 0 <= result["lower_bound"] <= result["total"]
    assert f"{float(result['total']):.2f}" in run.stdout.replace(",", "")
    assert "Traceback" not in run.stderr


def test_the_files_are_whole_and_nothing_else_is_left(picked):
    """The workbook opens, and no half-written file stands beside it."""
    _, book, answer = picked
    assert openpyxl.load_workbook(book).sheetnames
    assert {path.name for path in book.parent.iterdir()} == {book.name, answer.name}


def test_two_runs_give_the_same_answer(picked, narrow, tmp_path):
    """The order of a person's day depends on it: nothing is left to chance."""
    _, _, answer = picked
    if json.loads(answer.read_text(encoding="utf-8"))["status"] != "optimal":
        pytest.skip("this machine did not finish the proof in time, so the clock had a say")
    again = tmp_path / "again.json"
    assert shell("pick", narrow, "--json", again, "--limit-s", "60").returncode == 0
    assert again.read_bytes() == answer.read_bytes()


def test_there_are_impossible_examples():
    """The next test has something to run."""
    assert IMPOSSIBLE


@pytest.mark.parametrize("needs", IMPOSSIBLE, ids=lambda path: path.stem)
def test_needs_that_no_kit_meets_end_with_1_and_reasons(tmp_path, needs):
    """No answer is an answer: what collides is on standard output and in the JSON."""
    answer = tmp_path / "answer.json"
    run = shell("pick", needs, "--json", answer)
    assert run.returncode == 1, run.stderr
    result = json.loads(answer.read_text(encoding="utf-8"))
    assert result["status"] == "infeasible"
    assert (result["total"], result["lower_bound"], result["gap_pct"]) == (None, None, None)
    assert result["reasons"]
    assert result["reasons"][0]["message"].split()[0] in run.stdout


def test_bad_needs_end_with_2_and_write_nothing(tmp_path):
    """All faults at once, with table and key, and no file that looks like an answer."""
    needs = tmp_path / "needs.toml"
    text = JOB.read_text(encoding="utf-8")
    needs.write_text(
        text.replace("latitude_deg", "lattitude_deg", 1).replace(
            "autonomy_days = ", "autonomy_days = -", 1
        ),
        encoding="utf-8",
    )
    run = shell(
        "pick", needs, "--out", tmp_path / "bill.xlsx", "--json", tmp_path / "bill.json"
    )
    assert run.returncode == 2
    assert run.stdout == ""
    assert 'did you mean "latitude_deg"' in run.stderr
    assert "autonomy_days" in run.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["needs.toml"]


@pytest.mark.parametrize(
    "words",
    [
        ("no-such-needs.toml",),
        (JOB, "--catalog", "no-such.sqlite"),
        (JOB, "--out", "no-such-folder/bill.xlsx"),
        (JOB, "--json", "no-such-folder/bill.json"),
    ],
    ids=lambda words: " ".join(map(str, words[-2:])),
)
def test_a_file_that_is_not_there_ends_with_2_and_is_named(tmp_path, words):
    """It is told before the long work begins, and nothing is made."""
    run = shell("pick", *words, cwd=tmp_path)
    assert run.returncode == 2
    assert "no-such" in run.stderr
    assert "Traceback" not in run.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.name == "nt", reason="signals are others there")
def test_an_interruption_leaves_nothing_half_written(tmp_path):
    """Ctrl-C in the middle of the work: 130, no files, no traceback."""
    with subprocess.Popen(
        [sys.executable, "-m", "bom", "pick", JOB, "--out", tmp_path / "b.xlsx"],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as run:
        assert run.stderr.readline(), "no progress was shown"
        run.send_signal(signal.SIGINT)
        rest = run.communicate()[1]
    assert run.returncode == 130, rest
    assert "Traceback" not in rest
    assert list(tmp_path.iterdir()) == []
