/* Each allocation is failed in turn: reading, checking, labelling, measuring and writing must then
 * say so, leave their outputs alone, and leak nothing (which the sanitized run sees). */
#include "base/alloc.h"
#include "support/near.h"
#include "support/solids.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const tks_mesh_options metres = {.unit = 1};

/* Everything from a file to its labels; TKS_OK or the first error. */
static tks_status all_steps(const char *path, const char *out, tks_error *err)
{
    tks_mesh mesh = {0};
    tks_mesh_size size;
    tks_mesh_health health = {.vertices = 0};
    tks_measured measured = {.wetted = 0};
    uint8_t labels[2000];
    tks_measure_options options = {.read = metres};
    tks_status status = tks_mesh_load(path, &metres, &mesh, err);
    if (!status) status = tks_mesh_size_read(path, &metres, 1, &size, err);
    if (!status) status = tks_mesh_check(&mesh, NULL, &health, err);
    if (!status) status = tks_mesh_label(&mesh, 0, labels, err);
    if (!status) status = tks_mesh_measure(path, &options, "x", &measured, NULL, err);
    if (!status) status = tks_mesh_write(&mesh, out, err);
    tks_mesh_health_free(&health);
    tks_mesh_free(&mesh);
    return status;
}

static void fail_each(const char *path, const char *out)
{
    tks_error err;
    long nth = 1;
    for (; nth < 2000; nth++) {
        base_alloc_fail_at(nth);
        tks_status status = all_steps(path, out, &err);
        base_alloc_fail_at(0);
        if (status == TKS_OK) break;
        if (status != TKS_EMEMORY) fail_msg("allocation %ld: %s", nth, err.text);
    }
    assert_in_range(nth, 20, 1999);
}

static void test_each_allocation(void **state)
{
    (void)state;
    soup s = soup_sphere(5, 2), inner = soup_sphere(2, 1), open = soup_sphere(1, 1);
    soup_turn_over(&inner);
    open.count -= 3;
    soup_join(&s, &inner, (tks_vec3){0, 0, 0});
    soup_join(&s, &open, (tks_vec3){9, 0, 0});
    const char *binary = scratch_path("m.stl"), *ascii = scratch_path("n.stl");
    const char *object = scratch_path("o.obj");
    soup_write_binary(&s, binary, "");
    soup_write_ascii(&s, ascii);
    write_text(object, "v 0 0 0\nv 3 0 0\nv 3 1 0\nv 1 1 0\nv 1 3 0\nv 0 3 0\nv 1 1 2\nf 4 5 6 1 2 "
                       "3\nf 1 2 7\nf 1 2 3 7\nf 4 5 6\n");
    const char *paths[] = {binary, ascii, object};
    for (int i = 0; i < 3; i++) {
        fail_each(paths[i], scratch_path("p.ply"));
        unlink(paths[i]);
    }
    unlink(scratch_path("p.ply"));
    soup_free(&s);
    soup_free(&inner);
    soup_free(&open);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_each_allocation)};
    return cmocka_run_group_tests_name("mesh: no memory", tests, NULL, NULL);
}
