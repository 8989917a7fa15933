# Two commands do most of it: make demo, make test. Everything else is a part of them.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/.ready

.PHONY: help setup demo test check quick lint types walls bench clean chromium

help:
	@echo "make demo    build the demo garden and open it at a loopback address"
	@echo "make test    every test, the browser's included"
	@echo "make check   lint, types, walls and the quick tests"
	@echo "make bench   tables of speed"

$(STAMP): pyproject.toml constraints.txt
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --upgrade pip
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[test]'
	@touch $(STAMP)

# compiled once, so that logging a look starts at once and the first cold night is answered without waiting
KERNELS := $(VENV)/.kernels
$(KERNELS): $(STAMP) $(wildcard src/barkslip/kernels/*.py)
	@find src/barkslip/kernels -name '*.nb?' -delete
	@echo "compiling the models, once (one to two minutes) ..."
	@$(BIN)/python -c "from barkslip.app import frost, heat, trace; frost.warm_up(); heat.warm_up(); trace.warm_up()"
	@touch $(KERNELS)

setup: $(STAMP) $(KERNELS)
	@$(BIN)/python -m compileall -q src $(VENV)/lib >/dev/null || true

demo: setup
	$(BIN)/barkslip demo --serve

chromium:
	@sh .ci/chromium

test: setup chromium
	$(BIN)/python -m pytest

check: setup lint walls types quick

lint:
	$(BIN)/ruff check src tests benchmarks
	$(BIN)/ruff format --check src tests benchmarks

walls:
	$(BIN)/lint-imports

types:
	$(BIN)/mypy

quick:
	$(BIN)/python -m pytest -q -m "not browser and not slow"

bench: setup
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[bench]'
	for script in benchmarks/*.py; do $(BIN)/python $$script || exit 1; done

clean:
	rm -rf $(VENV) .pytest_cache .mypy_cache .ruff_cache .import_linter_cache
