"""Who may import whom, and that the solver touches nothing but values."""

import ast
import shutil
import subprocess
import sys
import tomllib

from tests.house.tree import ROOMS, ROOT, modules

LINT = "from importlinter.cli import lint_imports_command as lint; lint()"

FACTS = {"__init__", "columns", "errors", "fittings", "needs", "records", "stock"}
"""Modules of the solver that state what is given and decide nothing."""

PLANTED = {
    "rooms": ("catalog/planted.py", "import bom\n"),
    "pure": ("solver/planted_file.py", "def hidden():\n    import pathlib\n"),
    "stages": ("solver/tables/planted.py", "import solver.rules\n"),
    "checker": ("solver/check_survey.py", "\nimport solver.selection\n"),
    "milp": ("bom/planted_model.py", "import highspy\n"),
    "packing": ("solver/planted_packing.py", "from ortools.sat.python import cp_model\n"),
    "pictures": ("bom/planted_picture.py", "import PIL\n"),
    "sql": ("bom/planted_sql.py", "import sqlalchemy\n"),
    "people": ("catalog/planted_book.py", "import openpyxl\n"),
}


def _lint(folder):
    return subprocess.run(
        [sys.executable, "-c", LINT, "--no-cache", "--no-logo"],
        cwd=folder,
        env={"PYTHONPATH": str(folder), "COLUMNS": "200"},
        capture_output=True,
        text=True,
        check=False,
    )


def _contracts():
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)["tool"]["importlinter"]["contracts"]


def test_every_import_keeps_to_its_room():
    """The import contracts of pyproject.toml hold in the whole tree."""
    run = _lint(ROOT)
    assert run.returncode == 0, run.stdout + run.stderr


def test_each_import_contract_catches_what_it_forbids(tmp_path):
    """A contract that lets its own forbidden import pass protects nothing."""
    for room in ROOMS:
        shutil.copytree(ROOT / room, tmp_path / room, ignore=shutil.ignore_patterns("*.csv"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    for name, text in PLANTED.values():
        with (tmp_path / name).open("a", encoding="utf-8") as module:
            module.write(text)
    run = _lint(tmp_path)
    assert run.returncode == 1, run.stdout + run.stderr
    for contract in _contracts():
        assert f"{contract['name']} BROKEN" in run.stdout, run.stdout


def test_every_import_contract_has_its_planted_fault():
    """A new contract comes with the import that it must catch."""
    assert {contract["id"] for contract in _contracts()} == set(PLANTED)


def test_the_checker_may_import_no_stage():
    """A new module of the solver is either a record, a rule, or forbidden to the checker."""
    (contract,) = [c for c in _contracts() if c["id"] == "checker"]
    stages = {
        f"solver.{path.stem}"
        for path in (ROOT / "solver").glob("*.py")
        if path.stem not in FACTS and not path.stem.startswith("check")
    }
    assert set(contract["forbidden_modules"]) == stages


def test_the_exceptions_are_the_agreed_ones():
    """No further module slips through to the libraries that are kept behind one door."""
    through = {
        line.split(" -> ")[0]
        for contract in _contracts()
        for line in contract.get("ignore_imports", [])
    }
    doors = {"solver.milp", "solver.fit_exact", "catalog.book_files", "bom.drawings.png"}
    assert through == doors | {"solver.crew"}


def test_solver_neither_prints_nor_opens_files():
    """The solver takes values and gives values: no call of print, open or input in it."""
    found = [
        f"{path.relative_to(ROOT)}:{node.lineno}: {node.func.id}("
        for path in modules("solver")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in {"print", "open", "input", "exec", "eval", "breakpoint"}
    ]
    assert found == []
