# Everything runs in .venv; the first target that needs it builds it, later ones start at once.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/.installed
PIP := $(BIN)/python -m pip --disable-pip-version-check --quiet
CORPUS := ../shared/corpus
REAL := ../shared/real
SCORER := $(CORPUS)/score.py
EPISODES := tests/episodes
WITH_VENV := PATH="$(CURDIR)/$(BIN):$$PATH"

.DEFAULT_GOAL := help
.PHONY: help install demo test lint golden weights score bench bench-shelf clean

help:
	@echo 'make install   build .venv and install the program'
	@echo 'make demo      turn the sample transcripts into recipe cards in recipes/'
	@echo 'make test      style, types and tests: all that must be in order'
	@echo 'make lint      style and types only'
	@echo 'make golden    store the expected cards and sample results anew, after a change that is meant'
	@echo 'make weights   set the weights by which dishes, the way of the talk, foods, alternatives and temperatures are told, on talks with answers, after a change of their signs'
	@echo 'make score     compare the program with answers written by hand'
	@echo 'make bench     speed and memory as ratios'
	@echo 'make bench-shelf  a back-catalogue of 100,000 recipes, filled and asked (a quarter of an hour)'
	@echo 'make clean     remove .venv and what the tools leave behind'

install: $(STAMP)

$(STAMP): requirements/build.txt requirements/runtime.txt requirements/dev.txt pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' \
		|| { echo 'Python 3.11 or newer is needed; name one with: make PYTHON=python3.12'; exit 2; }
	@test -x $(BIN)/pip || $(PYTHON) -m venv $(VENV) \
		|| { rm -rf $(VENV); echo 'Python cannot make an environment; on Debian: apt install python3-venv'; exit 2; }
	@echo 'Installing into $(VENV) ...'
	@$(PIP) install -r requirements/build.txt
	@$(PIP) install -r requirements/runtime.txt -r requirements/dev.txt
	@$(PIP) install --no-deps --no-build-isolation --editable .
	@touch $@

demo: $(STAMP)
	@$(BIN)/stillroom draft --html --force --out recipes $(sort $(wildcard samples/*.*))
	@echo 'The cards are in recipes/: open an .html one in a browser.'

lint: $(STAMP)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy

test: lint
	$(BIN)/pytest

weights: $(STAMP)
	@$(BIN)/python -m tests.openings.fit --write
	@$(BIN)/python -m tests.split.fit_dish_way --write
	@$(BIN)/python -m tests.hear.fit_heats --write
	@$(BIN)/python -m tests.compose.fit_foods --write

score: $(STAMP)
	@if [ -f $(SCORER) ]; then \
		echo '== episodes with answers, $(CORPUS)'; $(WITH_VENV) python $(SCORER) || true; \
		if ls $(EPISODES)/*.gold.json >/dev/null 2>&1; then \
			echo '== our own episodes, $(EPISODES)'; $(WITH_VENV) python $(SCORER) --answers $(EPISODES) || true; \
		fi; \
	else echo 'not scored: $(SCORER) is not here'; fi
	@if [ -f $(REAL)/score_real.py ]; then \
		echo '== real recogniser output, $(REAL)'; $(WITH_VENV) python $(REAL)/score_real.py || true; \
	else echo 'not scored: $(REAL)/score_real.py is not here'; fi

golden: $(STAMP)
	@UPDATE_GOLDEN=1 $(BIN)/pytest tests/publish/test_cards_golden.py tests/test_samples.py
	@git --no-pager diff --stat -- tests/publish/golden samples/expected

bench: $(STAMP)
	@$(BIN)/python bench/bench.py

bench-shelf: $(STAMP)
	@$(BIN)/python bench/shelf.py

clean:
	rm -rf $(VENV) .mypy_cache .pytest_cache .ruff_cache .hypothesis build dist recipes *.egg-info
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
