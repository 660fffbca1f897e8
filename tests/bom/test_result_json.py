"""The result file: its fixed keys, amounts to the cent, the same bytes every time."""

from __future__ import annotations

import dataclasses
import json
import math
from decimal import Decimal

import pytest

from bom.result_json import dumps, lug_counts, result_to_json
from tests.bom.sample import DESIGN, LINES, LUGS_BY_HAND, NEEDS, NO_KIT, ORDERS, RESULT, TOTAL

TOP = (
    "format status currency total lower_bound gap_pct system_voltage_v energy arrays bank devices "
    "circuits cuts lugs lines checks notes reasons"
)
ROWS = {
    "arrays": "controller panel series parallel voc_cold_v vmp_hot_v isc_a charge_a",
    "devices": "id part class place x_mm y_mm rotated",
    "circuits": "name kind from to conductors current_a design_a length_m cable area_mm2 "
    "ampacity_a drop_v drop_pct protection protection_id via",
    "cuts": "label cable length_mm circuit piece_of ends",
    "lugs": "lug quantity",
    "lines": "part class name unit need spares owned buy supplier pack packs price line_total why",
    "checks": "rule source subject value limit unit ok",
}
"""The keys that every reader of the file may count on."""


def _read(result, needs=NEEDS):
    return json.loads(dumps(result_to_json(result, needs)))


def test_every_fixed_key_is_there():
    """What is written against the result file's format finds its keys."""
    found = _read(RESULT)
    assert found["format"] == "kitbill-result-1"
    assert set(TOP.split()) <= set(found)
    for name, keys in ROWS.items():
        assert found[name], f"the sample has no {name}"
        for row in found[name]:
            assert set(keys.split()) <= set(row), name
    assert set(found["energy"]) == {
        *("daily_load_wh", "daily_battery_wh", "usable_battery_wh", "months")
    }
    assert set(found["energy"]["months"][0]) == {"month", "need_wh", "yield_wh", "other_wh"}
    assert {"battery", "series", "parallel"} <= set(found["bank"])
    assert set(found["cuts"][0]["ends"][0]) == {"at", "pole", "stud", "termination"}


def test_a_result_without_a_kit_has_nulls_and_reasons():
    """A reader can tell "no kit" from a kit that costs nothing."""
    found = _read(NO_KIT)
    assert set(TOP.split()) <= set(found)
    nothing = ("total", "lower_bound", "gap_pct", "system_voltage_v", "energy", "bank")
    assert {found[key] for key in nothing} == {None}
    assert all(found[key] == [] for key in ROWS)
    assert found["reasons"] == [
        {
            "needs": ["limits.budget", "energy.autonomy_days"],
            "message": "The bank for 1.5 days costs more than the budget leaves.",
            "change": "budget 300 -> 412.50",
        }
    ]


def test_amounts_keep_every_digit():
    """An amount read back as a decimal is the amount that was computed, not one near it."""
    found = json.loads(dumps(result_to_json(RESULT, NEEDS)), parse_float=Decimal)
    assert found["total"] == TOTAL
    for row, line in zip(found["lines"], LINES, strict=True):
        assert row["line_total"] == line.line_total
        assert row["price"] == line.price


def test_lines_and_shipping_make_the_total():
    """Whoever adds up the file gets the total to the cent."""
    found = _read(RESULT)
    shipping = sum(o["shipping"] for o in found["orders"])
    total = sum(line["line_total"] for line in found["lines"]) + shipping
    assert total == pytest.approx(found["total"], abs=0.005)
    for row, order in zip(found["orders"], ORDERS, strict=True):
        goods = [x["line_total"] for x in found["lines"] if x["supplier"] == order.supplier]
        assert sum(goods) == pytest.approx(row["goods"], abs=0.005)


def test_lugs_are_counted_from_the_ends():
    """The count is that of a person with a finger on the list of pieces."""
    assert lug_counts(DESIGN) == LUGS_BY_HAND


def test_an_owned_part_described_inline_goes_by_its_name():
    """It is found under one name in devices and lines, and nothing is bought for it."""
    found = _read(RESULT)
    (line,) = (x for x in found["lines"] if x["part"] == "+ shed charger")
    assert (line["owned"], line["buy"], line["line_total"]) == (1, 0, 0)
    assert {line[key] for key in ("supplier", "pack", "packs", "price")} == {None}
    assert "+ shed charger" in {d["part"] for d in found["devices"]}


def test_notes_of_needs_and_answer_stand_once_each():
    """What the person must see is neither lost nor said twice."""
    again = dataclasses.replace(RESULT, notes=(*NEEDS.notes, *RESULT.notes))
    assert _read(again)["notes"] == [*NEEDS.notes, *RESULT.notes]


def test_same_answer_same_bytes():
    """Two runs can be compared with a tool that compares files."""
    first, second = (dumps(result_to_json(RESULT, NEEDS)) for _ in range(2))
    assert first == second
    assert first.endswith(b"}\n")
    assert "=Allotment hut & shed" in first.decode("utf-8")


def test_a_value_that_is_no_number_is_a_defect_not_a_file():
    """Not-a-number is no JSON: it must never reach a reader."""
    bad = dataclasses.replace(DESIGN.arrays[0], voc_cold_v=math.nan)
    design = dataclasses.replace(DESIGN, arrays=(bad,))
    with pytest.raises(AssertionError, match="nan"):
        result_to_json(dataclasses.replace(RESULT, design=design), NEEDS)
