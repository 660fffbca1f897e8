"""Integer programmes: the only room that touches the modelling library and the solvers.

A `Programme` is kept as plain lists, so that the same rows go to HiGHS through arrays, relaxed
(reduced costs, thousands of columns) or whole, and to CBC through the modelling library.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray  # noqa: TC002  beside numpy, as everywhere

INF = math.inf

SLACK = 1e-5
"""How far an answer may be off a bound, a whole number or, by its largest coefficient, a row."""


@dataclass
class Programme:
    """Minimise cost·x under row bounds and column bounds, some columns whole."""

    cost: list[float] = field(default_factory=list)
    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    rows: list[tuple[float, float, list[tuple[int, float]], str]] = field(default_factory=list)

    def column(
        self, cost: float = 0.0, lower: float = 0.0, upper: float = 1.0, *, whole: bool = True
    ) -> int:
        """Add a column; every column is bounded."""
        if not (math.isfinite(cost) and math.isfinite(lower) and math.isfinite(upper)):
            raise AssertionError(f"a column must be finite: {cost}, {lower}, {upper}")
        self.cost.append(cost)
        self.lower.append(lower)
        self.upper.append(upper)
        self.whole.append(whole)
        return len(self.cost) - 1

    @property
    def priced(self) -> list[tuple[int, float]]:
        """The objective as terms of a row."""
        return [(j, c) for j, c in enumerate(self.cost) if c]

    def row(
        self, lower: float, upper: float, terms: Iterable[tuple[int, float]], name: str = ""
    ) -> None:
        """Add lower <= Σ coefficient·column <= upper; repeated columns are added up."""
        listed = list(terms)
        summed = dict(listed)
        if len(summed) < len(listed):
            summed = dict.fromkeys(summed, 0.0)
            for j, a in listed:
                summed[j] += a
        if not math.isfinite(sum(summed.values())):
            raise AssertionError(f"a coefficient of row {name!r} is not finite")
        self.rows.append((lower, upper, [t for t in summed.items() if t[1] != 0.0], name))

    def at_least(
        self, terms: Iterable[tuple[int, float]], limit: float, name: str = ""
    ) -> None:
        """Add Σ >= limit."""
        self.row(limit, INF, terms, name)

    def at_most(self, terms: Iterable[tuple[int, float]], limit: float, name: str = "") -> None:
        """Add Σ <= limit."""
        self.row(-INF, limit, terms, name)

    def holds(self, values: Sequence[float] | NDArray[np.float64]) -> bool:
        """Whether an answer is whole where it has to be and keeps every row."""
        for value, low, high, whole in zip(
            values, self.lower, self.upper, self.whole, strict=True
        ):
            if not low - SLACK <= value <= high + SLACK:
                return False
            if whole and abs(value - round(value)) > SLACK:
                return False
        for low, high, terms, _ in self.rows:
            slack = SLACK * max((abs(a) for _, a in terms), default=1.0)
            if not low - slack <= sum(a * values[j] for j, a in terms) <= high + slack:
                return False
        return True

    def equal(self, terms: Iterable[tuple[int, float]], value: float, name: str = "") -> None:
        """Add Σ = value."""
        self.row(value, value, terms, name)


@dataclass(frozen=True)
class LpAnswer:
    """An answer of the programme with whole columns relaxed."""

    infeasible: bool
    """Proven to have no answer."""
    objective: float
    reduced: NDArray[np.float64]
    row_duals: NDArray[np.float64]
    values: NDArray[np.float64]


@dataclass(frozen=True)
class MipAnswer:
    """An answer of the programme itself."""

    status: str
    """`optimal`, `stopped` (by time, with an answer), `nothing` (by time, without one), or
    `infeasible`."""
    objective: float
    bound: float
    """Proven: no answer is below it."""
    values: NDArray[np.float64]


def none_there(columns: int) -> MipAnswer:
    """Proven: no answer."""
    return MipAnswer("infeasible", INF, INF, np.zeros(columns))


def none_found(columns: int, bound: float = -INF) -> MipAnswer:
    """No answer by the time that there was."""
    return MipAnswer("nothing", INF, bound, np.zeros(columns))


class Relaxed:
    """The linear relaxation of a programme, kept so that rows can be added and it solved again."""

    def __init__(self, p: Programme) -> None:
        self.p = p
        self._solver = _highs(p, relaxed=True)
        # a dual simplex on the rows as they are: presolving takes longer than it saves
        self._solver.setOptionValue("presolve", "off")
        self._rows = len(p.rows)

    def solve(self) -> LpAnswer:
        """Solve it; reduced costs are of every column."""
        h, p = self._solver, self.p
        for low, high, terms, _ in p.rows[self._rows :]:
            at = np.array([j for j, _ in terms], dtype=np.int32)
            h.addRow(low, high, len(terms), at, np.array([a for _, a in terms], dtype=float))
        self._rows = len(p.rows)
        h.run()
        status = _status(h)
        feasible = status == "kOptimal"
        none = ("kInfeasible", "kUnboundedOrInfeasible", "kObjectiveBound")
        if not feasible and status not in none:
            # every column is bounded, so there is an answer or there is none: try once more
            h.setOptionValue("presolve", "on")
            h.run()
            status = _status(h)
            feasible = status == "kOptimal"
            if not feasible and status not in none:
                raise AssertionError(f"the solver ended a relaxed programme with {status}")
        solution = h.getSolution()
        n = len(p.cost)
        return LpAnswer(
            infeasible=not feasible,
            objective=float(h.getInfo().objective_function_value) if feasible else INF,
            reduced=np.array(solution.col_dual if feasible else np.zeros(n), dtype=float),
            row_duals=np.array(
                solution.row_dual if feasible else np.zeros(len(p.rows)), dtype=float
            ),
            values=np.array(solution.col_value if feasible else np.zeros(n), dtype=float),
        )

    def shut(self, columns: Iterable[int]) -> None:
        """Leave some columns at zero from now on."""
        for j in columns:
            self.p.upper[j] = self.p.lower[j] = 0.0
            self._solver.changeColBounds(int(j), 0.0, 0.0)

    def sums(self, sums: Sequence[Sequence[int]]) -> int:
        """Add a row without limits for each sum of columns; the number of the first."""
        first = len(self.p.rows)
        for columns in sums:
            self.p.row(-INF, INF, [(j, 1.0) for j in columns], "sum")
        return first

    def within(
        self,
        columns: Mapping[int, tuple[float, float]],
        rows: Mapping[int, tuple[float, float]],
        most: float,
    ) -> LpAnswer:
        """Solve it with other limits of some columns and rows, this once.

        It begins where the last answer was. What costs more than `most` counts as no answer.
        """
        h, p = self._solver, self.p
        for j, (low, high) in columns.items():
            h.changeColBounds(j, low, high)
        before = [p.rows[i] for i in rows]
        for i, limits in rows.items():
            p.rows[i] = (*limits, *p.rows[i][2:])
            if i < self._rows:
                h.changeRowBounds(i, *limits)
        h.setOptionValue("objective_bound", most)
        answer = self.solve()
        h.setOptionValue("objective_bound", INF)
        for j in columns:
            h.changeColBounds(j, p.lower[j], p.upper[j])
        for i, row in zip(rows, before, strict=True):
            p.rows[i] = row
            h.changeRowBounds(i, row[0], row[1])
        return answer


def solve_relaxed(p: Programme) -> LpAnswer:
    """Solve the linear relaxation once."""
    return Relaxed(p).solve()


def least_mean(
    cost: NDArray[np.float64], counts: NDArray[np.float64], shares: NDArray[np.float64]
) -> tuple[NDArray[np.float64], float] | None:
    """The cheapest mixture of whole choices that makes given shares, by its duals.

    Minimise cost·l over l >= 0 with Σ l = 1 and counts' l = shares. Gives the duals of the shares
    and of the sum; None where no mixture makes the shares.
    """
    import highspy

    h = highspy.Highs()  # type: ignore[no-untyped-call]
    h.setOptionValue("output_flag", False)
    h.setOptionValue("threads", 1)
    n, m = counts.shape
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = n, m + 1
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = cost, np.zeros(n), np.full(n, INF)
    lp.row_lower_ = lp.row_upper_ = np.append(shares, 1.0)
    full = np.hstack([counts, np.ones((n, 1))])
    at = np.nonzero(full)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    per_column = np.bincount(at[0], minlength=n)
    lp.a_matrix_.start_ = np.concatenate([[0], np.cumsum(per_column)]).astype(np.int32)
    lp.a_matrix_.index_ = at[1].astype(np.int32)
    lp.a_matrix_.value_ = full[at]
    h.passModel(lp)
    h.run()
    if _status(h) != "kOptimal":
        return None
    duals = np.array(h.getSolution().row_dual, dtype=float)
    return duals[:-1], float(duals[-1])


def _status(h: Any) -> str:
    return str(h.getModelStatus()).rsplit(".", 1)[-1]


def _highs(p: Programme, *, relaxed: bool) -> Any:
    import highspy

    h = highspy.Highs()  # type: ignore[no-untyped-call]
    h.setOptionValue("output_flag", False)
    h.setOptionValue("threads", 1)
    h.setOptionValue("random_seed", 1)
    lp = highspy.HighsLp()
    n, m = len(p.cost), len(p.rows)
    # an answer's duals would be those of other rows
    rows = [row[:3] if relaxed else _smaller(*row[:3]) for row in p.rows]
    lp.num_col_, lp.num_row_ = n, m
    lp.col_cost_ = np.array(p.cost, dtype=float)
    lp.col_lower_ = np.array(p.lower, dtype=float)
    lp.col_upper_ = np.array(p.upper, dtype=float)
    lp.row_lower_ = np.array([r[0] for r in rows], dtype=float)
    lp.row_upper_ = np.array([r[1] for r in rows], dtype=float)
    starts = np.zeros(m + 1, dtype=np.int32)
    starts[1:] = np.cumsum([len(r[2]) for r in rows])
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = starts
    every = [t for r in rows for t in r[2]]
    lp.a_matrix_.index_ = np.array([j for j, _ in every], dtype=np.int32)
    lp.a_matrix_.value_ = np.array([a for _, a in every], dtype=float)
    if not relaxed:
        kinds = (highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger)
        lp.integrality_ = [kinds[w] for w in p.whole]
    if h.passModel(lp) == highspy.HighsStatus.kError:
        raise AssertionError("the solver refused the programme")
    return h


def solve(
    p: Programme,
    *,
    solver: str = "highs",
    limit_s: float | None = None,
    gap: float = 1e-3,
    proving: bool = False,
    most: float | None = None,
    stopped: Callable[[], bool] | None = None,
) -> MipAnswer:
    """Solve the programme to a proven optimum, or until the time is up.

    Parameters
    ----------
    p : Programme
        What to solve; in the objective's own unit.
    solver : str
        `highs`, in process, or `cbc`.
    limit_s : float, optional
        Stop after so many seconds with the best answer so far.
    gap : float
        Largest difference between answer and bound that counts as proven, in the objective's
        unit.
    proving : bool
        A good answer is known and a row keeps the others out: spend no time on looking for one.
    most : float, optional
        What no answer costs more than, by a row of the programme. `highs` then drops a part of its
        search, and columns, as soon as they cost more, which it does not conclude from the row.
    stopped : callable, optional
        Asked now and then by `highs` whether to end as if the time were up. It must not raise.
    """
    if not p.cost:
        if any(low > 0 or high < 0 for low, high, *_ in p.rows):
            return none_there(0)
        return MipAnswer("optimal", 0.0, 0.0, np.zeros(0))
    if solver == "cbc":
        return _with_cbc(p, limit_s, gap)
    options: dict[str, Any] = {
        "mip_rel_gap": 0.0, "mip_abs_gap": gap, "mip_feasibility_tolerance": 1e-7,
    }  # fmt: skip
    if proving:
        # no effort alone leaves some of them on, and takes up to three times as long
        options |= {
            "mip_heuristic_effort": 0.0,
            "mip_heuristic_run_rins": False,
            "mip_heuristic_run_rens": False,
            "mip_heuristic_run_root_reduced_cost": False,
            "mip_pscost_minreliable": 1,
            "presolve_rule_off": sum(1 << rule for rule in SLOW_RULES),
        }
    if limit_s is not None:
        options["time_limit"] = limit_s
    if most is not None:
        options["objective_bound"] = most + gap
    h = _run(p, options, stopped)
    if _lost(h):
        h = _run(p, options | {"presolve": "off"}, stopped)
        if _lost(h):
            return none_found(len(p.cost))
    answer = _outcome(h, len(p.cost))
    if most is not None and answer.status == "nothing" and _status(h) == "kOptimal":
        # all was looked at, and whatever there is costs more
        return replace(answer, status="infeasible", bound=INF)
    return answer


def _run(p: Programme, options: Mapping[str, Any], stopped: Callable[[], bool] | None) -> Any:
    """HiGHS, after it has solved a programme.

    It takes it through arrays: the modelling library makes an object of every coefficient, which
    takes longer than solving a small one.
    """
    h = _highs(p, relaxed=False)
    for name, value in options.items():
        h.setOptionValue(name, value)
    if stopped is not None:
        _asks(h, stopped)
    h.run()
    return h


SLOW_RULES = (12, 13, 14, 15, 16)
"""Rules of presolving that a proof goes without, by their numbers in HiGHS 1.16: aggregator, parallel
rows and columns, sparsify, probing, enumeration.

