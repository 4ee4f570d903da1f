/* Gauss-Legendre quadrature of 8 points: exact for polynomials of degree 15. */
#ifndef GEOMETRY_GAUSS_H
#define GEOMETRY_GAUSS_H

enum { GEOMETRY_GAUSS = 8 };

/* Nodes on 0..1 and their weights, which add up to 1. Source: roots of the Legendre polynomial P8,
 * computed to 30 digits; they agree with Abramowitz and Stegun, table 25.4, n = 8. */
static const struct {
    double at, weight;
} geometry_gauss[GEOMETRY_GAUSS] = {
    {0.0198550717512318842, 0.0506142681451881296}, {0.10166676129318663, 0.111190517226687235},
    {0.237233795041835507, 0.156853322938943644},   {0.408282678752175098, 0.181341891689180991},
    {0.591717321247824902, 0.181341891689180991},   {0.762766204958164493, 0.156853322938943644},
    {0.89833323870681337, 0.111190517226687235},    {0.980144928248768116, 0.0506142681451881296},
};

#endif
