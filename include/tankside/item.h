/* What the plating rooms need to know of a part: how much surface of which kind. room: part */
#ifndef TANKSIDE_ITEM_H
#define TANKSIDE_ITEM_H

#include "tankside/geometry.h"
#include "tankside/thread.h"

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/* A stretch of a part's surface, all of one kind. */
typedef struct tks_surface {
    tks_label label;
    double area;  /* [m^2], >= 0 */
    int cavity;   /* index into the item's cavities, -1: open */
    double pitch; /* of a thread [m]; 0: no thread or not known */
} tks_surface;

/* One kind of part of a load. The arrays are borrowed: they must live as long as what is made of
 * them. */
typedef struct tks_item {
    const char *name;
    size_t count;
    const tks_surface *surfaces;
    size_t surface_count;
    const tks_cavity *cavities;
    size_t cavity_count;
    double mass;     /* of one [kg]; 0: not known */
    double size[3];  /* bounding box of one, any order [m]; 0: not known */
    double strength; /* tensile, of the metal it is made of [Pa]; 0: not known, taken as mild */
    double section;  /* no thickness of the metal is more [m]; 0: not known */
    const tks_thread *threads; /* each kind of thread that is plated, once */
    size_t thread_count;
} tks_item;

#ifdef __cplusplus
}
#endif
#endif
