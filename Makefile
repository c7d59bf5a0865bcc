# Two commands do all set-up: `make demo` runs the main job, `make test` runs all tests.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin

.PHONY: demo test lint wheel docs lock clean

demo: $(VENV)/run.stamp
	$(BIN)/boottop demo --out out

test: $(VENV)/dev.stamp
	$(BIN)/python -m tests.prepare
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/python -m pytest

lint: $(VENV)/dev.stamp
	$(BIN)/ruff check . && $(BIN)/ruff format --check . && $(BIN)/mypy

# Wheel and source archive in dist/.
wheel: $(VENV)/dev.stamp
	$(BIN)/python -m build --no-isolation --outdir dist

# The pages of docs/ as a site in build/site; a link that leads nowhere fails it.
docs: $(VENV)/dev.stamp
	NO_MKDOCS_2_WARNING=1 $(BIN)/python -m mkdocs build --quiet --strict

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
	  { echo "boottop needs Python 3.11 or newer; found $$($(PYTHON) --version). Try: make PYTHON=python3.12 demo"; exit 2; }
	$(PYTHON) -m venv $(VENV)

$(VENV)/run.stamp: requirements.lock pyproject.toml | $(BIN)/python
	$(BIN)/python -m pip install --quiet --require-hashes -r requirements.lock
	$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation --editable .
	touch $@

$(VENV)/dev.stamp: requirements-dev.lock pyproject.toml | $(BIN)/python
	$(BIN)/python -m pip install --quiet --require-hashes -r requirements-dev.lock
	$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation --editable .
	touch $@

lock:
	uv pip compile --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header --no-annotate \
	  requirements-dev.in -o requirements-dev.lock
	uv pip compile --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header --no-annotate \
	  -c requirements-dev.lock requirements.in -o requirements.lock

clean:
	rm -rf $(VENV) out dist build
