"""`kitbill swap` and owned parts in `kitbill pick`, from outside: from "I have this old battery" to
what it saves, or which rule stands against it.
"""

import json
import os
import signal
import subprocess
from decimal import Decimal
from types import SimpleNamespace

import openpyxl
import pytest

from tests.cli.commands import begun, shell, typed
from tests.cli.small_shop import CABIN

BATTERY = """
[[owned]]
class = "battery"
name = "Garage battery"
length_mm = 330
width_mm = 172
height_mm = 220
kg = 30
chemistry = "lfp"
nominal_v = 12.8
capacity_ah = 120
usable_pct = 90
charge_efficiency_pct = 95
max_charge_a = 60
max_discharge_a = 120
max_series = 4
max_parallel = 4
min_charge_c = 0
stud = "M8"
"""

INVERTER = """
[[owned]]
class = "inverter"
name = "Truck inverter"
length_mm = 300
width_mm = 200
height_mm = 120
kg = 5
dc_v = 24
continuous_w = 1500
surge_w = 3000
efficiency_pct = 90
idle_w = 8
ac_v = 230
hz = 50
charge_a = 0
stud = "M8"
"""


PART = "lfp-12v8-230"
"""A battery of the shop that the cabin's cheapest kit leaves out."""


@pytest.fixture(scope="module")
def owner(tmp_path_factory):
    """The cabin's needs of somebody with a battery and an inverter in the garage."""
    path = tmp_path_factory.mktemp("owner") / "own.toml"
    path.write_text(CABIN + BATTERY + INVERTER, encoding="utf-8")
    return path


def read(path):
    """A JSON file, its amounts as they are written."""
    return json.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)


@pytest.fixture(scope="module")
def swapped(shop, cabin, tmp_path_factory):
    """The cabin with another battery of the catalog forced in."""
    folder = tmp_path_factory.mktemp("swapped")
    book, answer = folder / "s.xlsx", folder / "s.json"
    files = ("--out", book, "--json", answer)
    run = shell("swap", cabin, "--catalog", shop, "--part", PART, *files)
    assert run.returncode == 0, run.stderr
    return SimpleNamespace(run=run, book=book, part=PART, found=read(answer))


def test_before_is_the_answer_of_pick_and_after_holds_the_part(swapped, picked):
    """Both whole results stand in the JSON, and the difference is that of their totals."""
    found, before = swapped.found, swapped.found["before"]
    assert found["format"] == "kitbill-swap-1"
    whole = read(picked.answer)
    assert before == {key: whole[key] for key in before}
    assert "lines" in before
    after = found["after"]
    assert after["format"] == before["format"] == "kitbill-result-1"
    assert after["status"] == "optimal"
    line = next(x for x in after["lines"] if x["part"] == swapped.part)
    assert line["owned"] == 1
    assert swapped.part not in [x["part"] for x in before["lines"]]
    assert found["difference"] == after["total"] - before["total"]
    assert [c for c in after["checks"] if not c["ok"]] == []


def test_every_part_that_changes_is_told_with_what_it_is_for(swapped):
    """The two bills differ in just these."""
    bills = [{}, {}]
    for bill, result in zip(bills, ("before", "after"), strict=True):
        for line in swapped.found[result]["lines"]:
            bill[line["part"]] = bill.get(line["part"], 0) + line["need"]
    before, after = bills
    told = {c["part"]: (c["before"], c["after"]) for c in swapped.found["changes"]}
    assert told == {
        part: (before.get(part, 0), after.get(part, 0))
        for part in before.keys() | after.keys()
        if before.get(part, 0) != after.get(part, 0)
    }
    assert all(c["why"] for c in swapped.found["changes"])
    text = " ".join(swapped.run.stdout.split())
    assert f"before {swapped.found['before']['total']:,.2f} EUR" in text
    assert f"after {swapped.found['after']['total']:,.2f} EUR" in text
    assert "What changes" in text


def test_the_workbook_has_totals_changes_and_both_bills(swapped):
    """Totals are numbers; each change has its row."""
    book = openpyxl.load_workbook(swapped.book)
    assert book.sheetnames == ["swap", "changes", "bill before", "bill after"]
    totals = [row[1] for row in book["swap"].iter_rows(min_row=5, max_row=6, values_only=True)]
    said = [swapped.found[k]["total"] for k in ("before", "after")]
    assert [Decimal(str(t)) for t in totals] == said
    parts = [row[0] for row in book["changes"].iter_rows(min_row=5, values_only=True)]
    assert parts == [c["part"] for c in swapped.found["changes"]]


