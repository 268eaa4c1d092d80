# `make` lists the targets. Everything here is also plain `python3 run.py ...` or a command in .venv/bin.
PYTHON ?= python3
BIN := .venv/bin
COMPILE := $(BIN)/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes \
	--no-emit-index-url --no-header --no-annotate $(UPGRADE)

.DEFAULT_GOAL := help
.PHONY: help setup test check format lock bench demo

help: ## list the targets
	@grep -hE '^[a-z]+:.*## ' Makefile | sed 's/:.*## /\t/' | expand -t 12

setup: ## make .venv with all that the program and its checks need
	@$(PYTHON) run.py test --setup

test: ## all checks and the whole suite, as on every change
	@$(PYTHON) run.py test

check: ## the checks alone: ruff, mypy, imports, locks
	@$(PYTHON) run.py test --checks

format: setup ## let ruff lay out the code and mend what it can
	@$(BIN)/ruff format
	@$(BIN)/ruff check --fix

lock: setup ## solve the requirements again (UPGRADE=--upgrade takes newer releases)
	@$(COMPILE) pyproject.toml --extra postgres --output-file requirements/run.txt
	@$(COMPILE) pyproject.toml --extra postgres --extra parquet --extra dev --constraint requirements/run.txt --output-file requirements/dev.txt
	@$(COMPILE) requirements/uv.in --output-file requirements/uv.txt

bench: setup ## the benchmarks, on demand
	@for file in bench/*.py; do echo "$$file"; $(BIN)/python "$$file" || exit 1; done

demo: ## the invented farm at the desk; in a pipe its cask planned as text
	@$(PYTHON) run.py demo
