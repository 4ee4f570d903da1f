#!/bin/sh
# Writes the shape files named on the command line as a C source on standard output, so that the
# library needs no files at run time. Names and other names are read off their first lines.
set -eu
echo '#include "shape/builtin.h"'
index=0
rows=
others=
for file in "$@"; do
    name=$(sed -n 's/^shape: *\([a-z0-9 ]*[a-z0-9]\).*/\1/p' "$file" | head -n 1)
    echo "static const char text_$index[] = {"
    od -An -v -tu1 "$file" | sed 's/\([0-9][0-9]*\)/\1,/g'
    echo '0};'
    rows="$rows    {\"$name\", \"$file\", text_$index, sizeof text_$index - 1, false, $index},
"
    also=$(sed -n 's/^also: *\[\(.*\)\].*/\1/p' "$file" | head -n 1)
    old_ifs=$IFS
    IFS=,
    for other in $also; do
        other=$(echo "$other" | sed 's/^ *//; s/ *$//')
        others="$others    {\"$other\", \"$file\", NULL, 0, true, $index},
"
    done
    IFS=$old_ifs
    index=$((index + 1))
done
printf 'const shape_builtin shape_builtins[] = {\n%s%s};\n' "$rows" "$others"
echo 'const size_t shape_builtin_count = sizeof shape_builtins / sizeof shape_builtins[0];'
