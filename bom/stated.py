"""What a needs file says, before it is judged, and the faults found in it.

A TOML file and a workbook come to the same thing: tables of keys, each with the place in the
file that a message has to name.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from solver.columns import nearest, printable, sentence, show


@dataclass(frozen=True, kw_only=True)
class Stated:
    """Tables as they stand in a needs file."""

    file: str
    """As the person named it."""
    tables: dict[str, Any]
    """A table of keys, or a list of them where a table has rows."""
    book: bool = False
    """Whether it is a workbook, where numbers may be typed as text."""
    sheet_rows: dict[tuple[str, int | str], int] = field(default_factory=dict)
    """Of a workbook: the row of the sheet of each row of a table (by its place in the list,
    from 0) and of each key."""
    problems: tuple[str, ...] = ()
    """What was wrong with its form, where the rest could still be read."""

    def where(self, table: str, number: int | None = None, key: str | None = None) -> str:
        """The place of a value as a person finds it.

        Parameters
        ----------
        table : str
            Name of the table or sheet.
        number : int, optional
            Which row of the table, from 0.
        key : str, optional
            The key or column; inside a key, with its parts after commas or dots.
        """
        places = [self.file]
        name = "" if number is None else self._name_of(table, number)
        if not self.book:
            places.append(
                f"[{table}]" if number is None else f"[[{table}]] number {number + 1}"
            )
            places[-1] += name
        else:
            places.append(f"sheet {table}")
            which = number if number is not None else (key or "").partition(",")[0]
            row = self.sheet_rows.get((table, which))
            if row is not None:
                places.append(f"row {row}{name}")
            if number is not None and key is not None:
                key = f"column {key}"
        if key is not None:
            places.append(key)
        return ", ".join(places)

    def rows(self, table: str) -> list[dict[str, Any]]:
        """The rows of a table as they stand; none where it has not the form of rows."""
        found = self.tables.get(table)
        if isinstance(found, list) and all(isinstance(row, dict) for row in found):
            return found
        return []

    def _name_of(self, table: str, number: int) -> str:
        """How a person calls that row, if it says so."""
        row = self.rows(table)[number]
        name: Any
        if table == "leg":
            name = f"{row.get('from', '?')} > {row.get('to', '?')}"
        else:
            name = row.get("kind" if table == "charging" else "name") or row.get("part")
        return f" {show(name)}" if isinstance(name, str) else ""


class Faults:
    """Everything that is wrong with a needs file, in the order it was found."""

    def __init__(self, stated: Stated) -> None:
        self.stated = stated
        self.problems: list[str] = list(stated.problems)

    def add(
        self, text: str, table: str, number: int | None = None, key: str | None = None
    ) -> None:
        """Note a fault and where it stands."""
        self.add_at(self.stated.where(table, number, key), text)

    def add_at(self, where: str, text: str) -> None:
        """Note a fault at a place already described."""
        self.problems.append(printable(sentence(f"{where}: {text}")))

    def unknown(
        self,
        noun: str,
        word: str,
        known: list[str],
        table: str,
        number: int | None = None,
    ) -> None:
        """Note an unknown name with the nearest right one, or all of them."""
        hint = nearest(word, known) or f"; known: {', '.join(known)}"
        self.add(f"unknown {noun} {show(word)}{hint}", table, number)

    def unknown_table(self, word: str, known: list[str]) -> None:
        """Note a table that does not exist."""
        hint = nearest(word, known) or f"; known: {', '.join(known)}"
        self.add_at(self.stated.file, f"unknown table or key {show(word)}{hint}")
