/* Elements of the field as files for spreadsheets and viewers. Lengths in mm, thickness in um. */
#include "report/deposit.h"

#include <math.h>
#include <string.h>

report_element_file report_element_file_of(const char *path)
{
    static const char *const ends[] = {".csv", ".vtu", ".ply"};
    const char *dot = strrchr(path, '.');
    for (int i = 0; dot && i < 3; i++)
        if (!strcmp(dot, ends[i])) return (report_element_file)i;
    return REPORT_NO_FILE;
}

static bool is_shown(const tks_deposit *d, const tks_field_element *e)
{
    return e->body < d->load->part_count;
}

static size_t count_shown(const tks_deposit *d)
{
    size_t count = 0;
    for (size_t i = 0; i < tks_field_element_count(d->field); i++) {
        tks_field_element e = tks_field_element_at(d->field, i);
        if (is_shown(d, &e)) count++;
    }
    return count;
}

/* Calls put for each element of a part. */
static void each(base_buffer *out, const tks_deposit *d,
                 void (*put)(base_buffer *, const tks_deposit *, const tks_field_element *))
{
    for (size_t i = 0; i < tks_field_element_count(d->field); i++) {
        tks_field_element e = tks_field_element_at(d->field, i);
        if (is_shown(d, &e)) put(out, d, &e);
    }
}

static double micron(const tks_deposit *d, const tks_field_element *e)
{
    return tks_deposit_thickness(d, e) * 1e6;
}

static const char *name_of(const tks_deposit *d, size_t body)
{
    for (size_t i = 0; i < d->row_count; i++)
        if (d->rows[i].body == (int)body) return d->rows[i].name;
    return "";
}

/* ------------------------------------------------------------------ CSV */

/* Names are quoted, quotes in them doubled (RFC 4180). */
static void put_csv(base_buffer *out, const tks_deposit *d, const tks_field_element *e)
{
    base_buffer_puts(out, "\"");
    for (const char *c = name_of(d, e->body); *c; c++)
        base_buffer_printf(out, *c == '"' ? "\"%c" : "%c", *c);
    base_buffer_printf(out, "\",%s", tks_label_name((tks_label)e->group));
    for (int k = 0; k < 3; k++)
        base_buffer_printf(out, ",%.5g,%.5g,%.5g", e->corner[k].x * 1e3, e->corner[k].y * 1e3,
                           e->corner[k].z * 1e3);
    base_buffer_printf(out, ",%.6g,%.6g,%.6g\n", e->area * 1e6, e->density, micron(d, e));
}

static void put_all_csv(base_buffer *out, const tks_deposit *d)
{
    base_buffer_puts(out, "part,surface,x1_mm,y1_mm,z1_mm,x2_mm,y2_mm,z2_mm,x3_mm,y3_mm,z3_mm,"
                          "area_mm2,density_A_m2,thickness_um\n");
    each(out, d, put_csv);
}

/* ------------------------------------------------------------------ VTU */

static void put_corners(base_buffer *out, const tks_deposit *d, const tks_field_element *e)
{
    (void)d;
    for (int k = 0; k < 3; k++)
        base_buffer_printf(out, "%.6g %.6g %.6g\n", e->corner[k].x * 1e3, e->corner[k].y * 1e3,
                           e->corner[k].z * 1e3);
}

static void put_thickness(base_buffer *out, const tks_deposit *d, const tks_field_element *e)
{
    base_buffer_printf(out, "%.6g\n", micron(d, e));
}

static void put_density(base_buffer *out, const tks_deposit *d, const tks_field_element *e)
{
    (void)d;
    base_buffer_printf(out, "%.6g\n", e->density);
}

static void put_body(base_buffer *out, const tks_deposit *d, const tks_field_element *e)
{
    (void)d;
    base_buffer_printf(out, "%zu\n", e->body + 1);
}

static void put_numbers(base_buffer *out, const char *type, const char *name, size_t count,
                        size_t first, size_t step)
{
    base_buffer_printf(out, "<DataArray type=\"%s\" Name=\"%s\" format=\"ascii\">\n", type, name);
    for (size_t i = 0; i < count; i++) base_buffer_printf(out, "%zu\n", first + i * step);
    base_buffer_puts(out, "</DataArray>\n");
}

