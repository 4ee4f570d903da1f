#!/bin/sh
# Runs the test programs named, JOBS at once, from the top of the project; prints what cmocka prints
# of each, in order, and at the end how many programs passed. Fails when one fails.
printf '%s\n' "$@" | xargs -P "${JOBS:-1}" -I '{}' sh -c '"{}" > "{}.log" 2>&1; echo $? > "{}.code"'
passed=0
failed=
for program in "$@"; do
    cat "$program.log"
    if [ "$(cat "$program.code")" = 0 ]; then passed=$((passed + 1)); else failed="$failed $program"; fi
done
echo "$passed test programs passed${failed:+, failed:$failed}"
[ -z "$failed" ]
