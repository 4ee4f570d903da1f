/* What every test includes: cmocka and a comparison of doubles that NaN fails. */
#ifndef SUPPORT_NEAR_H
#define SUPPORT_NEAR_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <math.h>
#include <stdio.h>

/* |got - want| <= rel |want|; for want 0 rel is absolute. what names the row that failed. */
#define assert_near(got, want, rel, what) near_check(got, want, rel, what, __FILE__, __LINE__)

void near_check(double got, double want, double rel, const char *what, const char *file, int line);

#endif
