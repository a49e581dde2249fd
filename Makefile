# Everything runs in .venv, set up from the lock files on first use; see README.md.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/ready

.PHONY: advice page test lint bench bench-parity bench-suite bench-mutants lock clean

advice: $(READY)
	@mkdir -p out
	@$(BIN)/advisor advise untested_garage --graph out/untested_garage.svg

# The same in a browser: prints its address, and opens it where there is a browser.
page: $(READY)
	@$(BIN)/advisor serve --open

# Few arenas: with one for each thread that ever ran, glibc keeps twice the memory.
test: $(READY)
	@command -v chromium >/dev/null || echo "The page is tested without a browser; for a browser too: sudo apt-get install chromium" >&2
	@MALLOC_ARENA_MAX=2 $(BIN)/python -m pytest -n auto --dist loadfile

lint: $(READY)
	@$(BIN)/ruff check .
	@$(BIN)/ruff format --check -q .
	@$(BIN)/mypy
	@$(BIN)/yamllint --strict rules advisor/demo explanations/texts

bench: $(READY)
	@$(BIN)/python -m tests.benchmarks

bench-parity: $(READY)
	@$(BIN)/python -m tests.benchmarks.parity

# CPU seconds and peak memory of every test file, and the dearest tests.
bench-suite: $(READY)
	@$(BIN)/python -m tests.benchmarks.suite

# Mutation testing; needs cosmic-ray besides.
bench-mutants: $(READY)
	@$(BIN)/python -m tests.benchmarks.mutants

$(READY): requirements.lock requirements-build.lock pyproject.toml .ci/setup
	@PYTHON="$(PYTHON)" bash .ci/setup $(VENV)

# Renews both lock files from pyproject.toml (needs uv).
lock:
	uv pip compile -q pyproject.toml --extra dev --extra cluster --extra page --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-annotate --no-header -o requirements.lock
	uv pip compile -q --group build --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-annotate --no-header -o requirements-build.lock

clean:
	rm -rf $(VENV) out build dist
