"""Panels of different sizes that do not lie together: what is forbidden, and nothing else."""

from collections import Counter
from itertools import combinations_with_replacement, permutations

from hypothesis import given, settings
from hypothesis import strategies as st

from solver import candidates
from solver import model as m
from solver import selection as sel
from solver.market import market
from solver.milp import solve
from solver.panel_mixes import covers, mix_of, reached
from solver.run import Job, quiet
from solver.wiring import shelf
from tests.oracle.small_jobs import small_job

FACES = st.tuples(st.sampled_from((9.0, 12.0, 16.0)), st.sampled_from((4.0, 6.0, 9.0)))


def holds_by_trial(panels, asked):
    """Whether each of the faces asked for has a panel of its own that covers it."""
    return any(
        all(p[0] >= a[0] and p[1] >= a[1] for p, a in zip(some, asked, strict=True))
        for some in permutations(panels, len(asked))
    )


@settings(max_examples=40)
@given(panels=st.lists(FACES, max_size=5), asked=st.lists(FACES, min_size=2, max_size=5))
def test_a_mix_is_reached_by_panels_that_could_stand_for_it_and_by_no_others(panels, asked):
    """The numbers of panels over sets of faces say the same as trying every way."""
    mix = mix_of("roof", asked)
    if mix is None:
        assert len(set(asked)) == 1 or len(set(asked)) > 4
        return
    by_numbers = all(
        sum(covers(p, faces) for p in panels) >= count for faces, count in reached(mix)
    )
    assert by_numbers == holds_by_trial(panels, asked)


def test_a_face_has_its_longer_side_first():
    """Turned panels are of one face."""
    mix = mix_of("roof", [(600, 1200), (1200, 600), (400, 300)])
    assert mix is not None
    assert mix.faces == (((400, 300), 1), ((1200, 600), 2))


def floor_bound(seed, volts):
    """The bound of a small job at one voltage."""
    needs, stock = small_job(seed)
    mkt = market(needs, stock)
    job = Job(needs, mkt, shelf(needs, mkt), "highs", None, quiet)
    (setting,) = [s for s in candidates.settings(needs, mkt) if s.voltage == volts]
    return sel.bound(job.setup(setting), m.Cuts())


def allowed(b, counts, mixes):
    """Whether a kit may have so many of some arrays, as far as the floor programme knows."""
    keep = sel.everything(b.setup)
    p = m.build(b.setup, keep, m.Cuts(mixes=mixes), floor=True)
    for j, key in enumerate(p.keys):
        if key[0] == "array":
            p.programme.lower[j] = p.programme.upper[j] = counts.get(key[1], 0)
    return solve(p.programme, solver="highs", gap=1.0).status == "optimal"


def test_a_programme_has_no_mix_and_whatever_else_it_had():
    """Of two arrays: refused just where their panels would be the mix, or larger ones."""
    b = floor_bound(10, 12)
    a = b.setup.found.arrays
    faces = sorted({(max(p.taken_mm), min(p.taken_mm)) for p in a.panels})
    mix = mix_of(a.panel_place[0], faces)
    refused = let = 0
    pairs = list(combinations_with_replacement(sel.everything(b.setup).arrays.tolist(), 2))
    for pair in pairs[::4]:
        counts = Counter(pair)
        if any(n > a.most[i] for i, n in counts.items()) or not allowed(b, counts, ()):
            continue
        panels = [
            (max(a.panels[a.panel[i]].taken_mm), min(a.panels[a.panel[i]].taken_mm))
            for i in counts.elements()
            if a.panel_place[i] == mix.place
            for _ in range(int(a.series[i] * a.parallel[i]))
        ]
        there = holds_by_trial(panels, faces)
        refused, let = refused + there, let + (not there)
        assert allowed(b, counts, (mix,)) != there
    assert refused
    assert let
