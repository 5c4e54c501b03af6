# make run    the demonstration garden in your browser, from a fresh clone
# make test   everything the tests need, then all tests
# make campaign  the long tests: crashes, torn writes, full disks, worn bits (about an hour; goes on where it was)
# make check  what must hold of the code before it lands
# make bench  the figures, with their method (slow)
# make docs   write the generated pages anew
# make gallery  a picture of every page, in docs/gallery
# make tongues  the messages of the pages, gathered anew and compiled
# make lock   resolve the dependencies anew

PYTHON ?= python3
BIN := .venv/bin
RUN := .run
PORT ?= 8000

.PHONY: run test campaign check bench lock docs gallery tongues clean
.DELETE_ON_ERROR:

.venv/.ready: requirements.lock pyproject.toml
	@echo "Making the environment in .venv (a minute or two, once)."
	$(PYTHON) -m venv .venv
	$(BIN)/pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
	$(BIN)/pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --editable .
	@touch $@

run: .venv/.ready
	@mkdir -p $(RUN)
	@echo "Serving the demonstration garden at http://127.0.0.1:$(PORT) (PORT=8080 for another port)."
	@SLIPWRIGHT_STATIC="$(CURDIR)/$(RUN)/static" $(BIN)/slipwright demo --serve --garden $(RUN)/demo.sqlite3 --port $(PORT)

node_modules/.ready: package-lock.json
	@command -v npm >/dev/null || { echo "npm is missing: on Debian, apt install npm"; test "$(ALLOW_SKIP)" = 1; }
	@! command -v npm >/dev/null || npm ci --silent
	@mkdir -p node_modules && touch $@

test: .venv/.ready node_modules/.ready
	@if command -v node >/dev/null; then node --test tests/js/; else test "$(ALLOW_SKIP)" = 1; fi
	tests/with-postgres $(BIN)/python -m pytest -n 2 --dist worksteal --ignore=tests/browser $(ARGS)
	$(BIN)/python -m pytest -n 2 --dist worksteal tests/browser

campaign: .venv/.ready node_modules/.ready
	SLIPWRIGHT_CAMPAIGN=full SLIPWRIGHT_CAMPAIGN_TO=$(abspath $(RUN)/campaign) node --test tests/js/
	SLIPWRIGHT_CAMPAIGN=full SLIPWRIGHT_CAMPAIGN_TO=$(abspath $(RUN)/campaign) \
		tests/with-postgres $(BIN)/python -m pytest tests/campaign $(ARGS)

check: .venv/.ready
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/python -m numpydoc.hooks.validate_docstrings $$(find $(addprefix src/slipwright/,craft handbook rooting outputs advice) -name '*.py')
	@test -s requirements.lock
	@! grep -nE 'https?://|file:|find-links|index-url' requirements.lock || { echo 'requirements.lock names a host or a path'; exit 1; }

bench: .venv/.ready
	@for file in $$(grep -l __main__ bench/*.py); do echo "== $$file"; $(BIN)/python $$file || exit 1; done

lock:
	uv pip compile --universal --generate-hashes --no-header --no-annotate --group dev --extra postgres --extra tls pyproject.toml -o requirements.lock

docs: .venv/.ready
	$(BIN)/python -m slipwright.handbook docs/handbook.md
	$(BIN)/python -m slipwright.records.tables docs/tables.md

gallery: .venv/.ready
	$(BIN)/python -m tests.browser.gallery docs/gallery

tongues: .venv/.ready
	$(BIN)/python -m slipwright.web.messages

clean:
	rm -rf .venv node_modules $(RUN) .pytest_cache .mypy_cache .ruff_cache .hypothesis
