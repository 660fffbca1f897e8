"""What README and DEVELOPERS say is there, and what is there stands in them."""

import re
import shlex

import pytest
import typer.main

from bom.cli import app
from tests.house.tree import ROOT
from tools.write_docs import DOCS, PAGES

PAPERS = ("README.md", "DEVELOPERS.md")


def _text(name):
    return (ROOT / name).read_text(encoding="utf-8")


def _commands(group=None, before=""):
    """Every command by its full name, such as `parts load`."""
    for name, command in (group or typer.main.get_command(app)).commands.items():
        if hasattr(command, "commands"):
            yield from _commands(command, f"{before}{name} ")
        else:
            yield f"{before}{name}", command


COMMANDS = dict(_commands())


def _typed(paper):
    """The lines of a paper's code blocks that a person would type."""
    for block in re.findall(r"^```(?:sh|console)\n(.*?)^```", _text(paper), re.M | re.S):
        yield from (line for line in block.splitlines() if line and not line.startswith("#"))


def _lines(first_word):
    return [
        pytest.param(paper, line, id=f"{paper}: {line}")
        for paper in PAPERS
        for line in _typed(paper)
        if line.split()[0] == first_word
    ]


@pytest.mark.parametrize("page", PAGES)
def test_a_generated_page_is_fresh(page):
    """The page says what the code says; `make docs` writes it anew."""
    assert (DOCS / page).read_text(encoding="utf-8") == PAGES[page](), "run `make docs`"


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_and_stands_in_the_readme(name):
    """Nobody has to read the code to find out what a command does."""
    command = COMMANDS[name]
    assert command.help
    assert command.help.strip().endswith(".")
    assert f"`kitbill {name}" in _text("README.md")
    for param in command.params:
        assert getattr(param, "help", None), f"{name} {param.name}"


@pytest.mark.parametrize(("paper", "line"), _lines("make"))
def test_a_make_line_of_a_paper_names_real_targets(paper, line):
    """A person can type every `make` line that a paper shows."""
    targets = set(re.findall(r"^([a-z]+):", _text("Makefile"), re.M))
    words = [w for w in shlex.split(line, comments=True)[1:] if "=" not in w]
    assert words
    assert set(words) <= targets


@pytest.mark.parametrize(("paper", "line"), _lines("kitbill"))
def test_a_kitbill_line_of_a_paper_names_a_real_command_and_options(paper, line):
    """A person can type every `kitbill` line that a paper shows, with the files it names."""
    words = shlex.split(line, comments=True)[1:]
    name = words[0] if words[0] in COMMANDS else " ".join(words[:2])
    known = {opt for param in COMMANDS[name].params for opt in param.opts}
    assert {word for word in words if word.startswith("--")} <= known
    for word in words:
        if word.startswith("examples/"):
            assert (ROOT / word).exists(), word


@pytest.mark.parametrize("paper", [*PAPERS, "CHANGELOG.md"])
def test_every_link_of_a_paper_leads_somewhere(paper):
    """No link or picture of a paper is broken."""
    links = re.findall(r"\]\(([^)#]+)[^)]*\)", _text(paper))
    assert [link for link in links if "://" not in link and not (ROOT / link).exists()] == []


def test_the_papers_show_commands_at_all():
    """The two tests above have something to look at."""
    assert _lines("make")
    assert _lines("kitbill")


def test_unreleased_stands_on_top_of_the_changelog():
    """A person who upgrades finds the newest change first."""
    headings = re.findall(r"^## (.*)$", _text("CHANGELOG.md"), re.M)
    assert headings[0] == "Unreleased"
