"""The log of a proof: its lower bound follows from it alone, and asking to stop keeps it true."""

from __future__ import annotations

import functools
import itertools
import json

import pytest

from bom.trace_file import TraceLines
from solver.kit import solve_kit
from solver.run import never
from tests.cli.retrace import lower_bound
from tests.oracle.small_jobs import small_job

SEEDS = range(1, 25)


def traced(seed, folder, **asked):
    """A small job's answer, and the file with its proof."""
    result, content = solved(seed, **asked)
    path = folder / f"proof-{seed}.jsonl"
    path.write_bytes(content)
    return result, path


@functools.cache
def solved(seed, times=None):
    """A small job's answer and proof; asked to stop at the so many-th time of asking."""
    needs, stock = small_job(seed)
    lines = TraceLines(needs, itertools.count().__next__)
    asked = itertools.count()
    stopped = never if times is None else lambda: next(asked) >= times
    result = solve_kit(needs, stock, trace=lines.tell, stopped=stopped)
    return result, lines.content()


def steps(path):
    """All lines of a log but its heading."""
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()][1:]


def test_the_lower_bound_follows_from_the_log_alone(tmp_path):
    """Whoever goes over the file finds the bound of the answer, in every small job with a kit."""
    found, words = 0, set()
    for seed in SEEDS:
        result, path = traced(seed, tmp_path)
        if result.design is None:
            continue
        assert lower_bound(path) == result.lower_bound, seed
        words |= {step["what"] for step in steps(path)}
        found += 1
    assert found >= 6
    assert words >= {"setting", "first kit", "proof", "case", "split", "closed", "answer"}


@pytest.mark.parametrize("times", [0, 2, 4, 8])
def test_asked_to_stop_the_bound_is_the_true_one(tmp_path, times):
    """A kit, a bound below the least total there is, and a log that ends with the same bound."""
    short = 0
    for seed in SEEDS:
        whole, _ = traced(seed, tmp_path)
        if whole.status != "optimal":
            continue
        result, path = traced(seed, tmp_path, times=times)
        assert result.design is not None
        assert result.lower_bound <= whole.total <= result.total, seed
        assert lower_bound(path) == result.lower_bound, seed
        assert [c for c in result.checks if not c.ok] == []
        short += result.status == "feasible"
    assert short


def _log_with_a_split(folder):
    for seed in SEEDS:
        result, path = traced(seed, folder)
        if result.design is not None and any(s["what"] == "split" for s in steps(path)):
            return path
    raise AssertionError("no small job splits a case")


@pytest.mark.parametrize(
    ("word", "key", "value"),
    [("case", None, None), ("closed", "bound_cents", 1.0), ("proof ended", "bound_cents", 1.0)],
)
def test_a_log_that_leaves_something_out_is_found_out(tmp_path, word, key, value):
    """Going over the file would be worth nothing if any file went through."""
    path = _log_with_a_split(tmp_path)
    lines = path.read_text(encoding="utf-8").splitlines()
    told = [(n, json.loads(line)) for n, line in enumerate(lines)]
    at, step = [
        (n, s)
        for n, s in told
        if s.get("what") == word and not s.get("why", "").endswith("no answer")
    ][-1]
    if key is None:
        del lines[at]
    else:
        lines[at] = json.dumps({**step, key: value})
    path.write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises((AssertionError, KeyError)):
        lower_bound(path)
