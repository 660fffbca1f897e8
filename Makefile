# Each of the targets is enough by itself on a machine with Python 3.11 or later and make.
#
#   make demo     solve a shipped job, print the answer, write the purchase workbook under out/
#   make test     the whole test suite        (TESTS="tests/cli tests/house" for a part of it)
#   make bench    the benchmarks, their table and out/bench.json
#   make check    format, lint, types, import rules, then the tests: what people and CI run
#   make format   put every file in the one format
#   make docs     write the generated pages of docs/ anew
#
# Another Python: make demo PYTHON=python3.13 VENV=build/venv-3.13

PYTHON ?= python3
VENV   ?= .venv
TESTS  ?= tests
BIN    := $(VENV)/bin
PIP    := $(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt
DEMO   := mobile-library-van

# Stamps: the folder exists; the project is installed in it; its test extras are too.
MADE    := $(VENV)/.made
RUNTIME := $(VENV)/.runtime
EXTRAS  := $(VENV)/.extras

.PHONY: demo test bench check format docs
.DELETE_ON_ERROR:

demo: $(RUNTIME)
	@mkdir -p out
	$(BIN)/kitbill pick examples/$(DEMO).toml --out out/$(DEMO).xlsx --json out/$(DEMO).json

test: $(EXTRAS)
	$(BIN)/python -m pytest -n auto --maxprocesses 8 $(TESTS)

bench: $(EXTRAS)
	$(BIN)/python benchmarks/run.py

check: $(EXTRAS)
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo
	@$(MAKE) --no-print-directory test

format: $(EXTRAS)
	$(BIN)/ruff format .
	$(BIN)/ruff check --fix .

docs: $(RUNTIME)
	$(BIN)/python -m tools.write_docs

$(MADE):
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null || { \
	  echo "kitbill needs Python 3.11 or later, and '$(PYTHON)' is older or not there." >&2; \
	  echo "Install one, or name it: make PYTHON=python3.13 ..." >&2; exit 1; }
	@$(PYTHON) -c 'import ensurepip, venv' 2>/dev/null || { \
	  echo "'$(PYTHON)' came without its venv module." >&2; \
	  echo "On Debian and Ubuntu: apt install python3-venv" >&2; exit 1; }
	$(PYTHON) -m venv $(VENV)
	@touch $@

$(RUNTIME): pyproject.toml constraints.txt $(MADE)
	$(PIP) -e .
	@touch $@

$(EXTRAS): pyproject.toml constraints.txt $(MADE)
	$(PIP) -e '.[test]'
	@touch $@
