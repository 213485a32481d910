#!/usr/bin/env bash
# Installs the judges' environment, proves that each judge can fail, runs each against the program named by WHEELDRAFT, and ends with the counts.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
: "${WHEELDRAFT:?set WHEELDRAFT to the program to be judged}"
"$here/install.sh"
python=${JUDGES_VENV:-$here/.venv}/bin/python

# the pictures that `judge_dxf.py` compares with those of other software
(cd "$here/../.." && cargo test --quiet --profile "${WHEELDRAFT_PROFILE:-dev}" --test all pictures >/dev/null)
target=$(cd "$here/../.." && cargo metadata --no-deps --format-version 1 | "$python" -c 'import json, sys; print(json.load(sys.stdin)["target_directory"])')
export WHEELDRAFT_PICTURES=$target/tmp/machine-pictures

# counted before the solvers are told to take one each, which `nproc` would obey too
processors=$(nproc)
# a processor for each run; the solvers inside take no second one
export OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1
said=$(mktemp -d)
trap 'rm -rf "$said"' EXIT
export said python
for judge in "$here"/judge_*.py; do
  printf '%s\n' "$judge" selftest "$judge" judge
done | xargs -P "$processors" -n 2 bash -c '"$python" "$0" "$1" >"$said/$(basename "$0").$1" 2>&1 || true; echo "$SECONDS" >"$said/$(basename "$0").$1.s"'

passed=0
failed=0
for judge in "$here"/judge_*.py; do
  for mode in selftest judge; do
    printf '%s %s: ' "$(basename "$judge")" "$mode"
    output=$(<"$said/$(basename "$judge").$mode")
    counts=$(tail -n 1 <<<"$output")
    printf '%s, in %s s\n' "$counts" "$(<"$said/$(basename "$judge").$mode.s")"
    # only what failed is worth reading
    grep -A8 '^FAIL' <<<"$output" | head -n 60 || true
    if [[ $counts =~ ^([0-9]+)\ passed,\ ([0-9]+)\ failed$ ]]; then
      passed=$((passed + BASH_REMATCH[1]))
      failed=$((failed + BASH_REMATCH[2]))
    else
      tail -n 20 <<<"$output"
      failed=$((failed + 1))
    fi
  done
done
printf '%d passed, %d failed\n' "$passed" "$failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
