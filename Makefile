# What can be done here. `make` lists it; DEVELOPERS.md says more.

SHELL  := /bin/sh
BUILD  := .build
SITE   := site
PY     := .venv/bin/python
PORT   ?= 8000
TESTS  ?=
BENCH  ?=
# One more than there are processors: tests in a browser wait for it now and then.
WORKERS ?= $(shell expr $$(getconf _NPROCESSORS_ONLN) + 1)

# Tools that pip brought (Node among them, where PATH has none) come before the machine's own.
export PATH := $(CURDIR)/.venv/bin:$(PATH)
# Notices about next versions, of the theme and of pip. Versions here are pinned.
export NO_MKDOCS_2_WARNING := 1
export PIP_DISABLE_PIP_VERSION_CHECK := 1
# Matrices here are small: threads that wait for each other on busy cores only slow numpy down.
export OPENBLAS_NUM_THREADS := 1

# Stamps: each long step is done again only when what it works from has changed.
VENV    := .venv/made.stamp
NPM     := site_overrides/node_modules/.package-lock.json
RUNTIME := $(BUILD)/runtime/manifest.json
TRUST   := $(BUILD)/trust.json
PAGES   := $(SITE)/index.html
WORDING := tests/prose/node_modules/.package-lock.json

found    = $(shell find $(1) -type f ! -name '*.pyc' ! -path '*/node_modules/*' 2>/dev/null | sort)
CALC    := $(call found,calc)
CHECKS  := $(call found,tests/published)
PROSE    = README.md $(filter %.md,$(call found,docs))
SOURCES := $(call found,docs site_overrides) mkdocs.yml pyproject.toml

# A stamp named after the list of files, so that taking a file away counts as a change too.
list     = $(BUILD)/lists/$(1)-$(shell echo $(2) | cksum | cut -d ' ' -f 1)

.PHONY: help serve site runtime trust test check bench dist lock clean
.DEFAULT_GOAL := help
.DELETE_ON_ERROR:

help: ## this list
	@sed -n 's/^\([a-z]*\):.*## /  make \1\t/p' $(MAKEFILE_LIST) | expand -t 16

serve: site ## makes all that is needed and serves the site on this machine (PORT=8000)
	@$(PY) -m site_overrides.setup.serve $(SITE) $(PORT)

site: $(PAGES) ## makes the site, in site/
runtime: $(RUNTIME) ## makes the browser's Python, in .build/runtime
trust: $(TRUST) ## runs the published checks that need no simulator, and keeps what they compared

test: site $(WORDING) ## runs all tests, or those in TESTS=...; installs browsers and simulators where it may
	@$(PY) -m site_overrides.setup.system
	CHROMIUM="$$($(PY) -m site_overrides.setup.system --browser)" $(PY) -m pytest --numprocesses $(WORKERS) --dist loadfile --no-loadscope-reorder $(TESTS)

check: site $(WORDING) ## lint, format, types, links, wording; the site itself is always built with strict checks
	$(PY) -m ruff check --output-format concise .
	$(PY) -m ruff format --check .
	$(PY) -m mypy
	node site_overrides/node_modules/typescript/bin/tsc --project site_overrides
	$(PY) -m site_overrides.setup.links $(SITE)
	$(PY) -m tests.prose.typed_figures $(PROSE)
	@rm -rf $(BUILD)/prose && $(PY) -m tests.prose.flatten $(BUILD)/prose $(PROSE)
	node tests/prose/node_modules/textlint/bin/textlint.js --config tests/prose/.textlintrc.json --rulesdir tests/prose/rules --format unix $(BUILD)/prose

bench: site ## measures start-up, edits and weights in a real browser; BENCH="--page docs/speed.md" keeps the figures
	@$(PY) -m site_overrides.setup.system
	CHROMIUM="$$($(PY) -m site_overrides.setup.system --browser)" $(PY) -m tests.bench $(BENCH)

dist: site ## packs the site for a server, and the folder edition that needs none, in dist/
	@mkdir -p dist && $(PY) -m zipfile -c dist/borrowed-power-site.zip $(SITE)/
	@$(PY) -m site_overrides.folder.make $(SITE) dist/borrowed-power-folder.zip
	@ls -l dist

lock: $(VENV) ## works out the requirements files anew from pyproject.toml
	$(PY) -m venv --clear $(BUILD)/uv && $(BUILD)/uv/bin/python -m pip install --quiet uv
	$(BUILD)/uv/bin/uv pip compile --quiet --universal --generate-hashes --no-strip-extras --group dev --output-file requirements.txt pyproject.toml
	$(BUILD)/uv/bin/uv pip compile --quiet --universal --generate-hashes --group pyproject.toml:node --output-file requirements-node.txt

clean: ## removes all that was made; fetched packages stay
	rm -rf $(BUILD) $(SITE) dist

$(VENV): requirements.txt requirements-node.txt site_overrides/setup/venv.sh
	@sh site_overrides/setup/venv.sh
	@touch $@

$(NPM): $(VENV) site_overrides/package.json site_overrides/package-lock.json
	@echo "== npm packages (about ten seconds)"
	@cd site_overrides && npm ci --ignore-scripts --prefer-offline --no-audit --no-fund
	@touch $@

$(WORDING): $(VENV) tests/prose/package.json tests/prose/package-lock.json
	@echo "== npm packages that read prose"
	@cd tests/prose && npm ci --ignore-scripts --prefer-offline --no-audit --no-fund
	@touch $@

$(BUILD)/lists/%:
	@mkdir -p $(@D) && touch $@

$(RUNTIME): $(VENV) $(NPM) $(CALC) $(call list,calc,$(CALC)) $(wildcard site_overrides/runtime/*) pyproject.toml
	@echo "== The browser's Python"
	@$(PY) -m site_overrides.runtime.make
	@touch $@

# A check that fails does not stop here: the page tells of it first, and then the site's build stops.
$(TRUST): $(VENV) $(CALC) $(CHECKS) $(call list,trust,$(CALC) $(CHECKS))
	@echo "== The published checks"
	@rm -f $@ && mkdir -p $(@D)
	@TRUST_FILE=$@ $(PY) -m pytest --numprocesses 0 --quiet --ignore-glob '*_ngspice.py' --ignore-glob '*_nec2c.py' tests/published || test -s $@

$(PAGES): $(RUNTIME) $(TRUST) $(NPM) $(SOURCES) $(call list,site,$(SOURCES))
	@echo "== The site"
	@$(PY) -m mkdocs build --strict --site-dir $(SITE)
	@touch $@
