#!/bin/sh
# Installs into a folder, builds tests/client.c against what stands there, through pkg-config, as C
# and as C++, shared and static, and runs it; then uninstalls and looks for what was left behind:
# installcheck.sh STAGE CONFIG
set -eu
stage=$(mkdir -p "$1" && cd "$1" && pwd)
rm -rf "$stage"
put() { ${MAKE:-make} --no-print-directory -s CONFIG="$2" DESTDIR="$stage" PREFIX=/usr "$1"; }
put install "$2"
export PKG_CONFIG_SYSROOT_DIR="$stage" PKG_CONFIG_PATH="$stage/usr/lib/pkgconfig"
export LD_LIBRARY_PATH="$stage/usr/lib"
flags=$(pkg-config --cflags tankside)
libs=$(pkg-config --libs tankside)
static=$(pkg-config --static --libs tankside | sed "s|-ltankside|-l:libtankside.a|")
strict='-Wall -Wextra -Wpedantic -Werror'
# shellcheck disable=SC2086  # flags are meant to be split
{
    ${CC:-cc} -std=c11 $strict $flags tests/client.c $libs -o "$stage/client-c"
    ${CC:-cc} -std=c11 $strict $flags tests/client.c $static -o "$stage/client-static"
    ${CXX:-c++} -std=c++17 $strict $flags -x c++ tests/client.c -x none $libs -o "$stage/client-cpp"
}
for client in client-c client-static client-cpp; do "$stage/$client"; rm "$stage/$client"; done
"$stage/usr/bin/tankside" --version

# The program finds the helper that was installed with it: a corner cut off a cube, 20 mm along its
# edges, has 3 * 2 + 2 sqrt(3) = 9.46 cm2.
cat > "$stage/corner.ply" <<'END'
ply
format ascii 1.0
element vertex 4
property float x
property float y
property float z
element face 4
property list uchar int vertex_indices
end_header
0 0 0
20 0 0
0 20 0
0 0 20
3 0 2 1
3 0 1 3
3 0 3 2
3 1 2 3
END
cat > "$stage/corner.yaml" <<'END'
part: corner
pieces: [{mesh: corner.ply, unit: mm}]
END
"$stage/usr/bin/tankside" area "$stage/corner.yaml" | grep '^total.* 9.46 cm2'
rm "$stage/corner.ply" "$stage/corner.yaml"
put uninstall "$2"
left=$(find "$stage" ! -type d)
[ -z "$left" ] || { echo "uninstall leaves $left"; exit 1; }
