# make run    set everything up and open the workshop (the demo bike if there is none yet)
# make test   set everything up and pass all tests
# make bench  run every benchmark, or with ONLY=loom those whose figure's name starts so
# make lock   work the requirements locks out again (needs uv on the path)
# make tour   take the README's screenshots again

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PORT ?= 8000
DEBIAN := chromium libatomic1 ngspice poppler-utils

# The circuits solved are small: one thread each, as the tickover command itself has it.
export OPENBLAS_NUM_THREADS := 1

.PHONY: run test bench tour lock debian check

run: $(VENV)/run-is-set-up
	@$(BIN)/tickover serve --demo --open --port $(PORT)

test: debian $(VENV)/test-is-set-up check
	$(BIN)/pytest -q -n 2 --dist loadfile

check:
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

bench: debian $(VENV)/test-is-set-up
	@$(BIN)/python -m benchmarks $(ONLY)

tour: debian $(VENV)/test-is-set-up
	$(BIN)/python -m docs.tour

# The environment is made without its own pip, so that Debian's split of venv and ensurepip does not matter.
$(BIN)/python:
	$(PYTHON) -m venv --without-pip $(VENV)

$(VENV)/run-is-set-up: $(BIN)/python requirements.lock pyproject.toml
	$(PYTHON) -m pip --python $(BIN)/python install --quiet --require-hashes --requirement requirements.lock
	$(PYTHON) -m pip --python $(BIN)/python install --quiet --no-deps --no-build-isolation --no-index --editable .
	@touch $@

$(VENV)/test-is-set-up: $(BIN)/python requirements-dev.lock $(VENV)/run-is-set-up
	$(PYTHON) -m pip --python $(BIN)/python install --quiet --require-hashes --requirement requirements-dev.lock
	@touch $@

# Debian packages that the tests drive: a browser (libatomic1 is for its driver), an independent circuit simulator, and
# PDF pages as pictures.
debian:
	@missing=""; for package in $(DEBIAN); do \
	  dpkg-query -W -f='$${Status}' $$package 2>/dev/null | grep -q 'ok installed' || missing="$$missing $$package"; done; \
	if [ -n "$$missing" ]; then \
	  if [ "$$(id -u)" = 0 ]; then apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq $$missing; \
	  else echo "The tests need Debian packages that are missing. Install them, then run make test again:"; \
	    echo "  sudo apt-get install$$missing"; exit 1; fi; fi

lock:
	uv pip compile --quiet pyproject.toml --group build --universal --python-version 3.11 --generate-hashes \
	  --no-emit-index-url --no-header --no-annotate --output-file requirements.lock
	uv pip compile --quiet pyproject.toml --group build --group dev --universal --python-version 3.11 --generate-hashes \
	  --no-emit-index-url --no-header --no-annotate --output-file requirements-dev.lock
