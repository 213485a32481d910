#!/usr/bin/env bash
# Builds the program twice from copies of this tree in two folders, their names taken out of it, and compares what the two pack and then the programs
# themselves byte by byte. It takes as long as two release builds from nothing and is no part of `run.sh`.
set -euo pipefail
root=$(cd "$(dirname "$0")/.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cargo_home=${CARGO_HOME:-$HOME/.cargo}

# build FOLDER: the tree as it lies here, without what it was built into
build() {
  local folder=$work/$1
  mkdir -p "$folder"
  (cd "$root" && git ls-files -z | xargs -0 tar -c) | tar -x -C "$folder"
  (cd "$folder" && RUSTFLAGS="--remap-path-prefix=$folder=/build --remap-path-prefix=$cargo_home=/cargo" CARGO_TARGET_DIR=$folder/target \
    cargo build --quiet --release --locked)
}

# pack FOLDER: the orders of the demonstration; a rule may stop one of them
pack() {
  local status=0
  (cd "$work/$1" && target/release/wheeldraft batch demo-data/10*.json -o packs --unapproved -q >/dev/null) || status=$?
  [ "$status" -le 1 ]
}

one=here other=somewhere/else/and/deeper
for folder in $one $other; do
  build $folder
  pack $folder
  sha256sum <"$work/$folder/target/release/wheeldraft"
done
diff -r "$work/$one/packs" "$work/$other/packs"
printf 'packs: %d files, all the same\n' "$(find "$work/$one/packs" -type f | wc -l)"
cmp "$work/$one/target/release/wheeldraft" "$work/$other/target/release/wheeldraft"
printf 'programs: the same\n'
