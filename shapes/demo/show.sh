#!/bin/sh
# Shows each command before it is run: show.sh PROGRAM
set -eu
program=$1
show() { printf '\n$ %s %s\n' "$program" "$*"; "$program" "$@"; }

show area cylinder diameter=8mm length=170mm
show area shapes/demo/press.yaml
