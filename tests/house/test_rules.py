"""Every rule says where it is from, what it is in, and is tested; its words are on the list."""

import inspect
import pkgutil
import re
from importlib import import_module

import pytest

import solver.rules
from solver.rules.base import LIMITS, RULES, SUBJECTS, Source
from tests.house.tree import ROOT

MODULES = [
    import_module(f"solver.rules.{m.name}") for m in pkgutil.iter_modules(solver.rules.__path__)
]
PUBLIC = {
    f"{module.__name__}.{name}": thing
    for module in MODULES
    for name, thing in vars(module).items()
    if inspect.isfunction(thing)
    and thing.__module__ == module.__name__
    and not name.startswith("_")
}
NO_RULE = ("solver.rules.base",)
"""What makes rules, and is none."""

WORDS = set(re.findall(r"`(\w+)`", (ROOT / "docs" / "names.md").read_text(encoding="utf-8")))
TESTS = [
    path.read_text(encoding="utf-8")
    for path in sorted((ROOT / "tests").rglob("test_*.py"))
    if path != ROOT / "tests" / "house" / "test_rules.py"
]


def test_there_are_rules():
    """The tests below have something to look at."""
    assert len(RULES) >= 15


@pytest.mark.parametrize("name", RULES)
def test_a_rule_says_what_it_is_about(name):
    """Its subject exists, its limit has a direction, its value a unit (a yes or no has none)."""
    info = RULES[name]
    assert info.subject in SUBJECTS
    assert info.limit in LIMITS
    yes_or_no = inspect.signature(info.function).return_annotation == "bool"
    assert bool(info.unit) or yes_or_no


@pytest.mark.parametrize("name", RULES)
def test_a_rule_has_a_source(name):
    """Its source can be printed in one line beside a check."""
    text = RULES[name].source.text()
    assert text
    assert "\n" not in text


@pytest.mark.parametrize("name", RULES)
def test_a_rule_is_tested(name):
    """Some test calls it by name."""
    assert any(re.search(rf"\b{name}\(", text) for text in TESTS)


@pytest.mark.parametrize(
    "name", [n for n in PUBLIC if PUBLIC[n].__module__ not in NO_RULE], ids=lambda n: n
)
def test_a_function_of_the_rules_is_documented(name):
    """One line says it all, or there are sections; what reckons with figures has a Source."""
    doc = inspect.getdoc(PUBLIC[name]) or ""
    assert doc
    if "Parameters\n---" in doc or PUBLIC[name].__name__ in RULES:
        assert "Source\n------" in doc
        assert "Returns\n-------" in doc


@pytest.mark.parametrize("name", RULES)
def test_every_argument_of_a_rule_is_explained(name):
    """Each argument stands in the docstring and on the list of names."""
    doc = inspect.getdoc(RULES[name].function)
    head = doc.split("Parameters\n----------")[1].split("Returns\n-------")[0]
    for argument in inspect.signature(RULES[name].function).parameters:
        assert re.search(rf"^(.*, )?{argument}(,.*)? : ", head, re.M), argument
        assert argument in WORDS, f"{argument} is not in docs/names.md"


def test_a_source_is_one_line_of_what_it_has():
    """Empty parts leave no comma behind."""
    assert Source("A", "2023", "1.2", "from memory").text() == "A (2023), 1.2, from memory"
    assert Source("common practice, no source", "", "").text() == "common practice, no source"