static void put_data(base_buffer *out, const tks_deposit *d, const char *name, const char *extra,
                     void (*put)(base_buffer *, const tks_deposit *, const tks_field_element *))
{
    base_buffer_printf(out, "<DataArray type=\"Float64\" Name=\"%s\"%s format=\"ascii\">\n", name,
                       extra);
    each(out, d, put);
    base_buffer_puts(out, "</DataArray>\n");
}

/* VTK's XML format for unstructured grids; cell type 5 is a triangle. */
static void put_all_vtu(base_buffer *out, const tks_deposit *d)
{
    size_t n = count_shown(d);
    base_buffer_printf(out,
                       "<?xml version=\"1.0\"?>\n<VTKFile type=\"UnstructuredGrid\" "
                       "version=\"0.1\" byte_order=\"LittleEndian\">\n<UnstructuredGrid>\n"
                       "<Piece NumberOfPoints=\"%zu\" NumberOfCells=\"%zu\">\n<Points>\n",
                       3 * n, n);
    put_data(out, d, "points_mm", " NumberOfComponents=\"3\"", put_corners);
    base_buffer_puts(out, "</Points>\n<Cells>\n");
    put_numbers(out, "Int64", "connectivity", 3 * n, 0, 1);
    put_numbers(out, "Int64", "offsets", n, 3, 3);
    put_numbers(out, "UInt8", "types", n, 5, 0);
    base_buffer_puts(out, "</Cells>\n<CellData Scalars=\"thickness_um\">\n");
    put_data(out, d, "thickness_um", "", put_thickness);
    put_data(out, d, "density_A_m2", "", put_density);
    put_data(out, d, "part", "", put_body);
    base_buffer_puts(out, "</CellData>\n</Piece>\n</UnstructuredGrid>\n</VTKFile>\n");
}

/* ------------------------------------------------------------------ PLY */

/* Dark blue to yellow, even to the eye and safe for the colour-blind: five stops of the common
 * "viridis" scale, by line between them. */
static const double scale[5][3] = {
    {68, 1, 84}, {59, 82, 139}, {33, 145, 140}, {94, 201, 98}, {253, 231, 37}};

static void put_face(base_buffer *out, const tks_deposit *d, const tks_field_element *e)
{
    double low = d->all.low5.value, high = d->all.high95.value;
    double t = high > low ? (tks_deposit_thickness(d, e) - low) / (high - low) : 0.5;
    double place = 4 * fmin(1, fmax(0, t));
    int stop = place >= 4 ? 3 : (int)place;
    double part = place - stop;
    for (int k = 0; k < 3; k++)
        base_buffer_printf(
            out, " %d", (int)lround(scale[stop][k] + part * (scale[stop + 1][k] - scale[stop][k])));
    base_buffer_printf(out, " %.6g\n", micron(d, e));
}

static void put_all_ply(base_buffer *out, const tks_deposit *d)
{
    size_t n = count_shown(d), k = 0;
    base_buffer_printf(out,
                       "ply\nformat ascii 1.0\ncomment lengths in mm, thickness in um\n"
                       "element vertex %zu\nproperty float x\nproperty float y\nproperty float z\n"
                       "element face %zu\nproperty list uchar int vertex_indices\n"
                       "property uchar red\nproperty uchar green\nproperty uchar blue\n"
                       "property float thickness\nend_header\n",
                       3 * n, n);
    each(out, d, put_corners);
    for (size_t i = 0; i < tks_field_element_count(d->field); i++) {
        tks_field_element e = tks_field_element_at(d->field, i);
        if (!is_shown(d, &e)) continue;
        base_buffer_printf(out, "3 %zu %zu %zu", 3 * k, 3 * k + 1, 3 * k + 2);
        put_face(out, d, &e);
        k++;
    }
}

void report_deposit_elements(base_buffer *out, const tks_deposit *deposit, report_element_file kind)
{
    if (kind == REPORT_CSV) put_all_csv(out, deposit);
    if (kind == REPORT_VTU) put_all_vtu(out, deposit);
    if (kind == REPORT_PLY) put_all_ply(out, deposit);
}
