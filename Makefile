# One list of jobs for people and for CI. Needs Python, its venv module and make; everything else comes into .venv.
PYTHON ?= python3
DEMO ?= demo-job
BIN := .venv/bin
INSTALL := PIP_DISABLE_PIP_VERSION_CHECK=1 ./tools/environment

# Jobs share caches in this folder, and pytest's last line should come last: keep their order under "make -j" too. The four of
# "checks" share none.
.NOTPARALLEL:
.DEFAULT_GOAL := help
.PHONY: help demo test checks lint types contract unit plain-pass kernels fresh docs generated studies studies-stale bench format pin clean

help:  ## list the targets
	@sed -n 's/^\([a-z-]*\):.*## /\1\t/p' $(MAKEFILE_LIST) | expand -t 16

.venv/.made: pyproject.toml constraints.txt tools/environment
	$(INSTALL) $(PYTHON) .venv '.[test,docs]'

.venv-demo/.made: pyproject.toml constraints.txt tools/environment
	$(INSTALL) $(PYTHON) .venv-demo '.'

demo: .venv-demo/.made  ## run the whole job on the invented property (into DEMO=demo-job)
	.venv-demo/bin/wattwright demo --into '$(DEMO)'

test: checks unit  ## everything that must hold before a merge

checks: .venv/.made  ## lint, types, contract and docs, two at a time
	printf '%s\n' types docs contract lint | xargs -P 2 -I '{}' $(MAKE) --no-print-directory '{}'

lint: .venv/.made  ## style, and no unfinished or unused code
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: .venv/.made  ## mypy --strict on the package
	$(BIN)/mypy

contract: .venv/.made  ## a room imports only from rooms below it
	$(BIN)/lint-imports

# Two workers share two cores: threads of the algebra within each only wait for one another. The tests start some hundred
# processes: without compiled files beside the sources each would compile all that it loads anew.
unit fresh: export OPENBLAS_NUM_THREADS = 1
unit fresh: export PYTHONDONTWRITEBYTECODE =

# Compiled lines cannot be measured, so tests of kernels run as plain Python, too; everything runs as people run it, compiled.
# Only the files that hold such tests are read for the plain pass: reading all took as long as a quarter of its tests. The largest kernels, the
# engine's and the tariff's, are compiled beside it: else each worker of the second pass, and what it starts, does so for itself.
# Both workers keep the order of the tests and take from the other's end when they are done.
KERNEL_TESTS = $$(grep -rlF mark.kernel --include='test_*.py' tests | sort)
PYTEST = $(BIN)/python -m pytest -q -n 2 --dist worksteal

unit: .venv/.made  ## all tests, lines and branches covered
	$(BIN)/coverage erase
	printf '%s\n' plain-pass kernels | xargs -P 2 -I '{}' $(MAKE) --no-print-directory '{}'
	$(PYTEST) --cov --cov-append --cov-report=term --cov-report=json:.coverage.json
	$(BIN)/python -m tools.coverage_gate .coverage.json

plain-pass: .venv/.made
	NUMBA_DISABLE_JIT=1 $(PYTEST) -m kernel --cov --cov-report= --cov-fail-under=0 $(KERNEL_TESTS)

kernels: .venv/.made
	$(BIN)/python -m tools.kernels

fresh: .venv/.made  ## property tests on examples never tried before; a failure becomes an @example of its test
	$(PYTEST) --hypothesis-profile=fresh -m 'not kernel'

docs: .venv/.made  ## documentation into site/, every warning an error, no generated page stale
	$(BIN)/python -m tools.generated --check
	$(BIN)/mkdocs build --strict --quiet

generated: .venv/.made  ## write the generated pages of the documentation anew
	$(BIN)/python -m tools.generated

studies: .venv/.made  ## rerun the studies whose code or data changed, and keep their results
	$(BIN)/python -m studies

studies-stale: .venv/.made  ## rerun the same, and fail where a committed result no longer comes out
	$(BIN)/python -m studies --stale

bench: .venv/.made  ## ratios measured within one run, against their bars
	$(BIN)/python -m benchmarks

format: .venv/.made  ## put the code into house style
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

pin:  ## write constraints.txt anew from a fresh environment
	./tools/pin $(PYTHON)

clean:  ## remove what the targets made, the demo included
	rm -rf .venv .venv-demo build dist site '$(DEMO)' .coverage* .hypothesis .mypy_cache .pytest_cache .ruff_cache \
	    .import_linter_cache
	find src tests studies benchmarks tools -name __pycache__ -type d -prune -exec rm -rf {} +
