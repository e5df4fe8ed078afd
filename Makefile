# Everything here works on a fresh machine with python3 (3.11 or later), git and make; the only network used is pip's.

VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/.installed
DEMO := examples/larkspur-row

export PIP_DISABLE_PIP_VERSION_CHECK := 1
export PIP_NO_INPUT := 1

# The first of these that is 3.11 or later; `make PYTHON=/path/to/python …` names another.
PYTHON ?= $(shell for name in python3 python3.14 python3.13 python3.12 python3.11 python; do \
	if "$$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; then echo "$$name"; break; fi; done)

.DEFAULT_GOAL := help
.PHONY: help demo test lint docs bench campaign clean

help:
	@echo "make demo      show the rules of one pack, then review the demonstration regimens of $(DEMO)"
	@echo "make test      run all tests"
	@echo "make lint      style, types and the layers of the code"
	@echo "make docs      write the page of each rule pack in docs/packs, manual pages in build/man, a site in build/site"
	@echo "make bench     measure start-up, compiling and checking, then a library of 10,000 files (takes minutes)"
	@echo "make campaign  search long for texts and rules that upset the language or the engine"
	@echo "make clean     remove the environment, caches and build products"
	@echo "Each prepares the environment $(VENV) first when that is needed."

# The stamp is written last, so that an installation cut short is done again.
$(READY): pyproject.toml
	@if [ -z "$(PYTHON)" ]; then \
		echo "dermalint needs Python 3.11 or later, and none was found (tried python3, python3.14 … python3.11, python)." >&2; \
		echo "Install one, or say where it is: make PYTHON=/path/to/python3 test" >&2; \
		exit 1; \
	fi
	@echo "Preparing $(VENV) with $$($(PYTHON) --version) …"
	@$(PYTHON) -m venv $(VENV) || { \
		echo "This Python could not make an environment; on Debian and Ubuntu install the package python3-venv." >&2; \
		exit 1; \
	}
	@$(BIN)/python -m pip install -q -e '.[dev]'
	@touch $@

demo: $(READY)
	$(BIN)/dermalint rules retinoids
	$(BIN)/dermalint review --fail-at never $(DEMO)

test: $(READY)
	$(BIN)/python -m pytest -n auto --dist worksteal

lint: $(READY)
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports

docs: $(READY)
	$(BIN)/python docs/make_packs.py
	$(BIN)/python docs/make_man.py
	$(BIN)/python docs/make_site.py

bench: $(READY)
	$(BIN)/python bench/run.py
	$(BIN)/python bench/library.py
	$(BIN)/python bench/arranging.py
	$(BIN)/python bench/handouts.py
	$(BIN)/python bench/proofs.py

campaign: $(READY)
	DERMALINT_CAMPAIGN=20000 $(BIN)/python -m pytest tests/oracles/test_agreement.py
	$(BIN)/python campaign/seeded_changes.py
	$(BIN)/python campaign/run.py
	$(BIN)/python campaign/mend.py --folder $(DEMO) --jobs 2
	$(BIN)/python campaign/arrange.py
	$(BIN)/python campaign/handout.py
	$(BIN)/python campaign/proofs.py --clean 2000 --agree 2000 --witnesses

clean:
	rm -rf $(VENV) build dist .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache .coverage
	find grammar lint plugins rulesets tests bench campaign -name __pycache__ -type d -prune -exec rm -rf {} +
