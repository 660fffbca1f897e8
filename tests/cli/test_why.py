"""`kitbill why` from outside: its exit codes, its files, and what an interruption leaves."""

import json
import signal

import openpyxl
import pytest

from tests.cli.commands import begun, shell, typed
from tests.cli.small_shop import small_needs

DAYS = ("--need", "energy.autonomy_days")


def test_needs_without_a_kit_are_explained_with_exit_code_0(shop, tmp_path):
    """Everything is wanted tomorrow: that alone is in the way, and the day is told that helps."""
    path = small_needs(tmp_path)
    order = "\n[order]\nstart = 2031-03-03\nneed_by = 2031-03-04\n"
    path.write_text(path.read_text(encoding="utf-8") + order, encoding="utf-8")
    answer, book = tmp_path / "why.json", tmp_path / "why.xlsx"
    run = shell("why", path, "--catalog", shop, "--json", answer, "--out", book)
    assert run.returncode == 0, run.stderr
    told = json.loads(answer.read_text(encoding="utf-8"))
    assert (told["format"], told["status"]) == ("kitbill-why-1", "infeasible")
    (reason,) = told["reasons"]
    assert reason["needs"] == ["order.need_by"]
    assert reason["change"].startswith("order.need_by 2031-03-04 -> 2031-03-")
    assert reason["change"] in run.stdout
    assert "whether" in run.stderr
    assert openpyxl.load_workbook(book).sheetnames == ["why"]


def test_needs_with_a_kit_tell_what_binds(shop, cabin, picked, tmp_path):
    """The total is that of `kitbill pick`, and what it leaves of the budget is left over."""
    answer = tmp_path / "why.json"
    words = ("why", cabin, "--catalog", shop, "--json", answer, "--need", "limits.budget")
    run = shell(*words)
    assert run.returncode == 0, run.stderr
    told = json.loads(answer.read_text(encoding="utf-8"))
    total = json.loads(picked.answer.read_text(encoding="utf-8"))["total"]
    assert told["total"] == total
    assert told["margins"] == []
    (limit,) = told["limits"]
    assert (limit["left"], limit["binds"]) == (int(9000 - total), False)


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (("--need", "energy.autonomy_day"), "energy.autonomy_days"),
        (("--need", "limits.total_kg"), "there are"),
        (("--out", "why.ods"), "--out"),
        (("--limit-s", "0"), "--limit-s"),
        (("--json", "no-such/why.json"), "no-such"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else value,
)
def test_bad_input_ends_with_2_and_writes_nothing(
    monkeypatch, capsys, cabin, shop, tmp_path, words, named
):
    """Before anything is solved, with what was found and what is meant."""
    monkeypatch.chdir(tmp_path)
    assert typed(monkeypatch, "why", cabin, "--catalog", shop, *words) == 2
    seen = capsys.readouterr()
    assert named in seen.err
    assert seen.out == ""
    assert list(tmp_path.iterdir()) == []


def interrupted_at(line, *words, **more):
    """The run of a command that is interrupted when its progress says something."""
    with begun(*words, **more) as run:
        for said in run.stderr:
            if said.startswith(line):
                break
        run.send_signal(signal.SIGINT)
        out, err = run.communicate()
    return run.returncode, out, err


def test_an_interruption_before_anything_is_known_ends_with_130(shop, tmp_path):
    """No file, no traceback."""
    needs = small_needs(tmp_path, max_kg=15)
    answer = tmp_path / "why.json"
    words = ("why", needs, "--catalog", shop, "--json", answer)
    code, _, err = interrupted_at("whether there is a kit with everything", *words)
    assert code == 130, err
    assert "Traceback" not in err
    assert not answer.exists()


def test_an_interruption_later_keeps_what_is_known(shop, cabin, tmp_path):
    """The kit and its limits are told, and that it is not all; the file is whole."""
    answer = tmp_path / "why.json"
    words = ("why", cabin, "--catalog", shop, "--json", answer, *DAYS)
    code, out, err = interrupted_at("1 of 2", *words, stdout=-1)
    assert code == 0, err
    assert "Traceback" not in err
    assert "Interrupted" in out
    told = json.loads(answer.read_text(encoding="utf-8"))
    assert told["interrupted"] is True
    assert told["margins"] == []
    assert told["limits"]
