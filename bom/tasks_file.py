"""A file of tasks, TOML, to a network; every fault in it at once."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

from bom.needs_toml import read_toml
from bom.stated import Faults
from solver.columns import Wrong as WrongValue
from solver.columns import columns_of, nearest, read_value, show
from solver.errors import BadInput, BadNeeds
from solver.parts import CLASSES
from solver.tasks import Calendar, Network, Task, in_circle
from solver.work_order import FIXED_PANEL

SHIPPED = Path(__file__).resolve().parent / "data" / "tasks.toml"
"""The usual tasks; a person's own file is begun as a copy of it."""
MAX_BYTES = 1_000_000
MAX_TASKS = 200
LISTS = ("needs", "after", "only_with")
CIRCUIT_KINDS = (
    *("array", "controller", "battery", "inverter", "charger", "feed", "load", "link", "ac"),
    "bond",
)


def read_tasks(path: Path | None, parts: set[str]) -> Network:
    """The network of tasks in a file.

    Parameters
    ----------
    path : Path or None
        A TOML file; None: the usual tasks that come along.
    parts : set of str
        Parts of the catalog and owned ones, which a task may need by name.

    Raises
    ------
    BadInput
        With every fault of the file.
    """
    path = SHIPPED if path is None else path
    try:
        stated = read_toml(str(path), _content(path))
    except BadNeeds as wrong:
        raise BadInput(wrong.problems) from None
    faults = Faults(stated)
    for word in stated.tables:
        if word not in ("calendar", "task"):
            faults.unknown_table(word, ["calendar", "task"])
    calendar = _record(faults, Calendar, "calendar", None, stated.tables.get("calendar", {}))
    rows = stated.tables.get("task")
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        faults.add("missing; one [[task]] a task belongs here", "task")
        rows = []
    if len(rows) > MAX_TASKS:
        faults.add(f"found {len(rows)} tasks; at most {MAX_TASKS} belong here", "task")
        rows = []
    tasks = [_task(faults, n, row, parts) for n, row in enumerate(rows)]
    _check_names(faults, rows)
    if faults.problems:
        raise BadInput(faults.problems)
    found = [t for t in tasks if t is not None]
    return Network(tasks=tuple(found), calendar=calendar or Calendar())


def _content(path: Path) -> bytes:
    if path.is_dir():
        raise BadInput([f"{path}: is a folder; a file of tasks belongs here."])
    with path.open("rb") as file:
        content = file.read(MAX_BYTES + 1)
    if len(content) > MAX_BYTES:
        raise BadInput([f"{path}: is larger than {MAX_BYTES:,} bytes; no file of tasks is."])
    return content


def _record(
    faults: Faults, record: type, table: str, number: int | None, raw: Any, lists: Any = ()
) -> Any:
    """A record of single values; None where something is wrong with them."""
    before = len(faults.problems)
    if not isinstance(raw, dict):
        faults.add("a table of keys belongs here", table, number)
        return None
    columns = {c.name: c for c in columns_of(record)}
    values: dict[str, Any] = {}
    for key in raw:
        if key not in columns and key not in lists:
            faults.unknown("key", key, [*columns, *lists], table, number)
    for name, col in columns.items():
        if name not in raw:
            if col.required:
                faults.add(f"missing; {col.allowed()} belongs here", table, number, name)
            continue
        try:
            values[name] = read_value(col, raw[name])
        except WrongValue as wrong:
            faults.add(str(wrong), table, number, name)
    return record(**values) if len(faults.problems) == before else None


def _task(faults: Faults, number: int, raw: dict[str, Any], parts: set[str]) -> Task | None:
    known = {
        "needs": {*CLASSES, *parts},
        "after": None,
        "only_with": {*CLASSES, *CIRCUIT_KINDS, FIXED_PANEL},
    }
    lists = {key: _names(faults, number, raw, key, known[key]) for key in LISTS}
    task: Task | None = _record(faults, Task, "task", number, raw, LISTS)
    if task is None:
        return None
    return replace(
        task, needs=lists["needs"], after=lists["after"], only_with=lists["only_with"]
    )


def _names(
    faults: Faults, number: int, raw: dict[str, Any], key: str, known: set[str] | None
) -> tuple[str, ...]:
    value = raw.get(key, [])
    if not isinstance(value, list) or not all(isinstance(v, str) for v in value):
        faults.add(f"found {show(value)}; a list of names belongs here", "task", number, key)
        return ()
    for word in value:
        if known is not None and word not in known:
            hint = nearest(word, sorted(known))
            what = "class, kind of circuit" if key == "only_with" else "class, part"
            faults.add(f"found {show(word)}, no known {what}{hint}", "task", number, key)
    return tuple(value)


def _check_names(faults: Faults, rows: list[dict[str, Any]]) -> None:
    """Each name once, what a task comes after among them, and no task after itself."""
    names = [row.get("name") for row in rows]
    after: dict[str, list[str]] = {}
    for number, row in enumerate(rows):
        name, before = row.get("name"), row.get("after", [])
        if not isinstance(name, str) or not isinstance(before, list):
            continue
        if name in names[:number]:
            faults.add("this name stands twice", "task", number, "name")
        for word in before:
            if isinstance(word, str) and word not in names:
                hint = nearest(word, [n for n in names if isinstance(n, str)])
                faults.add(f"found {show(word)}, no task{hint}", "task", number, "after")
        after[name] = [word for word in before if isinstance(word, str)]
    circle = in_circle(after)
    if circle:
        told = ", ".join(show(name) for name in circle)
        faults.add(f"these come after each other in a circle: {told}", "task", None, "after")
