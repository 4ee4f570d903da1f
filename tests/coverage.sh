#!/bin/sh
# Lines of each source file that an instrumented run reached, and of all: coverage.sh BUILD
find "$1/src" -name '*.gcda' | sort | while read -r data; do gcov -n "$data"; done 2>/dev/null |
    awk -F "'" '
        /^File/ { file = $2 }
        /^Lines executed/ && file ~ /^src\/.*\.c$/ {
            split($0, part, /[:% ]+/)
            lines = $0; sub(/.* of /, "", lines)
            reached += part[3] * lines / 100; all += lines
            printf "%6.1f %% of %5d  %s\n", part[3], lines, file
            file = ""
        }
        END { if (all) printf "%6.1f %% of %5d  together\n", 100 * reached / all, all }' | sort -n
