/* The near field's inner loops, written once on vectors of eight floats. kernel.c includes this
 * file once for each instruction set, with NAME (gives each function its own name) and TARGET (the
 * attribute of the set). Only + - * / and bit operations are used, never fused, so each set gives
 * the same bits. */

#define INLINE static inline TARGET __attribute__((always_inline))

INLINE lanes NAME(pick)(lanes_int mask, lanes yes, lanes no)
{
    return (lanes)((mask & (lanes_int)yes) | (~mask & (lanes_int)no));
}

INLINE lanes NAME(magnitude)(lanes x)
{
    return (lanes)((lanes_int)x & 0x7fffffff);
}

INLINE lanes NAME(load)(const float *at)
{
    return *(const lanes_loose *)at;
}

/* 1/sqrt(x): first digits from the exponent bits, then three of Newton's steps. */
INLINE lanes NAME(inverse_root)(lanes x)
{
    lanes y = (lanes)(0x5f3759df - ((lanes_int)x >> 1));
    lanes half = 0.5f * x;
    y = y * (1.5f - half * y * y);
    y = y * (1.5f - half * y * y);
    return y * (1.5f - half * y * y);
}

/* Natural logarithm for x > 0: ln m 2^e with m in sqrt(1/2)..sqrt(2), and
 * ln m = 2 artanh t, t = (m - 1) / (m + 1), |t| < 0.1716. */
INLINE lanes NAME(logarithm)(lanes x)
{
    lanes_int bits = (lanes_int)x;
    lanes_int power = (bits - 0x3f3504f3) >> 23;
    lanes m = (lanes)(bits - (power << 23));
    lanes t = (m - 1.0f) / (m + 1.0f), s = t * t;
    lanes series = 1.0f + s * (1.0f / 3 + s * (1.0f / 5 + s * (1.0f / 7 + s * (1.0f / 9))));
    return __builtin_convertvector(power, lanes) * 0.693147181f + 2.0f * t * series;
}

/* Angle of the point (x, y), y >= 0, in 0..pi. Polynomial for arctan on 0..1: Abramowitz and
 * Stegun, Handbook of Mathematical Functions, 4.4.49 (error below 2e-8). */
INLINE lanes NAME(angle)(lanes y, lanes x)
{
    lanes width = NAME(magnitude)(x);
    lanes_int steep = y > width;
    lanes low = NAME(pick)(steep, width, y), high = NAME(pick)(steep, y, width);
    lanes t = low / (high + 1e-30f), s = t * t;
    lanes a =
        t * (1.0f + s * (-0.3333314528f +
                         s * (0.1999355085f +
                              s * (-0.1420889944f +
                                   s * (0.1065626393f +
                                        s * (-0.0752896400f +
                                             s * (0.0429096138f +
                                                  s * (-0.0161657367f + s * 0.0028662257f))))))));
    a = NAME(pick)(steep, 1.57079633f - a, a);
    return NAME(pick)(x < 0.0f, 3.14159265f - a, a);
}

typedef struct NAME(vector) {
    lanes x, y, z;
} NAME(vector);

INLINE lanes NAME(inner)(const NAME(vector) * a, const NAME(vector) * b)
{
    return a->x * b->x + a->y * b->y + a->z * b->z;
}

/* Three values of the sources j..j+7, from value k on, less the point (NULL: as they stand). */
INLINE void NAME(fetch)(const float *values, size_t stride, int k, const float *point,
                        NAME(vector) * v)
{
    const float *at = values + (size_t)k * stride;
    v->x = NAME(load)(at);
    v->y = NAME(load)(at + stride);
    v->z = NAME(load)(at + 2 * stride);
    if (!point) return;
    v->x -= point[0];
    v->y -= point[1];
    v->z -= point[2];
}

/* Exact integrals. Single layer: sum over the edges of d ln((ra + rb + l) / (ra + rb - l)) less
 * |h| times the solid angle (Wilton et al., IEEE Trans. AP-32 (1984) 276, from memory); solid
 * angle: van Oosterom and Strackee, IEEE Trans. BME-30 (1983) 125. */
