"""The result file: its fixed keys, amounts to the cent, the same bytes every time."""

from __future__ import annotations

import dataclasses
import json
import math
from decimal import Decimal

import pytest

from bom.fit_notes import fit_notes
from bom.result_json import (
    AC_IS_LICENSED,
    NOT_IN_BILL,
    UNROUNDED,
    dumps,
    lug_counts,
    result_to_json,
)
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
    "cuts": "label cable length_mm circuit piece_of sheathed ends",
    "lengths": "cable name length_mm cuts offcut_mm",
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
    always = (NOT_IN_BILL, AC_IS_LICENSED, UNROUNDED, *fit_notes(DESIGN, NEEDS))
    own = [n for n in _read(again)["notes"] if n not in always]
    assert own == [*NEEDS.notes, *RESULT.notes]


def test_what_the_bill_leaves_out_is_said_with_every_kit():
    """Nobody takes the bill for complete; of the AC side it is said where there is one."""
    dc = tuple(c for c in DESIGN.circuits if c.kind != "ac")
    ac = (*dc, dataclasses.replace(dc[0], name="AC kettle", kind="ac"))
    for circuits, said in ((dc, False), (ac, True)):
        design = dataclasses.replace(DESIGN, circuits=circuits)
        notes = _read(dataclasses.replace(RESULT, design=design))["notes"]
        assert NOT_IN_BILL in notes
        assert (AC_IS_LICENSED in notes) == said
    assert NOT_IN_BILL not in _read(NO_KIT)["notes"]


@pytest.mark.parametrize("vented", [True, False])
def test_gas_of_a_lead_acid_bank_is_told_with_the_air_it_needs(vented):
    """100 Ah of AGM at 12 V, by EN IEC 62485-2, 7.2, from memory: 0.05 · 6 · 8 · 100 / 1000 is
    0.24 m³/h, 28 cm² each for one m³/h; and a warning where the place is not vented.
    """
    place = DESIGN.device(DESIGN.bank.batteries[0]).place
    places = tuple(
        dataclasses.replace(p, vented=vented) if p.name == place else p for p in NEEDS.places
    )
    design = dataclasses.replace(DESIGN, chemistry="agm")
    told = _read(
        dataclasses.replace(RESULT, design=design), dataclasses.replace(NEEDS, places=places)
    )["notes"]
    assert any("0.24 m³/h" in n and "two openings of 7 cm²" in n for n in told)
    assert any("not stated as vented" in n for n in told) is not vented
    assert not any("hydrogen" in n for n in _read(RESULT)["notes"])


def test_whole_cents_need_no_note_on_rounding():
    """The note is for those whose prices are changed from another currency, and for them only."""
    lines = tuple(x for x in RESULT.lines if x.supplier != "isle")
    assert UNROUNDED not in _read(dataclasses.replace(RESULT, lines=lines))["notes"]


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
