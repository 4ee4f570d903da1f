#!/bin/sh
# Shows each command before it is run: show.sh PROGRAM
set -eu
program=$1
show() { printf '\n$ %s %s\n' "$program" "$*"; "$program" "$@"; }

show area shapes/demo/press.yaml
show area shapes/demo/side-frame-lug.yaml
show plan shapes/demo/press.yaml
show spread shapes/demo/rack.yaml
