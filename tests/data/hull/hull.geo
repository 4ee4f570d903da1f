// The 267 ml Hull cell seen from above: inside lengths of the walls 63.5 (anode), 47.6, 101.6
// (cathode, slanted) and 127 mm, from memory; they agree with its volume and usual depth of 48 mm.
// Lengths in metres.
fine = 2.5e-4;
coarse = 1.5e-3;
Point(1) = {0, 0, 0, coarse};
Point(2) = {0.127, 0, 0, fine};
Point(3) = {0.0476, 0.0635, 0, fine};
Point(4) = {0, 0.0635, 0, coarse};
Line(1) = {1, 2}; // far wall
Line(2) = {2, 3}; // cathode
Line(3) = {3, 4}; // near wall
Line(4) = {4, 1}; // anode
Line Loop(1) = {1, 2, 3, 4};
Plane Surface(1) = {1};
Physical Line("cathode", 1) = {2};
Physical Line("anode", 2) = {4};
Physical Surface("liquid", 3) = {1};
Mesh.ElementOrder = 1;
