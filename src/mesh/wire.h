/* What tankside-reader writes to its parent, and reads from it: one header, then either a message
 * or a mesh. Both run on the same machine and come from the same build. */
#ifndef MESH_WIRE_H
#define MESH_WIRE_H

#include <stdint.h>

#define MESH_WIRE_MARK UINT64_C(0x3152444b4e4154) /* "TANKDR1" */

/* With status TKS_OK: vertices x 3 doubles, facets x 3 uint32_t follow. Otherwise `message` bytes
 * of text follow. */
typedef struct mesh_wire {
    uint64_t mark;
    uint32_t status, message;
    uint64_t vertices, facets;
    double unit; /* of the file [m]; 0: it does not say */
} mesh_wire;

enum { MESH_WIRE_MESSAGE = 200 }; /* longest message */

#endif