def test_a_part_that_is_used_anyway_saves_what_the_kit_costs_without_it(
    owner, shop, picked, tmp_path
):
    """The old battery is in the kit as it is; without it the kit is the cabin's own."""
    answer = tmp_path / "s.json"
    words = ("--part", "Garage battery", "--json", answer)
    run = shell("swap", owner, "--catalog", shop, *words)
    assert run.returncode == 0, run.stderr
    found = read(answer)
    assert found["difference"] == 0
    assert found["changes"] == []
    total = read(picked.answer)["total"]
    assert found["without_total"] == total
    saved = total - found["after"]["total"]
    assert f"it saves {saved:,.2f} EUR" in " ".join(run.stdout.split())


def test_a_part_that_cannot_work_is_told_with_the_rule_and_its_numbers(owner, shop, tmp_path):
    """24 V in a system of 12 V: exit code 1, and no workbook without a kit."""
    answer, book = tmp_path / "s.json", tmp_path / "s.xlsx"
    words = ("--part", "Truck inverter", "--json", answer, "--out", book)
    run = shell("swap", owner, "--catalog", shop, *words)
    assert run.returncode == 1, run.stderr
    assert "wrong voltage: it takes 24 V; the system has 12 V" in " ".join(run.stdout.split())
    found = read(answer)
    assert found["after"]["status"] == "infeasible"
    assert found["parts"][0]["against"]
    assert "24 V" in found["after"]["reasons"][0]["message"]
    assert found["difference"] is None
    assert not book.exists()


def test_pick_tells_what_owned_parts_save_and_why_others_are_left_out(
    owner, shop, picked, tmp_path
):
    """The battery's saving is the difference of two picks; the inverter has the wrong voltage."""
    answer = tmp_path / "b.json"
    run = shell("pick", owner, "--catalog", shop, "--owned", "--json", answer)
    assert run.returncode == 0, run.stderr
    found = read(answer)
    battery, inverter = found["owned"]
    assert battery["part"] == "Garage battery"
    assert battery["used"] == 1
    assert battery["saved"] == read(picked.answer)["kit_total"] - found["kit_total"] > 0
    assert inverter["used"] == 0
    assert "24 V" in inverter["why"]
    text = " ".join(run.stdout.split())
    assert f"saves {battery['saved']:,.2f} EUR" in text
    assert "Truck inverter: not used: wrong voltage" in text


def test_missing_data_of_a_part_typed_in_are_asked_for_by_name(shop, tmp_path):
    """All missing columns at once, each with what belongs there."""
    needs = tmp_path / "own.toml"
    missing = ("capacity_ah", "max_charge_a", "min_charge_c", "kg")
    lines = [x for x in BATTERY.splitlines() if not x.startswith(missing)]
    needs.write_text(CABIN + "\n".join(lines) + "\n", encoding="utf-8")
    for command in (("pick",), ("swap", "--part", "Garage battery")):
        run = shell(command[0], needs, "--catalog", shop, *command[1:])
        assert run.returncode == 2
        for name in missing:
            asked = [x for x in run.stderr.splitlines() if f"{name}: missing;" in x]
            assert len(asked) == 1, run.stderr
            assert '[[owned]] number 1 "Garage battery"' in asked[0]


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ((), "--part PART"),
        (("--part", "Garage batery"), 'did you mean "Garage battery"'),
        (("--part", "Garage battery=0"), "above 0"),
        (("--part", "Garage battery=1.5"), "whole number"),
        (("--part", "Garage battery=x"), '"x"'),
        (("--part", "Garage battery", "--part", "Garage battery=2"), "twice"),
        (("--part", "Garage battery", "--out", "s.csv"), "--out"),
        (("--part", "Garage battery", "--json", "no-such/s.json"), "no-such"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else value,
)
def test_bad_input_ends_with_2_and_writes_nothing(
    monkeypatch, capsys, owner, shop, tmp_path, words, named
):
    """Before anything is solved, with what was found and what is meant."""
    monkeypatch.chdir(tmp_path)
    assert typed(monkeypatch, "swap", owner, "--catalog", shop, *words) == 2
    seen = capsys.readouterr()
    assert named in seen.err
    assert "?." not in seen.err
    assert seen.out == ""
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.name == "nt", reason="signals are others there")
def test_an_interruption_leaves_nothing_half_written(owner, shop, tmp_path):
    """Ctrl-C in the middle of the work: 130, no files, no traceback."""
    words = ("swap", owner, "--catalog", shop, "--part", "Truck inverter")
    with begun(*words, "--json", tmp_path / "s.json", stdout=subprocess.DEVNULL) as run:
        assert run.stderr.readline(), "no progress was shown"
        run.send_signal(signal.SIGINT)
        rest = run.communicate()[1]
    assert run.returncode == 130, rest
    assert "Traceback" not in rest
    assert list(tmp_path.iterdir()) == []
