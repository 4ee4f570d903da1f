#include "support/near.h"

#include "tankside/fastener_size.h"

#include <string.h>

#define MM 1e-3
#define IN 25.4e-3

static double value_of(const char *table_name, const char *thread, const char *column)
{
    const tks_fastener_table *table = tks_fastener_table_find(table_name, strlen(table_name));
    tks_designation d;
    const tks_fastener_row *row;
    assert_non_null(table);
    assert_int_equal(tks_thread_find(thread, strlen(thread), tks_nowhere(), &d, NULL), TKS_OK);
    assert_int_equal(tks_fastener_row_find(table, d.size, tks_nowhere(), &row, NULL), TKS_OK);
    int index = tks_fastener_column(table, column, strlen(column));
    assert_true(index >= 0);
    return tks_fastener_value(row, (size_t)index);
}

/* A spot check of each table against the standards' own rows, from secondary copies. */
static void test_rows_of_the_standards(void **state)
{
    (void)state;
    static const struct {
        const char *table, *thread, *column;
        double unit, value;
        const char *source;
    } rows[] = {
        {"hexagon bolt", "M8", "across flats", MM, 13, "ISO 4014"},
        {"hexagon bolt", "M8x1", "head height", MM, 5.3, "ISO 4014"},
        {"hexagon bolt", "M10", "across flats", MM, 16, "ISO 4014"},
        {"hexagon bolt", "3/8 UNF", "across flats", IN, 9 / 16., "ASME B18.2.1 F"},
        {"hexagon bolt", "1/2 UNC", "head height", IN, 5 / 16., "ASME B18.2.1 H"},
        {"hexagon bolt", "1/4 BSW", "across flats", IN, .445, "BS 1083 table 1"},
        {"hexagon bolt", "3/4 BSF", "head height", IN, .5, "BS 1083 table 1"},
        {"hexagon nut", "M16", "height", MM, 14.8, "ISO 4032"},
        {"hexagon nut", "5/8 UNC", "height", IN, 35 / 64., "ASME B18.2.2 H"},
        {"hexagon nut", "1/4 BSF", "height", IN, .2, "BS 1083 table 2"},
        {"thin nut", "M6", "height", MM, 3.2, "ISO 4035"},
        {"lock nut", "M8", "height", MM, 8, "DIN 985"},
        {"lock nut", "1/2 UNC", "height", IN, .609, "ASME B18.16.6 NE, C max"},
        {"lock nut", "3/4 UNF", "metal height", IN, .742, "ASME B18.16.6 NE, D min"},
        {"socket cap screw", "M6", "head diameter", MM, 10, "ISO 4762"},
        {"socket cap screw", "1/4 UNC", "socket", IN, 3 / 16., "ASME B18.3"},
        {"button head screw", "M8", "head height", MM, 4.4, "ISO 7380-1"},
        {"countersunk screw", "M10", "sharp diameter", MM, 22.4, "ISO 10642"},
        {"set screw", "M5", "socket", MM, 2.5, "ISO 4026"},
        {"plain washer", "M8", "outside", MM, 16, "ISO 7089"},
        {"plain washer", "1/4 UNC", "outside", IN, .625, "ASME B18.21.1 narrow"},
        {"spring washer", "M8", "thickness", MM, 2, "DIN 127"},
        {"spring washer", "3/8 UNC", "width", IN, .141, "ASME B18.21.1 regular"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char what[96];
        snprintf(what, sizeof what, "%s %s, %s", rows[i].table, rows[i].thread, rows[i].source);
        assert_near(value_of(rows[i].table, rows[i].thread, rows[i].column),
                    rows[i].value * rows[i].unit, 1e-12, what);
    }
}

/* ISO 10642: the countersunk head's height is that of its cone, (dk - d) / 2; published k [mm]. */
static void test_countersunk_heads_are_cones(void **state)
{
    (void)state;
    static const struct {
        const char *thread;
        double d, k;
    } rows[] = {
        {"M3", 3, 1.86},
        {"M5", 5, 3.1},
        {"M8", 8, 4.96},
        {"M12", 12, 7.44},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double sharp = value_of("countersunk screw", rows[i].thread, "sharp diameter");
        assert_near((sharp / MM - rows[i].d) / 2, rows[i].k, 1e-9, rows[i].thread);
    }
}

/* Every row has a thread of its diameter, values above zero, a source; sizes grow with diameter. */
static void test_all_rows(void **state)
{
    (void)state;
    size_t count, tables = 0;
    const tks_thread_size *sizes = tks_thread_sizes(&count);
    for (const tks_fastener_table *t; (t = tks_fastener_table_at(tables)); tables++) {
        for (size_t i = 0; i < t->row_count; i++) {
            const tks_fastener_row *row = &t->rows[i], *before = i ? row - 1 : NULL;
            bool known = false;
            for (size_t k = 0; k < count; k++) known |= sizes[k].diameter == row->diameter;
            if (!known) fail_msg("%s: no thread of %g", t->name, row->diameter);
            assert_non_null(row->source);
            for (size_t c = 0; c < t->column_count; c++) {
                assert_true(row->values[c] > 0);
                bool rises =
                    before && before->group == row->group && row->group <= TKS_FASTENERS_BRITISH;
                /* the least hexagon of ASME B18.16.6 falls from .335 in at 3/8 to .324 in at 7/16
                 */
                if (rises && row->values[c] < 0.96 * before->values[c])
                    fail_msg("%s: %s falls at %g", t->name, t->columns[c], row->diameter);
            }
        }
    }
    assert_int_equal(tables, 10);
}

static void test_sizes_that_do_not_exist(void **state)
{
    (void)state;
    static const struct {
        const char *table, *thread, *part;
    } rows[] = {
        {"hexagon bolt", "M9", "nearest are M8x1.25 and M10x1.5"},
        {"hexagon bolt", "1/8 BSW", "nearest are 1/4-20 BSW and 5/16-18 BSW"},
        {"lock nut", "M2", "nearest are M3x0.5 and M4x0.7"},
        {"lock nut", "1/4 BSW", "no sizes of a lock nut are known for BSW threads"},
        {"set screw", "M36", "nearest are M24x3 and M20x2.5"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const tks_fastener_table *table =
            tks_fastener_table_find(rows[i].table, strlen(rows[i].table));
        const char *thread = rows[i].thread;
        tks_designation d;
        const tks_fastener_row *row = NULL;
        tks_error err = {0};
        assert_int_equal(tks_thread_find(thread, strlen(thread), tks_nowhere(), &d, NULL), TKS_OK);
        assert_int_equal(tks_fastener_row_find(table, d.size, tks_nowhere(), &row, &err),
                         TKS_EUNKNOWN);
        assert_null(row);
        if (!strstr(err.text, rows[i].part)) fail_msg("'%s' lacks '%s'", err.text, rows[i].part);
    }
    assert_null(tks_fastener_table_find("wing nut", 8));
    assert_int_equal(tks_fastener_column(tks_fastener_table_at(0), "colour", 6), -1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rows_of_the_standards),
        cmocka_unit_test(test_countersunk_heads_are_cones),
        cmocka_unit_test(test_all_rows),
        cmocka_unit_test(test_sizes_that_do_not_exist),
    };
    return cmocka_run_group_tests_name("fastener size", tests, NULL, NULL);
}