It presolves anew whenever a tenth of the columns are fixed, and a half to nine tenths of the time of
a large programme went into these.
"""

LARGEST = 1000.0
"""Rows of whole programmes with larger coefficients are made smaller.

With areas in square millimetres HiGHS 1.16 took answers for whole ones that broke the row, and went
on mending them without an end.
"""

Row = tuple[float, float, list[tuple[int, float]]]


def _smaller(low: float, high: float, terms: list[tuple[int, float]]) -> Row:
    """The same row with no coefficient above `LARGEST`; by a power of two, so nothing is rounded."""
    largest = max((abs(a) for _, a in terms), default=0.0)
    if largest <= LARGEST:
        return low, high, terms
    by = 2.0 ** -math.ceil(math.log2(largest / LARGEST))
    return low * by, high * by, [(j, a * by) for j, a in terms]


BREAKS_ROWS = 1
"""What HiGHS calls an answer that it has and that is none."""


def _lost(h: Any) -> bool:
    """Whether an answer was found of what presolving left, and then lost on the way back.

    With release 1.16 of HiGHS that answer broke rows of the programme, and the verdict was that
    there is none, or, where it had a bound of the objective, an error. Where there really is none,
    nothing was found.
    """
    status, answer = _status(h), h.getInfo().primal_solution_status
    if status in ("kInfeasible", "kUnboundedOrInfeasible"):
        return bool(answer)
    return status == "kSolveError" or (status == "kOptimal" and answer == BREAKS_ROWS)


def _asks(h: Any, stopped: Callable[[], bool]) -> None:
    """Let the solver ask at its nodes whether to go on.

    Asking also lets this process take notice of an interruption, which it cannot while the
    solver computes.
    """
    import highspy

    def ask(_kind: Any, _text: str, _out: Any, answer: Any, _given: Any) -> None:
        if stopped():
            answer.user_interrupt = True

    h.setCallback(ask, None)
    h.startCallback(highspy.cb.HighsCallbackType.kCallbackMipInterrupt)


def has_cbc() -> bool:
    """Whether the second solver is there."""
    import pulp

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return bool({"PULP_CBC_CMD", "COIN_CMD"} & set(pulp.listSolvers(onlyAvailable=True)))


def _expression(pulp: Any, terms: list[tuple[Any, float]]) -> Any:
    """A sum, in the words of whichever release of the modelling library is there."""
    made = pulp.LpAffineExpression
    return made.from_list(terms) if hasattr(made, "from_list") else made(terms)


def _outcome(h: Any, columns: int) -> MipAnswer:
    status = _status(h)
    info = h.getInfo()
    if status in ("kInfeasible", "kUnboundedOrInfeasible"):
        return none_there(columns)
    found = info.primal_solution_status == 2
    if not found:
        return none_found(columns, float(info.mip_dual_bound))
    values = np.array(h.getSolution().col_value, dtype=float)
    done = "optimal" if status == "kOptimal" else "stopped"
    return MipAnswer(
        done, float(info.objective_function_value), float(info.mip_dual_bound), values
    )


def _with_cbc(p: Programme, limit_s: float | None, gap: float) -> MipAnswer:
    """The second solver, through the modelling library."""
    import pulp

    with warnings.catch_warnings():
        # one release of the modelling library warns for each variable; either form is right there
        warnings.simplefilter("ignore")
        model = pulp.LpProblem("kit", pulp.LpMinimize)
        columns = [
            model.add_variable(
                f"x{j}", low, high, pulp.LpInteger if whole else pulp.LpContinuous
            )
            for j, (low, high, whole) in enumerate(zip(p.lower, p.upper, p.whole, strict=True))
        ]
        model += _expression(pulp, [(columns[j], c) for j, c in enumerate(p.cost)])
        for i, row in enumerate(p.rows):
            low, high, terms = _smaller(*row[:3])
            if not terms:
                if low > 0 or high < 0:
                    return none_there(len(p.cost))
                continue
            left = _expression(pulp, [(columns[j], a) for j, a in terms])
            if low == high:
                model += left == low, f"r{i}"
                continue
            if low > -INF:
                model += left >= low, f"r{i}a"
            if high < INF:
                model += left <= high, f"r{i}b"
        return _asked_cbc(pulp, model, columns, limit_s, gap)


def _asked_cbc(
    pulp: Any, model: Any, columns: Sequence[Any], limit_s: float | None, gap: float
) -> MipAnswer:
    # with its preprocessing, CBC 2.10.3 and a later development version call some answers optimal,
    # on programmes of this project, that are not: by its own search without it as by others
    kwargs = {
        "msg": False, "gapRel": 0.0, "gapAbs": gap, "timeLimit": limit_s, "threads": 1,
        "options": ["preprocess off"],
    }  # fmt: skip
    names = pulp.listSolvers(onlyAvailable=True)
    command = pulp.PULP_CBC_CMD if "PULP_CBC_CMD" in names else pulp.COIN_CMD
    ended = model.solve(command(**kwargs))
    if isinstance(ended, int):
        none, found, done = (
            model.status == -1,
            model.sol_status in (1, 2),
            model.sol_status == 1,
        )
    else:
        none = ended.status_str == "Infeasible"
        # stopped by the gap that was asked for is done, as this solver's own words have it
        done = ended.status_str in ("Optimal", "GapLimit")
        found = bool(ended.has_solution)
    if none:
        return none_there(len(columns))
    if not found:
        return none_found(len(columns))
    value = float(pulp.value(model.objective) or 0.0)
    values = np.array([float(c.varValue or 0.0) for c in columns])
    if done:
        return MipAnswer("optimal", value, value - gap, values)
    return MipAnswer("stopped", value, -INF, values)
