"""Arrays that may take the same wiring are put together: rows that differ, in rising order."""

from __future__ import annotations

import numpy as np
import pytest

from solver import groups
from solver.groups import unlike_rows


def the_long_way(rows):
    """By sorting whole rows."""
    unlike, which = np.unique(rows, axis=0, return_inverse=True)
    return unlike.tolist(), which.ravel().tolist()


@pytest.mark.parametrize("shape", [(1, 1), (3, 1), (50, 4), (400, 30)])
def test_rows_that_differ_are_told_apart(shape):
    """The same rows, order and numbers as sorting whole rows gives."""
    rows = np.random.default_rng(shape[0]).integers(0, 3, shape)
    unlike, which = unlike_rows(rows)
    assert (unlike.tolist(), which.tolist()) == the_long_way(rows)


def test_rows_with_the_same_number_are_told_apart_all_the_same(monkeypatch):
    """What is drawn may meet by chance: then whole rows are sorted."""

    class Zeros:
        def integers(self, low, high, size, dtype):
            return np.zeros(size, dtype=dtype)

    monkeypatch.setattr(groups.np.random, "default_rng", lambda seed: Zeros())
    rows = np.array([[1, 2], [0, 2], [1, 2], [0, 1]])
    unlike, which = unlike_rows(rows)
    assert (unlike.tolist(), which.tolist()) == the_long_way(rows)
