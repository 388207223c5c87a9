# rackwright: the words to know. `make help` lists them.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
ROUND ?= 1
PART ?=
EVENTS ?= 1000000
ROOM ?= seal record postgres gates
STAMP := $(VENV)/.installed

.PHONY: help demo postgres test soak quick check docs bench mutations lock shots clean

help:  ## this list
	@awk -F':.*## ' '/^[a-z]+:.*## / {printf "  make %-8s %s\n", $$1, $$2}' $(MAKEFILE_LIST)

$(STAMP): pyproject.toml requirements.lock
	@test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	@echo "installing what is needed (once)"
	@$(BIN)/pip install -q --disable-pip-version-check -c requirements.lock -e '.[test]'
	@touch $@

demo: $(STAMP)  ## play the invented shop's whole job into demo-shop/
	@$(BIN)/rackwright demo demo-shop

postgres:  ## the PostgreSQL server that tests start for themselves, where the system has none (apt, as root)
	@command -v postgres >/dev/null || ls /usr/lib/postgresql/*/bin/postgres >/dev/null 2>&1 || { \
	  echo "installing a PostgreSQL server for the tests (once)"; \
	  apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends postgresql; } || { \
	  echo "no PostgreSQL server, and none could be installed: apt-get install postgresql"; exit 1; }

test: check postgres $(STAMP)  ## check, then every test, on SQLite and on PostgreSQL
	$(BIN)/python -m pytest -n auto

soak: postgres $(STAMP)  ## the long runs, part after part, then mutations; cut, it goes on where it stopped; ROUND=2 draws others, PART: one
	@$(BIN)/python bench/soak.py --round "$(ROUND)" --part "$(PART)"
	@test -n "$(PART)" || $(MAKE) mutations

quick: postgres $(STAMP)  ## the tests without the long ones
	$(BIN)/python -m pytest -n auto -m "not long"

check: $(STAMP)  ## format, lint, strict types, import contract
	$(BIN)/ruff format --check src tests bench
	$(BIN)/ruff check src tests bench
	$(BIN)/mypy
	$(BIN)/lint-imports --no-cache

bench: $(STAMP)  ## speed and memory, as ratios beside peer libraries in one run; SETS=DIR: public sets of shapes
	$(BIN)/python bench/frame.py
	$(BIN)/python bench/peers.py
	$(BIN)/python bench/growth.py
	$(BIN)/python bench/variants.py
	$(BIN)/python bench/rack.py
	$(BIN)/python bench/saw.py
	$(BIN)/python bench/plate.py $(SETS)
	$(BIN)/python bench/record.py $(EVENTS)

mutations: $(STAMP)  ## every mutant of ROOM (seal record postgres gates) judged by its tests; what none of them notices is listed
	$(BIN)/pip install -q --disable-pip-version-check 'cosmic-ray==8.7.0'
	@bad=0; for room in $(ROOM); do $(BIN)/python bench/mutants.py $$room || bad=1; done; exit $$bad

docs: $(STAMP)  ## rewrite the docs that are rendered from the code
	$(BIN)/python docs/render.py

lock: $(STAMP)  ## refresh requirements.lock (needs uv)
	$(BIN)/pip install -q uv && $(BIN)/uv pip compile pyproject.toml --all-extras --no-emit-index-url --no-header --python-version 3.11 -U -o requirements.lock

shots: demo  ## a picture of every paper of the demo, in shots/; fails where one has none
	@$(BIN)/python docs/shots.py demo-shop/papers shots

clean:  ## remove what make made
	rm -rf $(VENV) demo-shop shots .soak .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache
