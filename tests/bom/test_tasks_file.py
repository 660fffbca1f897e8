"""A file of tasks: the usual one, one's own, and every fault told with its place."""

import pytest

from bom.parts import read_chosen
from bom.tasks_file import SHIPPED, read_tasks
from solver.errors import BadInput
from solver.parts import CLASSES
from solver.tasks import in_circle
from solver.work_order import asked
from tests.bom.sample import DESIGN

PARTS = {"lug-25-m8", "fuse-t-80"}

GOOD = """\
[calendar]
hours_per_day = 6
people = 2

[[task]]
name = "cut"
does = "Cut the cables"
needs = ["cable", "lug-25-m8"]
piece_h = 0.2

[[task]]
name = "fuse"
does = "Put the fuses in"
needs = ["fuse"]
after = ["cut"]
work_h = 1
licensed = true
only_with = ["inverter", "ac"]
"""


def _read(tmp_path, text):
    path = tmp_path / "tasks.toml"
    path.write_text(text, encoding="utf-8")
    return read_tasks(path, PARTS)


def _faults(tmp_path, text):
    with pytest.raises(BadInput) as wrong:
        _read(tmp_path, text)
    return [p.removeprefix(f"{tmp_path}/") for p in wrong.value.problems]


def test_a_file_of_ones_own_is_read(tmp_path):
    """What it states, and the usual values for the rest."""
    network = _read(tmp_path, GOOD)
    assert (network.calendar.hours_per_day, network.calendar.people) == (6, 2)
    assert (network.calendar.weekends, network.calendar.one_consignment) == (False, True)
    cut, fuse = network.tasks
    assert (cut.needs, cut.piece_h, cut.work_h) == (("cable", "lug-25-m8"), 0.2, 0)
    assert (fuse.after, fuse.licensed, fuse.only_with) == (("cut",), True, ("inverter", "ac"))


def test_the_usual_tasks_are_a_network():
    """Every class that a bill may hold and that a task can wait for is one of ours."""
    tasks = read_tasks(None, set()).tasks
    assert len(tasks) >= 15
    assert in_circle({t.name: t.after for t in tasks}) == ()
    assert {n for t in tasks for n in t.needs} <= set(CLASSES)


def test_the_usual_tasks_end_with_the_sources():
    """Fuses last: nothing is closed before the dead tests, and nothing is left open behind it."""
    tasks = {t.name: t for t in asked(read_tasks(None, set()).tasks, DESIGN)}

    def before(name):
        return {name}.union(*(before(b) for b in tasks[name].after))

    assert set(tasks) - before("switch on") == {"hand over"}
    assert "fuse" in tasks["switch on"].needs
    assert not any("fuse" in tasks[n].needs for n in before("dead tests"))
    assert "battery in" not in before("ends")
    licensed = [t for t in read_tasks(None, set()).tasks if t.licensed]
    assert [(t.name, t.only_with) for t in licensed] == [("AC side", ("ac",))]


def test_every_class_that_a_kit_is_built_of_is_waited_for():
    """No line of the shipped catalog's main classes comes without a task that needs it."""
    waited = {n for t in read_tasks(None, set()).tasks for n in t.needs}
    kits = {p.cls for p in DESIGN.parts.values()} - {"gland"}
    assert kits <= waited | {"gland"}
    sold = {p.cls for p in read_chosen(None).parts}
    assert sold <= waited


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('after = ["cut"]', 'after = ["cutt"]', 'number 2 "fuse", after: found "cutt", no task; did you mean "cut"?'),
        ('needs = ["fuse"]', 'needs = ["fuze"]', 'needs: found "fuze", no known class, part; did you mean "fuse"?'),
        ('only_with = ["inverter", "ac"]', 'only_with = ["inverters"]', 'no known class, kind of circuit; did you mean "inverter"?'),
        ('name = "fuse"', 'name = "cut"', 'number 2 "cut", name: this name stands twice.'),
        ("work_h = 1", "work_h = -1", 'number 2 "fuse", work_h: found -1; a number in h, at least 0'),
        ("work_h = 1", "works_h = 1", 'unknown key "works_h"; did you mean "work_h"?'),
        ('does = "Cut the cables"\n', "", 'number 1 "cut", does: missing; a text belongs here'),
        ('after = ["cut"]', 'after = "cut"', 'after: found "cut"; a list of names belongs here.'),
        ("people = 2", "people = 0", "[calendar], people: found 0; a whole number, at least 1"),
        ("[calendar]", "[calender]", 'unknown table or key "calender"; did you mean "calendar"?'),
        ('piece_h = 0.2', 'piece_h = 0.2\nafter = ["fuse"]', 'after: these come after each other in a circle: "cut", "fuse".'),
        ('name = "cut"', 'name = 7', "number 1, name: found 7; a text (such as holes)"),
    ],
)  # fmt: skip
def test_a_fault_is_told_with_its_place(tmp_path, old, new, told):
    """Which task and key, what was found, what is allowed."""
    assert GOOD.count(old) == 1
    faults = _faults(tmp_path, GOOD.replace(old, new))
    assert any(told in fault for fault in faults), faults
    assert all(fault.startswith("tasks.toml") for fault in faults)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "tasks.toml, [task]: missing; one [[task]] a task belongs here."),
        ("[task]\nname = 1\n", "one [[task]] a task belongs here"),
        ("task = 3\n", "one [[task]] a task belongs here"),
        ("calendar = 3\n[[task]]\nname='a'\ndoes='b'\n", "a table of keys belongs here"),
        ("[[task]\n", "not valid TOML"),
    ],
)
def test_a_file_of_another_form_is_refused(tmp_path, text, told):
    """It is told in words, never as a crash."""
    assert any(told in fault for fault in _faults(tmp_path, text))


def test_a_folder_and_a_heap_are_no_files_of_tasks(tmp_path):
    """Neither is read."""
    with pytest.raises(BadInput, match="is a folder"):
        read_tasks(tmp_path, PARTS)
    (tmp_path / "big.toml").write_bytes(b"#" * 1_000_001)
    with pytest.raises(BadInput, match="larger than"):
        read_tasks(tmp_path / "big.toml", PARTS)


def test_the_usual_file_comes_along_with_the_program():
    """It lies in the package, so that an installed program finds it too."""
    assert SHIPPED.is_file()
    assert SHIPPED.parent.parent.name == "bom"
