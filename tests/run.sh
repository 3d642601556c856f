#!/usr/bin/env bash
# Set up what is missing and run the checks: lint, types, tests. `--all` adds the tests marked slow; other words go to pytest.
set -euo pipefail
cd "$(dirname "$0")/.."
. demos/setup.sh
set_up "[test]"
need_libraries "ngsolve, an independent judge" libopenblas.so.0 libopenblas0
if ! command -v chromium >/dev/null 2>&1 && ! command -v chromium-browser >/dev/null 2>&1; then
    apt_install "the report's browser test" chromium chromium-driver
fi

# One thread each: two workers share the machine's cores.
export OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1
.venv/bin/ruff check .
.venv/bin/ruff format --check .
.venv/bin/mypy

select=(-m "not slow")
if [ "${1:-}" = "--all" ]; then
    select=()
    shift
fi
.venv/bin/python -m pytest -q -n "${FILLBEND_WORKERS:-2}" "${select[@]}" "$@"
