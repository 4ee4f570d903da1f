# Prints the README with what its commands print today: below each `$ tankside ...`, up to the next
# command or the end of the block. Commands run from the top of the project.
/^\$ tankside / {
    print
    command = "exec 2>&1; " substr($0, 3)
    while ((command | getline line) > 0) print line
    close(command)
    stale = 1
    next
}
/^(```|\$ )/ { stale = 0 }
!stale
