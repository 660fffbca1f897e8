"""A needs file, TOML or workbook, to `Needs`; every fault in it at once."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from bom.needs_checks import check_all
from bom.needs_ground import with_patch
from bom.needs_keys import BY_NAME, TABLES, WITHOUT_EFFECT, Key, Table
from bom.needs_owned import read_owned
from bom.needs_toml import read_toml
from bom.needs_values import WrongInside, value_of
from bom.stated import Faults, Stated
from solver.columns import Column, Wrong
from solver.errors import BadNeeds
from solver.needs import (
    Charging,
    Energy,
    Job,
    Leg,
    Limits,
    Load,
    Needs,
    Order,
    Owned,
    Place,
    Rules,
    Site,
)
from solver.stock import Stock

MAX_BYTES = 50_000_000
"""Largest needs file that is read."""

SUFFIXES = (".toml", ".xlsx")


def read_needs(path: Path | str, stock: Stock) -> Needs:
    """The needs a file states, checked against the catalog.

    Parameters
    ----------
    path : Path or str
        A `.toml` or `.xlsx` file.
    stock : Stock
        The catalog: owned parts and avoided suppliers must be in it.

    Raises
    ------
    BadNeeds
        With every fault of the file, each with its place, what was found and what is allowed.
    """
    return needs_of(read_stated(path), stock)


def read_stated(path: Path | str) -> Stated:
    """The tables of a needs file, before they are judged.

    Raises
    ------
    BadNeeds
        If the file is not there, cannot be read, or is neither TOML nor a workbook.
    """
    path = Path(path)
    if path.suffix.lower() not in SUFFIXES:
        raise BadNeeds([f"{path}: a needs file ends in .toml or .xlsx."])
    content = _content(path)
    if path.suffix.lower() == ".toml":
        return read_toml(str(path), content)
    from bom.needs_book import read_book

    return read_book(str(path), content)


def _content(path: Path) -> bytes:
    try:
        if path.is_dir():
            raise BadNeeds([f"{path}: is a folder; a needs file belongs here."])
        with path.open("rb") as file:
            content = file.read(MAX_BYTES + 1)
    except FileNotFoundError:
        hint = "kitbill start makes one to fill in"
        raise BadNeeds([f"{path}: there is no such file; {hint}."]) from None
    except OSError as wrong:
        raise BadNeeds([f"{path}: cannot be read ({wrong.strerror or wrong})."]) from wrong
    if len(content) > MAX_BYTES:
        raise BadNeeds([f"{path}: is over {MAX_BYTES // 1_000_000} MB, the most that is read."])
    return content


@dataclass
class Draft:
    """The records of a needs file as far as they could be read; None for a faulty one."""

    one: dict[str, Any] = field(default_factory=dict)
    rows: dict[str, list[Any]] = field(default_factory=dict)


def needs_of(stated: Stated, stock: Stock) -> Needs:
    """The needs that tables state, checked against the catalog.

    Raises
    ------
    BadNeeds
        With every fault.
    """
    faults = Faults(stated)
    draft = _draft(faults, stock)
    check_all(faults, draft.one, draft.rows, stock)
    if faults.problems:
        raise BadNeeds(list(dict.fromkeys(faults.problems)))
    return _finished(draft)


def _draft(faults: Faults, stock: Stock) -> Draft:
    draft = Draft()
    tables = faults.stated.tables
    for name in tables:
        if name not in BY_NAME:
            faults.unknown_table(name, list(BY_NAME))
    for table in TABLES:
        found = tables.get(table.name)
        if table.rows:
            rows = _rows_of(faults, table, found)
            if table.name == "place":
                rows = [with_patch(row, faults.stated.book) for row in rows]
            draft.rows[table.name] = [
                read_owned(faults, number, row, stock)
                if table.record is None
                else _record(faults, table, row, number)
                for number, row in enumerate(rows)
            ]
        else:
            draft.one[table.name] = _single(faults, table, found)
    return draft


def _rows_of(faults: Faults, table: Table, found: Any) -> list[dict[str, Any]]:
    """The rows of a table, or none where it has not the form of rows."""
    where = f"{faults.stated.file}, [[{table.name}]]"
    if isinstance(found, list) and all(isinstance(row, dict) for row in found):
        if found or not table.required:
            return found
    elif found is not None:
        what = "one table" if isinstance(found, dict) else "a value"
        text = f"found {what}; write [[{table.name}]] above the keys of each {table.name}"
        faults.add_at(where, text)
        return []
    if table.required:
        needed = ", ".join(table.required_names())
        faults.add_at(where, f"missing; at least one is needed, with {needed}")
    return []


def _single(faults: Faults, table: Table, found: Any) -> Any:
    """The record of a table that stands once."""
    where = f"{faults.stated.file}, [{table.name}]"
    if found is None:
        if not table.required:
            return _record(faults, table, {}, None)
        needed = ", ".join(table.required_names())
        faults.add_at(where, f"missing; this table is needed, with {needed}")
        return None
    if not isinstance(found, dict):
        what = "a table that stands several times" if isinstance(found, list) else "a value"
        faults.add_at(where, f"found {what}; write [{table.name}] once, its keys under it")
        return None
    return _record(faults, table, found, None)


def _record(faults: Faults, table: Table, raw: dict[str, Any], number: int | None) -> Any:
    """The record of one table or row, or None where something is wrong in it."""
    before = len(faults.problems)
    names = table.names()
    for word in raw:
        if word not in names:
            faults.unknown("key", word, names, table.name, number)
    values: dict[str, Any] = {}
    for col in table.columns():
        _read_column(faults, values, table, col, raw, number)
    for key in table.keys:
        _read_key(faults, values, table, key, raw, number)
    if len(faults.problems) > before:
        return None
    assert table.record is not None, table
    return table.record(**values)


def _read_column(
    faults: Faults,
    values: dict[str, Any],
    table: Table,
    col: Column,
    raw: dict[str, Any],
    number: int | None,
) -> None:
    if col.name not in raw:
        if col.required:
            text = f"missing; {col.allowed()} belongs here"
            faults.add(text, table.name, number, col.name)
        return
    try:
        values[col.name] = value_of(col, raw[col.name], faults.stated.book)
    except Wrong as wrong:
        faults.add(str(wrong), table.name, number, col.name)


def _read_key(
    faults: Faults,
    values: dict[str, Any],
    table: Table,
    key: Key,
    raw: dict[str, Any],
    number: int | None,
) -> None:
    if key.name not in raw:
        if key.required:
            text = f"missing; {key.meaning}, such as {key.example}, belongs here"
            faults.add(text, table.name, number, key.name)
        return
    try:
        values[key.field] = key.read(raw[key.name], faults.stated.book)
    except WrongInside as wrong:
        for part, text in wrong.problems:
            joint = ", " if part.startswith("number ") else "."
            faults.add(text, table.name, number, f"{key.name}{joint}{part}")
    except Wrong as wrong:
        faults.add(str(wrong), table.name, number, key.name)


def _finished(draft: Draft) -> Needs:
    """The needs, once nothing is wrong: what the person left open is reckoned or noted."""
    job: Job = draft.one["job"]
    site: Site = draft.one["site"]
    energy: Energy = draft.one["energy"]
    limits: Limits = draft.one["limits"]
    rules: Rules = draft.one["rules"]
    order: Order = draft.one["order"]
    loads: list[Load] = draft.rows["load"]
    charging: list[Charging] = draft.rows["charging"]
    places: list[Place] = draft.rows["place"]
    legs: list[Leg] = draft.rows["leg"]
    owned: list[Owned] = draft.rows["owned"]
    return Needs(
        job=job,
        site=site,
        energy=energy,
        loads=tuple(loads),
        charging=tuple(charging),
        places=tuple(places),
        legs=tuple(legs),
        limits=limits,
        rules=rules,
        owned=tuple(owned),
        order=order,
        sun_hours=_sun_hours(site),
        notes=(
            *_notes(site, energy, loads),
            *_without_effect({"load": loads, "place": places, "leg": legs}),
        ),
    )


def _sun_hours(site: Site) -> tuple[float, ...]:
    if site.sun_hours is not None:
        return site.sun_hours
    from bom.sun import monthly_sun_hours

    assert site.clearness is not None, site
    return monthly_sun_hours(
        site.latitude_deg, site.longitude_deg, site.tilt_deg, site.azimuth_deg, site.clearness
    )


def _notes(site: Site, energy: Energy, loads: list[Load]) -> list[str]:
    """What the file left open and the person must see."""
    notes = []
    if site.sun_hours is None:
        notes.append(
            f"Sun hours are not stated: computed for the place, the tilt and a clearness of "
            f"{site.clearness:g}. A measured record of the place is better."
        )
    elif site.clearness is not None:
        notes.append("sun_hours are stated, so clearness is not used.")
    if site.air_c is None:
        notes.append(
            "Mean air temperatures (air_c) are not stated: estimated from coldest_c and "
            "hottest_c."
        )
    notes += _notes_of_loads(site, energy, loads)
    return notes


def _without_effect(rows: dict[str, list[Any]]) -> list[str]:
    """One note on everything stated that changes nothing yet."""
    stated = []
    for table, records in rows.items():
        keys = [
            key
            for key in WITHOUT_EFFECT.get(table, ())
            if any(getattr(record, key) not in (None, False) for record in records)
        ]
        if keys:
            stated.append(f"[[{table}]] {', '.join(keys)}")
    if not stated:
        return []
    return [f"Stated, and without effect in this version: {'; '.join(stated)}."]


def _notes_of_loads(site: Site, energy: Energy, loads: list[Load]) -> list[str]:
    notes = []
    on = energy.inverter_hours_per_day
    ac = [load for load in loads if load.supply == "ac"]
    if ac and on is None:
        notes.append(
            "inverter_hours_per_day is not stated: the inverter is taken to be on 24 h a day."
        )
    notes += [
        f'Load "{load.name}" runs {load.hours_per_day:g} h a day, but the inverter is on for '
        f"{on:g} h only."
        for load in ac
        if on is not None and load.hours_per_day > on
    ]
    notes += [
        f'Load "{load.name}" runs in none of the months in use.'
        for load in loads
        if load.months is not None and not set(load.months) & set(site.months)
    ]
    return notes
