"""Panels of different sizes that do not lie together: what is forbidden, and nothing else."""

from itertools import permutations

from hypothesis import given
from hypothesis import strategies as st

from solver.panel_mixes import covers, mix_of, reached

FACES = st.tuples(st.sampled_from((9.0, 12.0, 16.0)), st.sampled_from((4.0, 6.0, 9.0)))


def holds_by_trial(panels, asked):
    """Whether each of the faces asked for has a panel of its own that covers it."""
    return any(
        all(p[0] >= a[0] and p[1] >= a[1] for p, a in zip(some, asked, strict=True))
        for some in permutations(panels, len(asked))
    )


@given(panels=st.lists(FACES, max_size=6), asked=st.lists(FACES, min_size=2, max_size=4))
def test_a_mix_is_reached_by_panels_that_could_stand_for_it_and_by_no_others(panels, asked):
    """The numbers of panels over sets of faces say the same as trying every way."""
    mix = mix_of("roof", asked)
    if mix is None:
        assert len(set(asked)) == 1 or len(set(asked)) > 3
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
