"""Programmes on their way to the solver."""

import random

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


def random_programme(seed):
    """A covering programme of some whole columns, which has an answer."""
    r = random.Random(seed)
    p = Programme()
    for _ in range(8):
        p.column(float(r.randint(3, 40)), 0.0, float(r.randint(1, 4)))
    for _ in range(5):
        terms = [(j, float(r.randint(1, 9))) for j in r.sample(range(8), 4)]
        p.at_least(terms, r.randint(3, int(sum(a * p.upper[j] for j, a in terms))))
    return p


def test_what_no_answer_costs_more_than_changes_no_verdict():
    """Told as a bound of the objective beside its row: the least is found if and only if it is within."""
    for seed in range(60):
        least = solve(random_programme(seed), gap=0.4).objective
        for most in (least - 1.0, least - 0.5, least, least + 0.05, least + 7.0):
            p = random_programme(seed)
            p.at_most(p.priced, most)
            answer = solve(p, gap=0.4, proving=True, most=most)
            if most < least - 1e-3:
                assert answer.status == "infeasible"
            else:
                assert (answer.status, round(answer.objective, 6)) == ("optimal", least)
