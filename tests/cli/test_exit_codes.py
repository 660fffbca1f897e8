"""What each way of ending looks like from outside: exit code, and which stream says what.

The job behind the command is replaced here; `test_pick.py` runs the real one.
"""

import os
import subprocess
import sys
from types import SimpleNamespace

import pytest

from bom.cli import DEFECT
from bom.job import Wanted
from solver.errors import BadCatalog, BadNeeds, BrokenCatalog
from tests.cli.commands import ROOT, shell, typed


@pytest.fixture
def job(monkeypatch):
    """Put an ending in the place of the job: an answer is given, an exception raised."""

    def ends_with(ending):
        def pick(needs, catalog, wanted, progress):
            progress("looking")
            if isinstance(ending, BaseException):
                raise ending
            return ending

        monkeypatch.setitem(sys.modules, "bom.job", SimpleNamespace(pick=pick, Wanted=Wanted))
        return typed(monkeypatch, "pick", "needs.toml")

    return ends_with


@pytest.mark.parametrize("code", [0, 1])
def test_an_answer_goes_to_standard_output_with_its_code(job, capsys, code):
    """The answer can be piped on; progress does not get into it."""
    assert job(SimpleNamespace(exit_code=code, text="the answer")) == code
    seen = capsys.readouterr()
    assert seen.out == "the answer\n"
    assert seen.err == "looking\n"


@pytest.mark.parametrize("kind", [BadNeeds, BadCatalog])
def test_bad_input_shows_every_problem_and_ends_with_2(job, capsys, kind):
    """All faults of a file are shown together, first to last, as errors and not as output."""
    assert job(kind(["needs.toml, [site]: one", "needs.toml, [energy]: two"])) == 2
    seen = capsys.readouterr()
    assert seen.out == ""
    assert seen.err.splitlines()[1:] == ["needs.toml, [site]: one", "needs.toml, [energy]: two"]


def test_a_broken_catalog_ends_with_2(job, capsys):
    """A database that is not ours is bad input, said in one sentence."""
    assert job(BrokenCatalog("cat.sqlite is no kitbill catalog")) == 2
    assert "cat.sqlite is no kitbill catalog" in capsys.readouterr().err


def test_a_file_that_cannot_be_written_ends_with_2_and_is_named(job, capsys):
    """A full disk or a missing right is told with the file's name, without a traceback."""
    assert job(PermissionError(13, "Permission denied", "bill.xlsx")) == 2
    err = capsys.readouterr().err
    assert "bill.xlsx: Permission denied" in err
    assert "Traceback" not in err


@pytest.mark.parametrize("defect", [AssertionError("shares 3 != 4"), KeyError("lug-x")])
def test_a_defect_of_ours_says_so_with_the_details(job, capsys, defect):
    """A person is not left looking for a mistake of their own."""
    assert job(defect) == 1
    err = capsys.readouterr().err
    assert "Traceback" in err
    assert str(defect) in err
    assert err.endswith(DEFECT + "\n")


def test_an_interruption_ends_with_130_and_no_traceback(job, capsys):
    """Ctrl-C is a wish, not an error."""
    assert job(KeyboardInterrupt()) == 130
    assert "Traceback" not in capsys.readouterr().err


@pytest.mark.parametrize(
    "words",
    [
        ["pick"],
        ["pik", "needs.toml"],
        ["pick", "needs.toml", "--no-such-option"],
        ["pick", "needs.toml", "--limit-s", "0"],
        ["pick", "needs.toml", "--limit-s", "nan"],
        ["pick", "needs.toml", "more"],
        ["start"],
        ["parts", "show"],
        ["parts", "list", "--clas", "lug"],
        [],
    ],
    ids=" ".join,
)
def test_a_wrong_command_line_ends_with_2(monkeypatch, capsys, words):
    """A slip of the pen is bad input, and the message says what is known."""
    assert typed(monkeypatch, *words) == 2
    seen = capsys.readouterr()
    assert "Usage: kitbill" in seen.err + seen.out


def test_version_and_help_end_with_0():
    """Both answer on standard output."""
    for option in ("--version", "--help"):
        run = shell(option)
        assert run.returncode == 0, run.stderr
        assert run.stdout.startswith(("kitbill 0.", "Usage: kitbill"))
        assert run.stderr == ""


@pytest.mark.skipif(os.name == "nt", reason="pipes end otherwise there")
def test_a_broken_pipe_ends_without_a_traceback():
    """`kitbill … | head` stops quietly."""
    read, write = os.pipe()
    os.close(read)
    with os.fdopen(write, "wb") as closed:
        run = subprocess.run(
            [sys.executable, "-m", "bom", "--help"],
            cwd=ROOT,
            stdout=closed,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert run.stderr == ""
    assert run.returncode == 1


def test_a_terminal_without_unicode_still_gets_an_answer():
    """Signs that a terminal cannot show are written another way, not as a traceback."""
    run = shell("pick", "no-such-needs-Ω.toml", PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert run.returncode == 2
    assert "Traceback" not in run.stderr
