"""Cutting stock from the literature: every instance to its known optimum, and not one roll less.

A paper mill's rolls from an encyclopedia's article; rolls of V. Chvátal, Linear Programming
(1983), and of R. Fourer, D. Gay, B. Kernighan, AMPL (2003), both from memory; u120_00 of
E. Falkenauer, A hybrid grouping genetic algorithm for bin packing (1996). The optimum of each was
computed again by another solver. The others are constructed; each row says which it is.
"""

from decimal import Decimal

import pytest

from solver.cutting import Length, Sold, cheapest, cut
from tests.published.printed import rows, standing

FINE = 10
"""Widths are printed with a decimal: in tenths they are whole."""


def _cases():
    return [
        pytest.param(row, id=f"{row['instance']}{standing(row)}")
        for row in rows("cutting_stock_instances")
    ]


def _whole(text):
    number = Decimal(text) * FINE
    assert number == int(number)
    return int(number)


def _pieces(row):
    found = [
        _whole(x["piece_length"])
        for x in rows("cutting_stock_demand")
        if x["instance"] == row["instance"]
        for _ in range(int(x["demand"]))
    ]
    assert len(found) == int(row["pieces"])
    assert sum(found) == Decimal(row["total_length"]) * FINE
    return found


@pytest.mark.parametrize("row", _cases())
def test_as_many_lengths_are_bought_as_are_known_to_be_needed(row):
    """The proven least number is the published or recomputed one, and all pieces come out."""
    pieces, mm = _pieces(row), _whole(row["stock_length"])
    found = cheapest(pieces, [Sold("roll", mm, ((1, Decimal(1)),))])
    assert found.cost == found.packs[0] == int(row["optimum_rolls"])
    assert sorted(i for x in found.cuttings for i in x.pieces) == list(range(len(pieces)))
    assert all(sum(pieces[i] for i in x.pieces) + x.offcut_mm == mm for x in found.cuttings)
    assert all(x.offcut_mm >= 0 for x in found.cuttings)


@pytest.mark.parametrize("row", _cases())
def test_pieces_come_out_of_so_many_lengths_and_of_none_fewer(row):
    """Pieces are dealt to the known number of lengths; one less is proven too few."""
    pieces = _pieces(row)
    lengths = [Length("roll", _whole(row["stock_length"]))] * int(row["optimum_rolls"])
    taken = cut(pieces, lengths)
    for j, length in enumerate(lengths):
        assert sum(p for p, k in zip(pieces, taken, strict=True) if k == j) <= length.mm
    assert cut(pieces, lengths[1:]) is None
