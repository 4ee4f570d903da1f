// The bench's tank for finite elements: two anodes, two rods, a sheet; lengths in metres.
// -setnumber SIZE gives the elements' size at the parts.
SetFactory("OpenCASCADE");
DefineConstant[ SIZE = 0.003 ];
Box(1) = {0, 0, 0, 0.3, 0.2, 0.2};
Box(2) = {0.02, 0.03, 0.03, 0.01, 0.14, 0.14};
Box(3) = {0.27, 0.03, 0.03, 0.01, 0.14, 0.14};
// Rods of 8 mm as prisms of 20 sides with the circle's perimeter.
rods() = {};
radius = 0.004 * (Pi / 20) / Sin(Pi / 20);
For rod In {0:1}
  For k In {0:19}
    Point(1000 + 5000 * rod + k) = {0.12 + 0.06 * rod + radius * Cos(2 * Pi * k / 20), 0.1 + radius * Sin(2 * Pi * k / 20), 0.02};
  EndFor
  For k In {0:19}
    Line(1000 + 5000 * rod + k) = {1000 + 5000 * rod + k, 1000 + 5000 * rod + (k + 1) % 20};
  EndFor
  Line Loop(1000 + 5000 * rod) = {1000 + 5000 * rod : 1019 + 5000 * rod};
  Plane Surface(1000 + 5000 * rod) = {1000 + 5000 * rod};
  out() = Extrude {0, 0, 0.15} { Surface{1000 + 5000 * rod}; };
  rods() += out[1];
EndFor
Box(6) = {0.149, 0.05, 0.05, 0.002, 0.1, 0.1};
BooleanDifference(7) = { Volume{1}; Delete; }{ Volume{2, 3, 6, rods()}; Delete; };
e = 1e-6;
left() = Surface In BoundingBox {0.02 - e, 0.03 - e, 0.03 - e, 0.03 + e, 0.17 + e, 0.17 + e};
right() = Surface In BoundingBox {0.27 - e, 0.03 - e, 0.03 - e, 0.28 + e, 0.17 + e, 0.17 + e};
rod1() = Surface In BoundingBox {0.115, 0.095, 0.02 - e, 0.125, 0.105, 0.17 + e};
rod2() = Surface In BoundingBox {0.175, 0.095, 0.02 - e, 0.185, 0.105, 0.17 + e};
sheet() = Surface In BoundingBox {0.149 - e, 0.05 - e, 0.05 - e, 0.151 + e, 0.15 + e, 0.15 + e};
Physical Volume(1) = {7};
Physical Surface(2) = {left(), right()};
Physical Surface(3) = {rod1()};
Physical Surface(4) = {rod2()};
Physical Surface(5) = {sheet()};
Field[1] = Distance;
Field[1].FacesList = {rod1(), rod2(), sheet()};
Field[1].NNodesByEdge = 40;
Field[2] = Threshold;
Field[2].IField = 1;
Field[2].LcMin = SIZE;
Field[2].LcMax = 8 * SIZE;
Field[2].DistMin = 0;
Field[2].DistMax = 0.08;
Background Field = 2;
Mesh.CharacteristicLengthExtendFromBoundary = 0;
Mesh.CharacteristicLengthFromPoints = 0;
