"""`kitbill pick` from outside: the real job, its files, streams, exit codes and interruption."""

import json
import os
import signal
import subprocess
from decimal import Decimal

import openpyxl
import pytest

from bom.result_json import FORMAT
from tests.cli.commands import EXAMPLES, begun, shell


@pytest.fixture(scope="module")
def result(picked):
    """The JSON of the cabin's kit, its amounts as they are written."""
    assert picked.run.returncode == 0, picked.run.stderr
    return json.loads(picked.answer.read_text(encoding="utf-8"), parse_float=Decimal)


@pytest.fixture(scope="module")
def order(picked, result):
    """The rows of the workbook's order sheet."""
    book = openpyxl.load_workbook(picked.book)
    return [list(row) for row in book["order"].iter_rows(values_only=True)]


def test_an_answer_is_proven_and_printed(picked, result):
    """Exit code 0, optimal with its bound at the total, the total on standard output."""
    assert result["format"] == FORMAT
    assert result["status"] == "optimal"
    assert result["gap_pct"] <= Decimal("0.01")
    assert 0 < result["lower_bound"] <= result["total"]
    assert f"{result['total']:,.2f} {result['currency']}" in picked.run.stdout
    assert "proven cheapest" in picked.run.stdout
    assert "Traceback" not in picked.run.stderr


def test_progress_stays_off_standard_output(picked):
    """What is printed can be piped on: neither progress nor the solver's own words are in it."""
    assert picked.run.stdout.lstrip().startswith("Small cabin")
    assert "bounding 12 V" in picked.run.stderr
    assert "highs" not in picked.run.stdout.lower()


def test_no_check_of_a_picked_kit_fails(result):
    """The independent checker went over the kit, and every row of it holds."""
    assert len(result["checks"]) > 100
    assert [c for c in result["checks"] if not c["ok"]] == []


def test_the_lines_and_freight_add_up_to_the_total(result):
    """Nothing is paid that no line names, and nothing is bought for nothing."""
    goods = sum(x["line_total"] for x in result["lines"] if x["line_total"] is not None)
    freight = sum(x["shipping"] for x in result["orders"])
    assert goods + freight == result["total"]


def test_the_files_are_whole_and_nothing_else_is_left(picked, result):
    """Both files open, and no half-written one stands beside them."""
    assert openpyxl.load_workbook(picked.book).sheetnames
    assert {path.name for path in picked.folder.iterdir()} == {"bill.xlsx", "bill.json"}


def test_the_workbook_says_the_total_of_the_json(order, result):
    """Who buys from the workbook pays what the JSON says: stored, and added up from its rows."""
    stored = [r[-1] for r in order if str(r[0]).startswith("grand total as computed")]
    assert [Decimal(str(x)) for x in stored] == [result["total"]]
    heading = next(r for r in order if r[0] == "part")
    packs, price = (
        next(n for n, text in enumerate(heading) if str(text).startswith(name))
        for name in ("packs", "price")
    )
    bought = [r for r in order if isinstance(r[packs], int | float)]
    added = sum(Decimal(str(r[packs])) * Decimal(str(r[price])) for r in bought)
    added += sum(Decimal(str(r[-1])) for r in order if r[0] == "shipping")
    assert added == result["total"]
    assert sorted(r[0] for r in bought) == sorted(
        x["part"] for x in result["lines"] if x["packs"]
    )


def test_two_runs_give_the_same_json_to_the_byte(picked, cabin, shop, tmp_path):
    """Nothing is left to chance, not even by how Python happens to order a set."""
    again = tmp_path / "again.json"
    run = shell("pick", cabin, "--catalog", shop, "--json", again, PYTHONHASHSEED="2")
    assert run.returncode == 0, run.stderr
    assert again.read_bytes() == picked.answer.read_bytes()


@pytest.mark.slow
def test_an_example_is_picked_from_the_shipped_catalog(tmp_path):
    """With all parts of all suppliers and little time there is a kit, and its bound is told."""
    answer = tmp_path / "answer.json"
    needs = EXAMPLES / "star-gazing-hut.toml"
    run = shell("pick", needs, "--json", answer, "--limit-s", "5")
    assert run.returncode == 0, run.stderr
    found = json.loads(answer.read_text(encoding="utf-8"))
    assert found["status"] in ("optimal", "feasible")
    assert 0 < found["lower_bound"] <= found["total"]
    assert [c for c in found["checks"] if not c["ok"]] == []


