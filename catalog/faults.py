"""What is wrong in the files of one load: collected, and shown together from first to last."""

from __future__ import annotations

from dataclasses import dataclass, field

from solver.errors import BadCatalog


@dataclass(slots=True)
class Faults:
    """The faults found so far; each names its file, row and column, as far as it has them."""

    _found: list[tuple[tuple[int, int], int, int, str]] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self._found)

    def add(
        self,
        order: tuple[int, int],
        label: str,
        text: str,
        *,
        row: int = 0,
        column: str = "",
        position: int = 0,
    ) -> None:
        """Note a fault.

        Parameters
        ----------
        order : tuple of int
            Number of the file and of the sheet in it, for the order of the messages.
        label : str
            What to call them.
        text : str
            What was found and what is allowed.
        row : int
            Line in the file, the heading being 1; 0 for the file as a whole.
        column : str
            The column's name.
        position : int
            Where it stands in the row.
        """
        place = label
        if row:
            place += f", row {row}"
        if column:
            place += f", column {column}"
        self._found.append((order, row, position, f"{place}: {text}"))

    def raise_any(self) -> None:
        """Raise `BadCatalog` with everything, if there is anything."""
        if self._found:
            raise BadCatalog([text for *_, text in sorted(self._found, key=lambda f: f[:3])])
