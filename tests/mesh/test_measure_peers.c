/* Areas, volumes, vertices and open edges against OpenMesh, assimp and numpy. */
#include "peers/peers.h"
#include "support/near.h"
#include "support/solids.h"

#include <string.h>
#include <unistd.h>

static const tks_mesh_options metres = {.unit = 1};

static tks_mesh_health check(const char *path, tks_mesh_size *streamed)
{
    static const tks_check_options quick;
    tks_mesh mesh;
    tks_mesh_health health = {.vertices = 0};
    tks_error err;
    if (tks_mesh_load(path, &metres, &mesh, &err) || tks_mesh_check(&mesh, &quick, &health, &err) ||
        tks_mesh_size_read(path, &metres, 2, streamed, &err))
        fail_msg("%s: %s", path, err.text);
    tks_mesh_free(&mesh);
    return health;
}

static void compare(const char *path, const peer_figures *peer, bool welded, const char *name)
{
    tks_mesh_size streamed;
    tks_mesh_health h = check(path, &streamed);
    assert_int_equal(h.size.facets, peer->facets);
    const double allowed = 1e-7; /* both read texts in single precision; numpy is asked for more */
    assert_near(h.size.area, peer->area, allowed, name);
    assert_near(streamed.area, peer->area, allowed, name);
    if (!h.open_edges) assert_near(h.size.volume, peer->volume, 10 * allowed, name);
    if (welded) {
        assert_int_equal(h.vertices, peer->vertices);
        assert_int_equal(h.open_edges, peer->open_edges);
    }
    tks_mesh_health_free(&h);
}

static void compare_numpy(const char *path)
{
    char command[600];
    double area = 0, volume = 0;
    snprintf(command, sizeof command, "/usr/bin/python3 tests/peers/measure.py %s", path);
    FILE *out = popen(command, "r");
    assert_non_null(out);
    int read = fscanf(out, "%lf %lf", &area, &volume);
    assert_int_equal(pclose(out), 0);
    assert_int_equal(read, 2);
    tks_mesh_size streamed;
    tks_mesh_health h = check(path, &streamed);
    assert_near(streamed.area, area, 1e-12, "numpy");
    if (!h.open_edges) assert_near(streamed.volume, volume, 1e-10, "numpy");
    tks_mesh_health_free(&h);
}

static void compare_soup(const soup *s)
{
    peer_figures peer;
    const char *paths[] = {scratch_path("p.stl"), scratch_path("q.stl"), scratch_path("r.obj")};
    soup_write_binary(s, paths[0], "made for a test");
    soup_write_ascii(s, paths[1]);
    tks_mesh mesh = soup_mesh(s);
    tks_error err;
    for (size_t i = 0; i < 3 * mesh.vertex_count; i++) mesh.xyz[i] *= 1e-3; /* back to the file's */
    assert_int_equal(tks_mesh_write(&mesh, paths[2], &err), TKS_OK);
    tks_mesh_free(&mesh);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(peer_assimp(paths[i], &peer), 0);
        if (i < 2) compare(paths[i], &peer, false, "assimp");
        assert_int_equal(peer_openmesh(paths[i], &peer), 0);
        if (i != 1) compare(paths[i], &peer, true, "OpenMesh");
    }
    compare_numpy(paths[0]);
    for (int i = 0; i < 3; i++) unlink(paths[i]);
}

static void test_solids(void **state)
{
    (void)state;
    soup torus = soup_torus(40, 12, 90, 40), sphere = soup_sphere(16, 4), open = {0};
    soup tube = soup_tube(5, 8, 60, 36, 12);
    soup_shuffle(&sphere, 3);
    for (size_t i = 0; i < sphere.count; i++) {
        const double *p = sphere.xyz + 9 * i;
        if (p[2] < 12) /* a cap is missing */
            soup_add(&open, (tks_vec3){p[0], p[1], p[2]}, (tks_vec3){p[3], p[4], p[5]},
                     (tks_vec3){p[6], p[7], p[8]});
    }
    compare_soup(&torus);
    compare_soup(&sphere);
    compare_soup(&open);
    compare_soup(&tube);
    soup_free(&torus);
    soup_free(&sphere);
    soup_free(&open);
    soup_free(&tube);
}

static void test_demo_meshes(void **state)
{
    (void)state;
    static const char *const paths[] = {"meshes/roller-sleeve.stl", "meshes/feed-knob.stl",
                                        "meshes/guide-plate.obj"};
    for (int i = 0; i < 3; i++) {
        peer_figures peer;
        assert_int_equal(peer_openmesh(paths[i], &peer), 0);
        compare(paths[i], &peer, true, paths[i]);
    }
    compare_numpy(paths[0]);
    compare_numpy(paths[1]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_solids),
        cmocka_unit_test(test_demo_meshes),
    };
    return cmocka_run_group_tests_name("mesh: beside other libraries", tests, NULL, NULL);
}
