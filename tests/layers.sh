#!/bin/sh
# Fails when a file of a lower room includes a header of a higher one. Rooms are named lowest first.
# Public headers belong to the room that implements them: see "room:" in each header's first lines.
bad=0
lower=" "
for room in "$@"; do
    lower="$lower$room "
    for file in src/"$room"/*.[ch]; do
        [ -e "$file" ] || continue
        for other in $(sed -n 's/^#include "\([a-z]*\)\/[^"]*"/\1/p' "$file" | sort -u); do
            [ "$other" = tankside ] && continue
            case "$lower" in *" $other "*) ;; *) echo "$file includes $other, which stands higher"; bad=1 ;; esac
        done
    done
done
exit $bad
