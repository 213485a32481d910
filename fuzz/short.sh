#!/usr/bin/env bash
# A short search led by coverage, with cargo alone: every target over its corpus for so many seconds (5 if not told). It fails on the first input that makes
# one fall over, hang or grow, and leaves that input in `artifacts/TARGET/`.
set -euo pipefail
cd "$(dirname "$0")"
seconds=${1:-5}
out=${CARGO_TARGET_DIR:-$PWD/target}
host=$(rustc -vV | sed -n 's/^host: //p')

if ! command -v c++ >/dev/null; then
  if [ "$(id -u)" != 0 ]; then
    echo "a C++ compiler is missing: install Debian's package g++, then run again" >&2
    exit 2
  fi
  apt-get update -qq && apt-get install -y -qq g++ >/dev/null
fi

# what tells the search which way an input took; named hosts keep it out of build scripts
flags=(-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 -Cllvm-args=-sanitizer-coverage-inline-8bit-counters
  -Cllvm-args=-sanitizer-coverage-pc-table -Cllvm-args=-sanitizer-coverage-trace-compares --cfg fuzzing -Cdebug-assertions)
RUSTFLAGS="${flags[*]}" cargo build --quiet --locked --profile short --target "$host" --bins

# Searches with one target; says how many inputs it tried, or what made it fall over.
search() {
  local target=$1 found
  mkdir -p "artifacts/$target"
  found=$(mktemp -d)
  # what it finds goes to the first folder, which is thrown away
  if ! "$out/$host/short/$target" "$found" "corpus/$target" -max_total_time="$seconds" -timeout=30 -rss_limit_mb=1024 -seed=1 \
    -artifact_prefix="artifacts/$target/" -print_final_stats=1 >"$found.log" 2>&1; then
    printf '%s:\n' "$target"
    tail -n 40 "$found.log"
    return 1
  fi
  sed -n "s/^stat::number_of_executed_units: *\\(.*\\)/$target: \\1 inputs/p" "$found.log"
  rm -r "$found" "$found.log"
}
export -f search
export out host seconds
printf '%s\n' fuzz_targets/*.rs | xargs -n 1 basename -s .rs | xargs -P "$(nproc)" -n 1 bash -c 'search "$0"'