INLINE void NAME(exact)(const float *values, size_t stride, const float *point, lanes *single,
                        lanes *twin)
{
    NAME(vector) r[3], out, normal;
    lanes length[3], sum = {0};
    for (int k = 0; k < 3; k++) {
        NAME(fetch)(values, stride, 3 * k, point, &r[k]);
        lanes square = NAME(inner)(&r[k], &r[k]) + 1e-30f;
        length[k] = square * NAME(inverse_root)(square);
    }
    for (int k = 0; k < 3; k++) {
        int next = k == 2 ? 0 : k + 1;
        NAME(fetch)(values, stride, EDGES + 3 * k, NULL, &out);
        lanes edge = NAME(load)(values + (size_t)(EDGE_LENGTHS + k) * stride);
        lanes both = length[k] + length[next];
        lanes rest = both - edge, least = 1e-7f * both;
        rest = NAME(pick)(rest > least, rest, least);
        sum += NAME(inner)(&out, &r[k]) * NAME(logarithm)((both + edge) / rest);
    }
    NAME(fetch)(values, stride, NORMAL, NULL, &normal);
    lanes height = NAME(inner)(&normal, &r[0]);
    lanes volume = height * NAME(load)(values + (size_t)DOUBLE_AREA * stride);
    lanes against = length[0] * length[1] * length[2] + NAME(inner)(&r[0], &r[1]) * length[2] +
                    NAME(inner)(&r[1], &r[2]) * length[0] + NAME(inner)(&r[2], &r[0]) * length[1];
    lanes solid = 2.0f * NAME(angle)(NAME(magnitude)(volume), against);
    *single = sum - NAME(magnitude)(height) * solid;
    *twin = NAME(pick)(height < 0.0f, -solid, solid);
}

INLINE void NAME(three_point)(const float *values, size_t stride, const float *point, lanes *single,
                              lanes *twin)
{
    NAME(vector) normal, r;
    lanes sum = {0}, slope = {0};
    NAME(fetch)(values, stride, NORMAL, NULL, &normal);
    for (int k = 0; k < 3; k++) {
        NAME(fetch)(values, stride, NODES + 3 * k, point, &r);
        lanes inverse = NAME(inverse_root)(NAME(inner)(&r, &r));
        sum += inverse;
        slope += NAME(inner)(&normal, &r) * inverse * inverse * inverse;
    }
    lanes share = NAME(load)(values + (size_t)DOUBLE_AREA * stride) * (1.0f / 6);
    *single = share * sum;
    *twin = share * slope;
}

/* Whether all eight triangles are far from the point. */
INLINE bool NAME(far_away)(const float *values, size_t stride, const float *point)
{
    NAME(vector) r;
    NAME(fetch)(values, stride, NODES, point, &r);
    lanes_int near = NAME(inner)(&r, &r) < NAME(load)(values + (size_t)REACH * stride);
    int any = 0;
    for (int k = 0; k < FIELD_LANES; k++) any |= near[k];
    return !any;
}

static TARGET void NAME(row)(const field_sources *s, const float *points, float *single,
                             float *twin)
{
    for (size_t j = 0; j < s->stride; j += FIELD_LANES) {
        lanes sum = {0}, slope = {0}, one, other;
        const float *values = s->values + j;
        bool distant = NAME(far_away)(values, s->stride, points);
        for (int k = 0; k < 3; k++) {
            if (distant)
                NAME(three_point)(values, s->stride, points + 3 * k, &one, &other);
            else
                NAME(exact)(values, s->stride, points + 3 * k, &one, &other);
            sum += one;
            slope += other;
        }
        *(lanes_loose *)(single + j) = sum * THIRD_OF_4_PI;
        *(lanes_loose *)(twin + j) = slope * THIRD_OF_4_PI;
    }
}

static TARGET double NAME(dot)(const float *a, const float *x, const float *b, const float *y,
                               size_t count)
{
    lanes sum = {0}, other = {0};
    for (size_t j = 0; j < count; j += FIELD_LANES) {
        sum += NAME(load)(a + j) * NAME(load)(x + j);
        other += NAME(load)(b + j) * NAME(load)(y + j);
    }
    sum -= other;
    double total = 0;
    for (int k = 0; k < FIELD_LANES; k++) total += (double)sum[k];
    return total;
}

static TARGET void NAME(translate)(const float *matrix, const float *x, float *y)
{
    enum { PIECES = FIELD_TERMS / FIELD_LANES };
    lanes sum[PIECES];
    for (int k = 0; k < PIECES; k++) sum[k] = NAME(load)(y + FIELD_LANES * k);
    for (int column = 0; column < FIELD_TERMS; column++)
        for (int k = 0; k < PIECES; k++)
            sum[k] += NAME(load)(matrix + FIELD_TERMS * column + FIELD_LANES * k) * x[column];
    for (int k = 0; k < PIECES; k++) *(lanes_loose *)(y + FIELD_LANES * k) = sum[k];
}

#undef INLINE
