#!/bin/sh
# Runs each fuzzer named for a number of seconds, from a corpus of the project's own files that it
# goes on to grow: run.sh CORPUS SECONDS PROGRAM... What breaks one is kept in the corpus's folder.
set -eu
corpus=$1
seconds=$2
shift 2
for program in "$@"; do
    name=${program##*/}
    mkdir -p "$corpus/$name"
    find shapes tests/data meshes -type f -size -64k -exec cp -t "$corpus/$name" {} + 2>/dev/null || true
    echo "$name: $seconds s"
    "$program" -max_total_time="$seconds" -timeout=10 -rss_limit_mb=1024 -max_len=8192 -verbosity=0 \
        -print_final_stats=1 -artifact_prefix="$corpus/$name-" "$corpus/$name" 2> "$corpus/$name.log" ||
        { tail -n 60 "$corpus/$name.log"; echo "$name failed; see $corpus"; exit 1; }
    sed -n 's/^stat::\(number_of_executed_units\|peak_rss_mb\): */  \1 /p' "$corpus/$name.log"
done
