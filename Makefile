# Everything runs in a virtual environment that this file makes itself.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/.installed
INSTALL := $(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt

# Without tests/conftest.py, which keeps what was worked out once.
BENCH := --confcutdir=tests/benchmarks -o addopts=--import-mode=importlib -o python_files=bench_*.py -o python_functions=bench_* -q

.PHONY: demo test browser lint reference calibrate robust fuzz bench bench-large pins clean
.PHONY: test-lowest test-newest test-sdist test-wheel test-locked

demo: $(STAMP)
	$(BIN)/sgputt demo --out season.html

test: $(STAMP) browser lint
	$(BIN)/pytest -n auto --dist worksteal -q

# Chromium for the tests of pages: installed where that may be done, else said to be missing.
browser: $(STAMP)
	@$(BIN)/python -m tests.browser

lint: $(STAMP)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy

# Rebuild the tables in data/reference/ that are worked out from the published figures beside them.
reference: $(STAMP)
	$(BIN)/python -m sgputt.stroke.outcomes
	$(BIN)/python -m sgputt.baseline.build

# Play many invented seasons of known players and count how often the method is right (ten minutes
# on two quiet cores).
calibrate: $(STAMP)
	$(BIN)/python -m sgputt.study.calibrate calibration.csv
	$(BIN)/python -m sgputt.study.fairness
	$(BIN)/python -m sgputt.study.regret regret.csv

# 10,000 spoilt cards and 200 killed imports, with a table of what they cost (minutes).
robust: $(STAMP)
	$(BIN)/python -m tests.robust.figures

# Fuzz the reader, guided by coverage, for FUZZ_SECONDS; needs atheris, which make installs.
FUZZ_SECONDS ?= 300
fuzz: $(STAMP)
	$(BIN)/python -c "import atheris" 2>/dev/null || $(INSTALL) atheris
	$(BIN)/python -m tests.robust.fuzz_reader -max_total_time=$(FUZZ_SECONDS)

# Speeds beside yardsticks kept here, in one run (minutes), as a table: tests/benchmarks/results.md.
bench: $(STAMP)
	mkdir -p build
	$(BIN)/pytest $(BENCH) tests/benchmarks --benchmark-json=build/benchmarks.json
	$(BIN)/python -m tests.benchmarks.table build/benchmarks.json tests/benchmarks/results.md

# 100 million putts through sgputt bulk, with time and memory (minutes, half a gigabyte of disk).
bench-large: $(STAMP)
	$(BIN)/python -m tests.benchmarks.large

# Write constraints-lowest.txt, LICENCES.md and requirements-locked.txt anew, after a change of
# dependencies and of constraints.txt.
pins: $(STAMP)
	$(BIN)/python -m tests.packaging.pins
	$(BIN)/python -m tests.packaging.licences
	$(BIN)/python -m tests.packaging.locked

# All tests at the lowest and at the newest versions; from the sdist; the wheel alone; by hash.
test-lowest test-newest test-sdist test-wheel test-locked: $(STAMP) browser
	$(BIN)/python -m tests.packaging.environments $(@:test-%=%)

# The build's own tools come first and pinned: pip would fetch the newest ones for an isolated build.
$(STAMP): pyproject.toml constraints.txt
	$(PYTHON) -m venv $(VENV)
	$(INSTALL) hatchling editables
	$(INSTALL) --no-build-isolation -e ".[dev]"
	@touch $@

clean:
	rm -rf $(VENV) .pytest_cache .mypy_cache .ruff_cache build
