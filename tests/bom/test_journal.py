"""What is kept of an interrupted comparison, and what is never taken for it."""

from decimal import Decimal

import pytest

from bom.journal import Journal, journal_beside
from bom.outcome import Outcome, digest_of_needs, digest_of_stock, outcome_of
from solver.errors import BadInput
from solver.kit import solve_kit
from tests.oracle.small_jobs import one_circuit_job, small_job


@pytest.fixture(scope="module")
def answers():
    """An answer with a kit, and one without."""
    with_kit = outcome_of(solve_kit(*one_circuit_job()))
    without = outcome_of(solve_kit(*small_job(6)))
    assert with_kit.total is not None
    assert without.status == "infeasible"
    return with_kit, without


def test_an_answer_is_the_same_after_it_was_kept(answers, tmp_path):
    """Every amount to its last digit, every line and reason."""
    path = tmp_path / "vary.json.journal"
    first = Journal(path)
    for number, outcome in enumerate(answers):
        first.add(f"question {number}", outcome)
    again = Journal(path)
    assert again.known == {"question 0": answers[0], "question 1": answers[1]}
    assert isinstance(again.known["question 0"].lines[0].need, Decimal)


def test_a_line_that_was_cut_off_is_solved_again(answers, tmp_path):
    """A power failure in the middle of a line loses that line, and not the next."""
    path = tmp_path / "vary.json.journal"
    Journal(path).add("whole", answers[0])
    size = path.stat().st_size
    Journal(path).add("cut", answers[0])
    with path.open("r+b") as file:
        file.truncate(size + 200)
    journal = Journal(path)
    assert list(journal.known) == ["whole"]
    journal.add("after", answers[1])
    assert list(Journal(path).known) == ["whole", "after"]


def test_a_file_of_somebody_else_is_neither_written_nor_removed(tmp_path):
    """A name that is taken is told."""
    path = tmp_path / "vary.json.journal"
    path.write_text("dear diary\n", encoding="utf-8")
    with pytest.raises(BadInput, match="no journal of ours"):
        Journal(path)
    assert path.read_text(encoding="utf-8") == "dear diary\n"


def test_without_an_output_nothing_is_written(answers, tmp_path, monkeypatch):
    """There is no place for a journal, so answers are kept in mind only."""
    monkeypatch.chdir(tmp_path)
    assert journal_beside(None, None) is None
    journal = Journal(None)
    journal.add("question", answers[0])
    journal.remove()
    assert list(tmp_path.iterdir()) == []


def test_another_catalog_or_time_or_need_is_another_question():
    """An old answer is taken only for the very same question; the job's name is no part of it."""
    needs, stock = small_job(0)
    other, dearer = small_job(1)
    said = digest_of_stock(stock, 50)
    assert said == digest_of_stock(stock, 50)
    assert len({said, digest_of_stock(stock, 60), digest_of_stock(dearer, 50)}) == 3
    assert digest_of_needs(needs, said) != digest_of_needs(other, said)
    assert digest_of_needs(needs, said) != digest_of_needs(needs, said[::-1])


def test_an_answer_survives_json_with_odd_names():
    """Quotes, line ends and signs of any script come back as they were."""
    odd = Outcome(
        status="infeasible",
        total=None,
        lower_bound=None,
        gap_pct=None,
        chosen=(('a "b"\n', "ü\u2028"),),
        lines=(),
        bindings=(),
        reasons=(),
    )
    assert Outcome.from_json(odd.to_json()) == odd
