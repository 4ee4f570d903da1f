#!/bin/sh
# Runs each test program named, from the top of the project; prints what cmocka prints, and at the
# end how many programs passed. Fails when one fails.
passed=0
failed=
for program in "$@"; do
    if "$program"; then passed=$((passed + 1)); else failed="$failed $program"; fi
done
echo "$passed test programs passed${failed:+, failed:$failed}"
[ -z "$failed" ]
