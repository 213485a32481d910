#!/usr/bin/env bash
# Every check of the project, in one command. It installs what it needs (Debian packages, a private Python environment, a pinned npm package) and fails if
# any part cannot run.
set -euo pipefail
cd "$(dirname "$0")/.."
passed=0

step() {
  printf '\n== %s\n' "$1"
  shift
  local begun=$SECONDS
  "$@"
  passed=$((passed + 1))
  printf '== done in %d s\n' $((SECONDS - begun))
}

# what comes from outside comes while the compiler works
fetched=$(mktemp)
{ tests/reference/install.sh && tests/browser/install.sh; } >"$fetched" 2>&1 &
fetching=$!
trap 'kill "$fetching" 2>/dev/null || true; rm -f "$fetched"' EXIT
is_fetched() { wait "$fetching" || { cat "$fetched"; return 1; }; }

# of the profile that builds the tests: what the compiler itself runs is built once for both
lint() { cargo clippy --quiet --profile checked "$@" -- --deny warnings; }

step 'formatting' cargo fmt --check
step 'clippy' lint --all-targets
step 'nothing dead' lint
step 'numbers alone' lint --no-default-features --lib
step 'Rust tests' cargo test --quiet --profile checked --no-fail-fast
# the tests have built the program as well
WHEELDRAFT=${CARGO_TARGET_DIR:-$PWD/target}/checked/wheeldraft
export WHEELDRAFT WHEELDRAFT_PROFILE=checked
step 'what judges and browser tests need' is_fetched
step 'reference judges' tests/reference/run.sh
step 'browser tests' tests/browser/run.sh
printf '\nAll %d steps passed.\n' "$passed"
