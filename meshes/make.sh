#!/bin/sh
# Makes the meshes of this folder again: meshes/make.sh PROGRAM FOLDER. All are invented
# parts of an old treadle press, cut from our own shapes; feed-knob.stl has the noise and the hole of
# a scan.
set -eu
program=$1
folder=$2
"$program" mesh tube outside=22mm wall=1.5mm length=60mm --chord 0.02mm --write "$folder/roller-sleeve.stl"
"$program" mesh plate length=60mm width=25mm thickness=3mm 'corner radius=5mm' \
    'holes=[{diameter: 8.4mm, at: [15, 0] mm}]' --chord 0.02mm --write "$folder/guide-plate.obj"
"$program" mesh dome diameter=30mm height=10mm --chord 0.05mm --write "$folder/cap.ply"
"$program" mesh sphere diameter=32mm --longest 1.8mm --noise 0.04mm --hole 7mm --write "$folder/feed-knob.stl"
