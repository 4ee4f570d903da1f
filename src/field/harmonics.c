#include "field/harmonics.h"

#include <complex.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef double complex complex_value;

enum { TWICE = 2 * FIELD_DEGREE, TABLE = (TWICE + 1) * (TWICE + 1) };

static int place(int l, int m)
{
    return l * l + l + m;
}

static double minus_one_to(int power)
{
    return power & 1 ? -1 : 1;
}

/* Fills the negative orders: F_l^-m = (-1)^m conj F_l^m. */
static void fill_negative(complex_value *table, int degree)
{
    for (int l = 1; l <= degree; l++)
        for (int m = 1; m <= l; m++)
            table[place(l, -m)] = minus_one_to(m) * conj(table[place(l, m)]);
}

/* R_l^m at z for all |m| <= l <= degree, by its recurrences in l. */
static void regular_table(tks_vec3 z, int degree, complex_value *table)
{
    complex_value across = z.x + I * z.y;
    double square = z.x * z.x + z.y * z.y + z.z * z.z;
    table[0] = 1;
    for (int m = 0; m <= degree; m++) {
        if (m > 0) table[place(m, m)] = -across / (2.0 * m) * table[place(m - 1, m - 1)];
        for (int l = m; l < degree; l++) {
            complex_value below = l > m ? table[place(l - 1, m)] : 0;
            table[place(l + 1, m)] = ((2 * l + 1) * z.z * table[place(l, m)] - square * below) /
                                     ((l + 1) * (l + 1) - m * m);
        }
    }
    fill_negative(table, degree);
}

/* I_l^m at z, likewise. */
static void irregular_table(tks_vec3 z, int degree, complex_value *table)
{
    complex_value across = z.x + I * z.y;
    double square = z.x * z.x + z.y * z.y + z.z * z.z;
    table[0] = 1 / sqrt(square);
    for (int m = 0; m <= degree; m++) {
        if (m > 0) table[place(m, m)] = -(2 * m - 1) * across / square * table[place(m - 1, m - 1)];
        for (int l = m; l < degree; l++) {
            complex_value below = l > m ? table[place(l - 1, m)] : 0;
            table[place(l + 1, m)] =
                ((2 * l + 1) * z.z * table[place(l, m)] - (l * l - m * m) * below) / square;
        }
    }
    fill_negative(table, degree);
}

static complex_value term(const double *terms, int l, int m)
{
    if (m == 0) return terms[place(l, 0)];
    int positive = abs(m);
    complex_value value = terms[place(l, positive)] + I * terms[place(l, -positive)];
    return m > 0 ? value : minus_one_to(m) * conj(value);
}

static void store(double *terms, int l, int m, complex_value value)
{
    terms[place(l, m)] = creal(value);
    if (m > 0) terms[place(l, -m)] = cimag(value);
}

void field_harmonics_regular(tks_vec3 z, double *terms)
{
    complex_value table[FIELD_TERMS];
    regular_table(z, FIELD_DEGREE, table);
    for (int l = 0; l <= FIELD_DEGREE; l++)
        for (int m = 0; m <= l; m++) store(terms, l, m, table[place(l, m)]);
}

/* The part of R(a + b) that is linear in b:
 * b_z R_{l-1}^m - (b_x + i b_y)/2 R_{l-1}^{m-1} + (b_x - i b_y)/2 R_{l-1}^{m+1}. */
void field_harmonics_slope(const double *terms, tks_vec3 n, double *slope)
{
    complex_value half = (n.x + I * n.y) / 2;
    slope[0] = 0;
    for (int l = 1; l <= FIELD_DEGREE; l++)
        for (int m = 0; m <= l; m++) {
            complex_value sum = 0;
            if (m < l) sum += n.z * term(terms, l - 1, m);
            if (m - 1 >= 1 - l) sum -= half * term(terms, l - 1, m - 1);
            if (m + 1 < l) sum += conj(half) * term(terms, l - 1, m + 1);
            store(slope, l, m, sum);
        }
}

/* A column's unit as the complex values of orders m and -m. */
static void unit_pair(int m, complex_value unit, complex_value *plus, complex_value *minus)
{
    *plus = unit;
    *minus = m > 0 ? minus_one_to(m) * conj(unit) : 0;
}

static complex_value entry(const complex_value *table, int l, int m)
{
    return abs(m) <= l ? table[place(l, m)] : 0;
}

void field_harmonics_shift(tks_vec3 d, double *matrix)
{
    complex_value table[FIELD_TERMS];
    regular_table(d, FIELD_DEGREE, table);
    memset(matrix, 0, FIELD_TERMS * FIELD_TERMS * sizeof *matrix);
    for (int k = 0; k <= FIELD_DEGREE; k++)
        for (int order = -k; order <= k; order++) {
            complex_value plus, minus;
            unit_pair(abs(order), (order < 0 ? I : 1) * pow(0.5, k), &plus, &minus);
            double column[FIELD_TERMS];
            for (int l = k; l <= FIELD_DEGREE; l++)
                for (int m = 0; m <= l; m++)
                    store(column, l, m,
                          plus * entry(table, l - k, m - abs(order)) +
                              minus * entry(table, l - k, m + abs(order)));
            for (int row = k * k; row < FIELD_TERMS; row++)
                matrix[FIELD_TERMS * row + place(k, order)] = column[row];
        }
}

/* L_l^m = (-1)^l sum M_k^n I_{k+l}^{n+m}(a), M = conj of the moments; orders m > 0 count twice in
 * the dot product. */
void field_harmonics_field(tks_vec3 a, float *matrix)
{
    complex_value table[TABLE];
    irregular_table(a, TWICE, table);
    for (int k = 0; k <= FIELD_DEGREE; k++)
        for (int order = -k; order <= k; order++) {
            complex_value plus, minus;
            int n = abs(order);
            unit_pair(n, order < 0 ? -I : 1, &plus, &minus);
            double column[FIELD_TERMS];
            for (int l = 0; l <= FIELD_DEGREE; l++)
                for (int m = 0; m <= l; m++)
                    store(column, l, m,
                          minus_one_to(l) * (m > 0 ? 2 : 1) *
                              (plus * entry(table, k + l, m + n) +
                               minus * entry(table, k + l, m - n)));
            for (int row = 0; row < FIELD_TERMS; row++)
                matrix[FIELD_TERMS * place(k, order) + row] = (float)column[row];
        }
}

void field_harmonics_mirror(unsigned mirror, float *signs)
{
    for (int l = 0; l <= FIELD_DEGREE; l++)
        for (int m = -l; m <= l; m++) {
            double sign = 1;
            if (mirror & 1u) sign *= minus_one_to(m < 0 ? m + 1 : m);
            if ((mirror & 2u) && m < 0) sign = -sign;
            if (mirror & 4u) sign *= minus_one_to(l + m);
            signs[place(l, m)] = (float)sign;
        }
}
