#include "mesh/weld.h"

#include "base/alloc.h"
#include "mesh/large.h"

#include <string.h>
#include <sys/random.h>
#include <time.h>

enum { BATCH = 96 }; /* points hashed ahead, so that their slots are fetched together */

__extension__ typedef unsigned __int128 product;

uint64_t mesh_secret(void)
{
    uint64_t secret = 0;
    if (getrandom(&secret, sizeof secret, GRND_NONBLOCK) == sizeof secret) return secret;
    struct timespec now;
    clock_gettime(CLOCK_REALTIME, &now);
    return (uint64_t)now.tv_nsec * UINT64_C(0x9e3779b97f4a7c15) ^ (uint64_t)(uintptr_t)&secret;
}

bool mesh_weld_start(mesh_weld *w, size_t expected)
{
    size_t slots = 1024;
    while (slots < expected * 2) slots *= 2;
    *w = (mesh_weld){.room = expected < 512 ? 512 : expected, .slot_count = slots};
    w->xyz = mesh_resize(NULL, w->room, 3 * sizeof(double));
    w->slots = mesh_alloc(slots, sizeof *w->slots);
    for (int i = 0; i < 3; i++) w->seed[i] = mesh_secret() | 1;
    if (w->xyz && w->slots) return true;
    mesh_weld_free(w);
    return false;
}

void mesh_weld_free(mesh_weld *w)
{
    base_free(w->xyz);
    base_free(w->slots);
    w->xyz = NULL;
    w->slots = NULL;
}

static inline uint64_t folded(uint64_t a, uint64_t b)
{
    product p = (product)a * b;
    return (uint64_t)p ^ (uint64_t)(p >> 64);
}

static inline uint64_t hash_point(const mesh_weld *w, const double *xyz)
{
    uint64_t bits[3];
    memcpy(bits, xyz, sizeof bits);
    return folded(folded(bits[0] ^ w->seed[0], bits[1] ^ w->seed[1]) ^ w->seed[2],
                  bits[2] ^ w->seed[0]);
}

static bool grow_slots(mesh_weld *w)
{
    size_t slot_count = w->slot_count * 2, mask = slot_count - 1;
    uint64_t *slots = mesh_alloc(slot_count, sizeof *slots);
    if (!slots) return false;
    for (size_t i = 0; i < w->slot_count; i++) {
        if (!w->slots[i]) continue;
        size_t at = (size_t)(w->slots[i] >> 32) & mask;
        while (slots[at]) at = (at + 1) & mask;
        slots[at] = w->slots[i];
    }
    base_free(w->slots);
    w->slots = slots;
    w->slot_count = slot_count;
    return true;
}

static bool grow_points(mesh_weld *w)
{
    size_t room = w->room + w->room / 2;
    double *xyz = mesh_resize(w->xyz, room, 3 * sizeof *xyz);
    if (!xyz) return false;
    w->xyz = xyz;
    w->room = room;
    return true;
}

/* Room for a whole batch, at most three quarters of the slots taken. */
static bool make_room(mesh_weld *w, size_t more)
{
    if (w->count + more >= UINT32_MAX) return false;
    while (w->count + more > w->slot_count / 4 * 3)
        if (!grow_slots(w)) return false;
    while (w->count + more > w->room)
        if (!grow_points(w)) return false;
    return true;
}

static inline uint32_t find_or_add(mesh_weld *w, const double *xyz, uint64_t hash)
{
    size_t mask = w->slot_count - 1, at = (size_t)(hash >> 32) & mask;
    uint64_t slot;
    for (; (slot = w->slots[at]); at = (at + 1) & mask) {
        uint32_t id = (uint32_t)slot - 1;
        if (slot >> 32 == hash >> 32 && !memcmp(w->xyz + 3 * (size_t)id, xyz, 3 * sizeof *xyz))
            return id;
    }
    w->slots[at] = (hash >> 32) << 32 | (w->count + 1);
    memcpy(w->xyz + 3 * w->count, xyz, 3 * sizeof *xyz);
    return (uint32_t)w->count++;
}

bool mesh_weld_points(mesh_weld *w, const double *xyz, size_t count, uint32_t *ids)
{
    uint64_t hashes[BATCH];
    while (count) {
        size_t n = count < BATCH ? count : BATCH;
        if (!make_room(w, n)) return false;
        for (size_t i = 0; i < n; i++) {
            hashes[i] = hash_point(w, xyz + 3 * i);
            __builtin_prefetch(&w->slots[(hashes[i] >> 32) & (w->slot_count - 1)]);
        }
        for (size_t i = 0; i < n; i++) {
            uint64_t slot = w->slots[(hashes[i] >> 32) & (w->slot_count - 1)];
            if (slot) __builtin_prefetch(w->xyz + 3 * (size_t)((uint32_t)slot - 1));
        }
        for (size_t i = 0; i < n; i++) ids[i] = find_or_add(w, xyz + 3 * i, hashes[i]);
        xyz += 3 * n;
        ids += n;
        count -= n;
    }
    return true;
}
