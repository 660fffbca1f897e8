"""Names: modules called by the trade, quantities with their unit last."""

import ast
import dataclasses
import importlib

import pytest

from solver.parts import CLASSES, Device, Part
from tests.house.tree import ROOT, modules

EMPTY_NAMES = {
    "util", "utils", "helper", "helpers", "misc", "common", "manager", "handler", "handlers",
    "managers", "stuff", "tools", "functions", "core", "main",
}  # fmt: skip

ENDINGS = {
    "W": ("_w", "watts"),
    "Wh": ("_wh",),
    "V": ("_v", "volts"),
    "A": ("_a",),
    "kA": ("_ka",),
    "mA": ("_ma",),
    "Ah": ("_ah",),
    "mΩ": ("_mohm",),
    "Ω/m": ("ohm_per_m",),
    "Ω/km": ("ohm_per_km", "ohm_per_km_20c"),
    "Hz": ("hz",),
    "h": ("_h", "hours_per_day"),
    "s": ("_s",),
    "days": ("_days",),
    "mm": ("_mm",),
    "m": ("_m", "metres"),
    "mm²": ("_mm2",),
    "cm²": ("_cm2",),
    "m²": ("_m2",),
    "ml": ("ml",),
    "kg": ("kg",),
    "kg·m": ("kgm",),
    "m³/h": ("_m3_per_h",),
    "°C": ("_c",),
    "K": ("_k",),
    "°": ("_deg",),
    "%": ("_pct",),
    "%/K": ("_pct_per_c",),
    "N": ("_n",),
    "Nm": ("_nm",),
    "cents": ("cents",),
}
"""How the name of a value in each unit ends."""

TABLE_NAMES_THE_UNIT = {"DropLimits"}
"""Records that stand under a key with the unit in it (`drop_pct`)."""

WITHOUT_UNIT = {
    "clearness": "a fraction",
    "derate": "a fraction",
    "power_factor": "a ratio",
    "continuous": "a ratio",
    "value": "its unit stands beside it, in `unit`",
    "left": "its unit stands beside it, in `unit`",
    "step": "its unit stands beside it, in `unit`",
    "most": "a count of moves, which may have no end",
    "limit": "its unit stands beside it, in `unit`",
    "used": "its unit stands beside it, in `unit`",
    "width": "of a workbook's column, in the file format's own unit of characters",
    "sun_hours": "hours, as everybody calls them",
    "objective": "in the unit of the programme's costs",
    "bound": "in the unit of the programme's costs",
    "quantity": "a count, or metres of what is sold by the metre",
    "freight_margin": "money, in the job's currency",
    "above": "a limit of a declared column, in that column's unit",
    "at_least": "a limit of a declared column, in that column's unit",
    "at_most": "a limit of a declared column, in that column's unit",
}
"""Numbers that have no unit, or have it elsewhere; each says why."""


FLOATS = {"float", "float | None"}


def test_no_module_is_named_for_nothing():
    """A module's name says what of the trade is in it."""
    assert [p for p in modules() if p.stem in EMPTY_NAMES] == []


def _declared():
    needs, stock = (importlib.import_module(f"solver.{m}") for m in ("needs", "stock"))
    records = {Part, Device, *CLASSES.values()}
    records |= {r for m in (needs, stock) for r in vars(m).values() if isinstance(r, type)}
    for record in sorted(filter(dataclasses.is_dataclass, records), key=lambda r: r.__name__):
        for field in dataclasses.fields(record):
            if "kitbill" in field.metadata and record.__name__ not in TABLE_NAMES_THE_UNIT:
                yield record.__name__, field.name, field.metadata["kitbill"]["unit"]


@pytest.mark.parametrize(
    ("name", "unit"), sorted({(n, u) for _, n, u in _declared() if u}), ids=lambda x: x
)
def test_a_column_carries_its_unit_in_its_name(name, unit):
    """What a person reads in a heading and what the message says are the same unit."""
    assert unit in ENDINGS, f"no ending is agreed for {unit}: add it to ENDINGS"
    assert name.endswith(ENDINGS[unit]), f"{name} is in {unit}"


def _floats(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for cls in ast.walk(tree):
        if isinstance(cls, ast.ClassDef) and not (
            cls.name in TABLE_NAMES_THE_UNIT or cls.name.startswith("_")
        ):
            for node in cls.body:
                if isinstance(node, ast.AnnAssign) and ast.unparse(node.annotation) in FLOATS:
                    yield cls.name, ast.unparse(node.target)


@pytest.mark.parametrize(
    "path", list(modules()), ids=lambda path: path.relative_to(ROOT).as_posix()
)
def test_a_number_in_a_record_carries_its_unit_in_its_name(path):
    """A length in metres is never taken for one in millimetres: each float names its unit."""
    known = tuple(ending for endings in ENDINGS.values() for ending in endings)
    bare = [
        f"{record}.{name}"
        for record, name in _floats(path)
        if not (name.endswith(known) or name in WITHOUT_UNIT)
    ]
    assert bare == []
