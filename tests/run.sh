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

step 'formatting' cargo fmt --check
step 'clippy' cargo clippy --quiet --all-targets -- --deny warnings
step 'nothing dead' cargo clippy --quiet -- --deny warnings
step 'numbers alone' cargo clippy --quiet --no-default-features --lib -- --deny warnings
step 'Rust tests' cargo test --quiet --profile checked --no-fail-fast
# the tests have built the program as well
WHEELDRAFT=${CARGO_TARGET_DIR:-$PWD/target}/checked/wheeldraft
export WHEELDRAFT WHEELDRAFT_PROFILE=checked
step 'reference judges' tests/reference/run.sh
step 'browser tests' tests/browser/run.sh
printf '\nAll %d steps passed.\n' "$passed"
