"""Programmes on their way to the solver."""

from solver.milp import Programme, _smaller, solve


def test_rows_in_large_units_are_made_smaller_and_say_the_same():
    """By a power of two, so that no coefficient is rounded and none is above the largest."""
    low, high, terms = _smaller(0.0, 9_045_180.0, [(0, 1_952_748.0), (1, 583_000.1), (2, 1.0)])
    by = terms[2][1]
    assert 500 < terms[0][1] <= 1000
    assert (low, high) == (0.0, 9_045_180.0 * by)
    assert [a / by for _, a in terms] == [1_952_748.0, 583_000.1, 1.0]
    assert _smaller(1.0, 2.0, [(0, 1000.0)]) == (1.0, 2.0, [(0, 1000.0)])


def test_an_answer_in_large_units_is_the_exact_one():
    """Areas in square millimetres: two of each are too much by two of them."""
    p = Programme()
    many = [p.column(cost, 0.0, 5.0) for cost in (-300.0, -199.0)]
    p.at_most([(many[0], 3_000_000.0), (many[1], 2_000_001.0)], 10_000_000.0)
    answer = solve(p, gap=0.0)
    assert answer.status == "optimal"
    assert answer.values.round().tolist() == [3.0, 0.0]
