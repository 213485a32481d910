#!/usr/bin/env bash
# Runs the browser tests: writes the files under test, makes sure of a browser and its driver, runs each test here, and ends with the counts.
# The files come from the Rust tests with `browser` in their names; each .mjs here is one test on them, or (page-…) on the page the program serves.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
cd "$here"

./install.sh
CHROMIUM=$(command -v chromium)

(cd ../.. && cargo test --quiet --profile "${WHEELDRAFT_PROFILE:-dev}" --test all browser >/dev/null)
target=$(cd ../.. && cargo metadata --no-deps --format-version 1 | node -p 'JSON.parse(require("fs").readFileSync(0)).target_directory')
# the tests have built the program as well; the profile `dev` has a folder of another name
profile=${WHEELDRAFT_PROFILE:-dev}
[ "$profile" = dev ] && profile=debug
WHEELDRAFT=${WHEELDRAFT:-$target/$profile/wheeldraft}
export CHROMIUM WHEELDRAFT WHEELDRAFT_BROWSER_FILES="$target/tmp/browser"

# a processor for each test; each has a browser, a program and a folder of its own
said=$(mktemp -d)
trap 'rm -rf "$said"' EXIT
export said
tests=()
for test in *.mjs; do
    case $test in *harness.mjs) ;; *) tests+=("$test") ;; esac
done
printf '%s\n' "${tests[@]}" | xargs -P "$(nproc)" -n 1 bash -c 'node "$0" >"$said/$0" 2>&1 || true; echo "$SECONDS" >"$said/$0.s"'

passed=0
failed=0
for test in "${tests[@]}"; do
    echo "$test, in $(<"$said/$test.s") s"
    output=$(<"$said/$test")
    echo "$output"
    counts=$(tail -n 1 <<<"$output")
    if [[ $counts =~ ^([0-9]+)\ passed,\ ([0-9]+)\ failed$ ]]; then
        passed=$((passed + BASH_REMATCH[1]))
        failed=$((failed + BASH_REMATCH[2]))
    else
        failed=$((failed + 1))
    fi
done
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
