# Everything runs in a virtual environment that this file makes itself.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/.installed

.PHONY: demo test browser lint reference calibrate bench-start clean

demo: $(STAMP)
	$(BIN)/sgputt demo --out season.html

test: $(STAMP) browser lint
	$(BIN)/pytest -n auto -q

# Chromium for the tests of pages: installed where that may be done, else said to be missing.
browser: $(STAMP)
	@$(BIN)/python -m tests.browser

lint: $(STAMP)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy

# Rebuild the baseline tables in data/reference/ from the published figures beside them.
reference: $(STAMP)
	$(BIN)/python -m sgputt.baseline.build

# Play many invented seasons of known players and count how often the method is right (minutes).
calibrate: $(STAMP)
	$(BIN)/python -m sgputt.study.calibrate calibration.csv

# How long sgputt -h takes beside a bare import of click.
bench-start: $(STAMP)
	$(BIN)/python -m tests.benchmarks.start

$(STAMP): pyproject.toml constraints.txt
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e ".[dev]"
	@touch $@

clean:
	rm -rf $(VENV) .pytest_cache .mypy_cache .ruff_cache
