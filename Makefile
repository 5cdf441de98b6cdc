# `make run` starts Moundbook with its demonstration, `make test` tests it. Python 3.11 and make are all it needs.

PYTHON ?= $(shell for name in python3.11 python3.12 python3.13 python3; do \
	"$$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1 && { echo "$$name"; break; }; done)
IN_VENV := .venv/bin/python
INSTALL := $(IN_VENV) -m pip install --quiet --disable-pip-version-check

# A run of the application is several processes, and the tests start many: what was compiled once is kept.
unexport PYTHONDONTWRITEBYTECODE

.PHONY: run test lint bench mutate clean
.DEFAULT_GOAL := run

run: .venv/.installed
	@export MOUNDBOOK_MODE="$${MOUNDBOOK_MODE:-demo}"; exec $(IN_VENV) manage.py run $(ARGS)

test: .venv/.installed-dev
	$(IN_VENV) -m pytest -n 2 --dist loadgroup -rs $(ARGS)

lint: .venv/.installed-dev
	$(IN_VENV) -m ruff format --check .
	$(IN_VENV) -m ruff check .
	$(IN_VENV) -m mypy .

bench: .venv/.installed-dev
	$(IN_VENV) -m bench.run $(ARGS)

mutate: .venv/.installed-dev
	$(IN_VENV) -m tests.policy.mutations $(ARGS)

# The data under var/ stay: only what can be made again goes.
clean:
	rm -rf .venv .pytest_cache .ruff_cache .mypy_cache .hypothesis staticfiles
	find . -name __pycache__ -type d -prune -exec rm -rf {} +

.venv/.made:
	@test -n "$(PYTHON)" || { echo "Moundbook needs Python 3.11 or newer, and none was found on the PATH."; \
		echo "Install it, or say where it is: make run PYTHON=/path/to/python3.11"; exit 1; }
	@$(PYTHON) -c 'import ensurepip, venv' 2>/dev/null || { \
		echo "$(PYTHON) cannot make virtual environments. On Debian and Ubuntu: apt install python3-venv"; exit 1; }
	@test -x $(IN_VENV) || { echo "Making a virtual environment in .venv"; $(PYTHON) -m venv .venv; }
	@touch $@

.venv/.installed: .venv/.made requirements.txt
	@echo "Installing what Moundbook needs (once, and again when requirements.txt changes)"
	@$(INSTALL) -r requirements.txt
	@touch $@

.venv/.installed-dev: .venv/.installed requirements-dev.txt
	@echo "Installing what its tests need"
	@$(INSTALL) -r requirements-dev.txt
	@touch $@