def test_bad_needs_end_with_2_and_write_nothing(cabin, tmp_path):
    """All faults at once, with table and key, and no file that looks like an answer."""
    needs = tmp_path / "needs.toml"
    text = cabin.read_text(encoding="utf-8")
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
        ("cabin.toml", "--catalog", "no-such.sqlite"),
        ("cabin.toml", "--out", "no-such-folder/bill.xlsx"),
        ("cabin.toml", "--json", "no-such-folder/bill.json"),
        ("cabin.toml", "--drawings", "no-such-folder/drawings"),
    ],
    ids=lambda words: " ".join(words[-2:]),
)
def test_a_file_that_is_not_there_ends_with_2_and_is_named(cabin, tmp_path, words):
    """It is told before the long work begins, and nothing is made."""
    (tmp_path / "cabin.toml").write_bytes(cabin.read_bytes())
    run = shell("pick", *words, cwd=tmp_path)
    assert run.returncode == 2
    assert "no-such" in run.stderr
    assert "Traceback" not in run.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["cabin.toml"]


@pytest.mark.parametrize(
    "words",
    [
        ("--out", "bill.ods", "--json", "bill.json"),
        ("--drawings", "drawings", "--json", "drawings"),
        ("--drawings", ".", "--trace", "wiring-2.svg"),
        ("--drawings", ".", "--json", "place-1-roof.svg"),
        ("--out", "bill.xlsx", "--limit-s", "-3"),
    ],
    ids=" ".join,
)
def test_an_option_that_cannot_be_ends_with_2_and_writes_nothing(cabin, tmp_path, words):
    """A wrong option is told before the work, with its name, not after it."""
    run = shell("pick", cabin, *words, cwd=tmp_path)
    assert run.returncode == 2
    assert run.stdout == ""
    assert any(option in run.stderr for option in words if option.startswith("--"))
    assert list(tmp_path.iterdir()) == []


def test_the_drawings_are_written_into_a_folder(cabin, shop, tmp_path):
    """A folder that is not there is made; a page of an earlier answer is told, not touched."""
    folder = tmp_path / "drawings"
    words = ("pick", cabin, "--catalog", shop, "--drawings", folder)
    run = shell(*words)
    assert run.returncode == 0, run.stderr
    assert f"written: {folder / 'wiring.svg'}" in run.stdout
    names = ["place-1-roof.svg", "place-2-locker.svg", "routes.svg", "wiring.svg"]
    assert sorted(path.name for path in folder.iterdir()) == names
    first = (folder / "wiring.svg").read_bytes()
    assert first.startswith(b"<?xml")
    (folder / "wiring-7.svg").write_bytes(b"old")
    again = shell(*words, PYTHONHASHSEED="3")
    assert f"of an earlier answer: {folder / 'wiring-7.svg'}" in again.stdout
    assert (folder / "wiring-7.svg").read_bytes() == b"old"
    assert (folder / "wiring.svg").read_bytes() == first


def test_a_file_is_no_folder_for_drawings(cabin, tmp_path):
    """It is told before the work, and the file stays as it was."""
    (tmp_path / "drawings").write_text("mine", encoding="utf-8")
    run = shell("pick", cabin, "--drawings", tmp_path / "drawings")
    assert run.returncode == 2
    assert f"{tmp_path / 'drawings'}: is a file; a folder belongs here" in run.stderr
    assert "Traceback" not in run.stderr
    assert (tmp_path / "drawings").read_text(encoding="utf-8") == "mine"


@pytest.mark.skipif(os.name == "nt", reason="signals are others there")
def test_an_interruption_leaves_nothing_half_written(cabin, shop, tmp_path):
    """Ctrl-C in the middle of the work: 130, no files, no traceback."""
    words = ("pick", cabin, "--catalog", shop, "--out", tmp_path / "b.xlsx")
    with begun(*words, stdout=subprocess.PIPE) as run:
        assert run.stderr.readline(), "no progress was shown"
        run.send_signal(signal.SIGINT)
        rest = run.communicate()[1]
    assert run.returncode == 130, rest
    assert "Traceback" not in rest
    assert list(tmp_path.iterdir()) == []
