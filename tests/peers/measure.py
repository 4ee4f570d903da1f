"""Area and volume of a binary STL by numpy: measure.py FILE"""
import sys

import numpy

record = numpy.dtype([("normal", "<f4", 3), ("corner", "<f4", (3, 3)), ("rest", "<u2")])
corner = numpy.fromfile(sys.argv[1], record, offset=84)["corner"].astype(float)
a, b, c = corner[:, 0], corner[:, 1], corner[:, 2]
twice = numpy.cross(b - a, c - a)
area = numpy.linalg.norm(twice, axis=1).sum() / 2
volume = numpy.einsum("ij,ij->", a, twice) / 6
print("%.17g %.17g" % (area, volume))
