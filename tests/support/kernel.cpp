#include "support/kernel.h"

#include <BRepAlgoAPI_Common.hxx>
#include <BRepAlgoAPI_Cut.hxx>
#include <BRepAlgoAPI_Fuse.hxx>
#include <BRepBuilderAPI_MakeEdge.hxx>
#include <BRepBuilderAPI_MakeFace.hxx>
#include <BRepBuilderAPI_MakeWire.hxx>
#include <BRepBuilderAPI_Transform.hxx>
#include <BRepGProp.hxx>
#include <BRepLib.hxx>
#include <BRepOffsetAPI_MakePipe.hxx>
#include <BRepOffsetAPI_MakePipeShell.hxx>
#include <BRep_TEdge.hxx>
#include <GProp_GProps.hxx>
#include <Geom2d_Line.hxx>
#include <GeomAPI_PointsToBSpline.hxx>
#include <Geom_BSplineCurve.hxx>
#include <Geom_CylindricalSurface.hxx>
#include <LocOpe_Prism.hxx>
#include <LocOpe_Revol.hxx>
#include <Standard_Failure.hxx>
#include <TColgp_Array1OfPnt.hxx>
#include <TopExp_Explorer.hxx>
#include <TopoDS.hxx>
#include <TopoDS_Edge.hxx>
#include <TopoDS_Shape.hxx>
#include <gp_Ax2.hxx>
#include <gp_Circ.hxx>
#include <gp_Pln.hxx>

#include <cmath>
#include <limits>
#include <vector>

struct kernel_solid {
    TopoDS_Shape shape;
};

namespace
{

const double unit = 1e3; /* millimetres in a metre */

gp_Pnt point(const tks_vec3 &p)
{
    return gp_Pnt(p.x * unit, p.y * unit, p.z * unit);
}

gp_Dir direction(const tks_vec3 &d)
{
    return gp_Dir(d.x, d.y, d.z);
}

/* Where plane coordinates stand: x along a, y along b. */
struct plane {
    tks_vec3 origin, a, b;

    gp_Pnt at(const tks_vec2 &p) const
    {
        return point({origin.x + p.x * a.x + p.y * b.x, origin.y + p.x * a.y + p.y * b.y,
                      origin.z + p.x * a.z + p.y * b.z});
    }
    gp_Ax2 axes(const tks_vec2 &centre, bool clockwise) const
    {
        gp_Dir normal = direction(a).Crossed(direction(b));
        return gp_Ax2(at(centre), clockwise ? normal.Reversed() : normal, direction(a));
    }
};

TopoDS_Edge edge(const tks_segment &s, const plane &p)
{
    if (s.turn == 0) return BRepBuilderAPI_MakeEdge(p.at(s.from), p.at(s.to));
    double radius = std::hypot(s.from.x - s.centre.x, s.from.y - s.centre.y) * unit;
    gp_Circ circle(p.axes(s.centre, s.turn < 0), radius);
    if (std::fabs(s.turn) >= 2 * M_PI) return BRepBuilderAPI_MakeEdge(circle);
    return BRepBuilderAPI_MakeEdge(circle, p.at(s.from), p.at(s.to));
}

TopoDS_Wire wire(const tks_outline &o, const plane &p)
{
    BRepBuilderAPI_MakeWire made;
    for (size_t i = 0; i < o.count; i++) made.Add(edge(o.segments[i], p));
    return made.Wire();
}

TopoDS_Face face(const tks_outline *outlines, size_t count, const plane &p)
{
    gp_Pln where(point(p.origin), direction(p.a).Crossed(direction(p.b)));
    BRepBuilderAPI_MakeFace made(where, wire(outlines[0], p));
    for (size_t i = 1; i < count; i++) made.Add(wire(outlines[i], p));
    return made.Face();
}

kernel_solid *keep(const TopoDS_Shape &shape)
{
    return shape.IsNull() ? nullptr : new kernel_solid{shape};
}

/* Debian 12 packs the kernel's own primitives with a header that only its visualisation package
 * has, so that prisms and turned solids are made by its feature tools instead. */
TopoDS_Shape moved(const TopoDS_Face &section, const tks_vec3 &d, double length)
{
    return LocOpe_Prism(section, gp_Vec(direction(d)) * (length * unit)).Shape();
}

TopoDS_Shape rotated(const TopoDS_Face &section, const gp_Ax1 &axis, double angle)
{
    LocOpe_Revol revolved;
    revolved.Perform(section, axis, angle);
    return revolved.Shape();
}

/* Kernel failures come as exceptions; to the tests they are NULL. */
template <class Make> kernel_solid *made(Make make)
{
    try {
        return keep(make());
    } catch (const Standard_Failure &) {
        return nullptr;
    }
}

template <class Operation> kernel_solid *combined(kernel_solid *a, kernel_solid *b)
{
    kernel_solid *result = nullptr;
    if (a && b) result = made([&] { return Operation(a->shape, b->shape).Shape(); });
    kernel_free(a);
    kernel_free(b);
    return result;
}

tks_segment line(double x1, double y1, double x2, double y2)
{
    return {{x1, y1}, {x2, y2}, {0, 0}, 0, TKS_OUTSIDE, -1};
}

/* About a centre on the x axis. */
tks_segment arc(double x1, double y1, double x2, double y2, double centre, double turn)
{
    return {{x1, y1}, {x2, y2}, {centre, 0}, turn, TKS_OUTSIDE, -1};
}

tks_vec3 cross(const tks_vec3 &a, const tks_vec3 &b)
{
    return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

gp_Ax1 bend_axis(const tks_stretch &s)
{
    const tks_frame &f = s.start;
    tks_vec3 centre = {f.origin.x + s.radius * f.x.x, f.origin.y + s.radius * f.x.y,
                       f.origin.z + s.radius * f.x.z};
    return gp_Ax1(point(centre), direction(f.y));
}

/* One stretch of a sweep; side, the section's x direction, is carried to its end. */
TopoDS_Shape stretch(const tks_stretch &s, const tks_outline *outlines, size_t count,
                     tks_vec3 *side)
{
    const tks_frame &f = s.start;
    TopoDS_Face section = face(outlines, count, {f.origin, *side, cross(f.z, *side)});
    if (s.kind == TKS_STRAIGHT) return moved(section, f.z, s.length);
    gp_Dir carried = direction(*side).Rotated(bend_axis(s), s.angle);
    *side = {carried.X(), carried.Y(), carried.Z()};
    return rotated(section, bend_axis(s), s.angle);
}

} // namespace

kernel_solid *kernel_revolve(const tks_frame *f, const tks_outline *profile, double angle)
{
    return made([&] {
        gp_Ax1 axis(point(f->origin), direction(f->z));
        return rotated(face(profile, 1, {f->origin, f->x, f->z}), axis, angle);
    });
}

kernel_solid *kernel_prism(const tks_frame *f, const tks_outline *outlines, size_t count,
                           double length)
{
    return made([&] {
        return moved(face(outlines, count, {f->origin, f->x, f->y}), f->z, length);
    });
}

kernel_solid *kernel_sweep(const tks_path *path, const tks_outline *outlines, size_t count)
{
    return made([&] {
        tks_vec3 side = path->stretches[0].start.x;
        TopoDS_Shape all;
        for (size_t i = 0; i < path->count; i++) {
            TopoDS_Shape piece = stretch(path->stretches[i], outlines, count, &side);
            all = i ? BRepAlgoAPI_Fuse(all, piece).Shape() : piece;
        }
        return all;
    });
}

kernel_solid *kernel_wire(const double *points, size_t n, double radius)
{
    return made([&] {
        TColgp_Array1OfPnt through(1, (int)n);
        for (size_t i = 0; i < n; i++)
            through.SetValue((int)i + 1,
                             point({points[3 * i], points[3 * i + 1], points[3 * i + 2]}));
        Handle(Geom_BSplineCurve) curve =
            GeomAPI_PointsToBSpline(through, 3, 8, GeomAbs_C2, 1e-6).Curve();
        gp_Pnt start;
        gp_Vec tangent;
        curve->D1(curve->FirstParameter(), start, tangent);
        gp_Circ circle(gp_Ax2(start, gp_Dir(tangent)), radius * unit);
        TopoDS_Face disc =
            BRepBuilderAPI_MakeFace(BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(circle)));
        TopoDS_Wire spine = BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(curve));
        return BRepOffsetAPI_MakePipe(spine, disc).Shape();
    });
}

kernel_solid *kernel_helix(const tks_vec2 *corners, size_t n, double pitch, double turns, bool left)
{
    return made([&] {
        double radius = corners[0].x * unit, rise = pitch * unit;
        Handle(Geom_CylindricalSurface) about =
            new Geom_CylindricalSurface(gp_Ax3(gp::XOY()), radius);
        gp_Dir2d way(left ? -2 * M_PI : 2 * M_PI, rise);
        Handle(Geom2d_Line) line = new Geom2d_Line(gp_Pnt2d(0, corners[0].y * unit), way);
        TopoDS_Edge helix =
            BRepBuilderAPI_MakeEdge(line, about, 0, turns * std::hypot(2 * M_PI, rise));
        BRepLib::BuildCurve3d(helix, 1e-9);
        BRepBuilderAPI_MakeWire section;
        for (size_t i = 0; i < n; i++) {
            const tks_vec2 &a = corners[i], &b = corners[(i + 1) % n];
            section.Add(BRepBuilderAPI_MakeEdge(point({a.x, 0, a.y}), point({b.x, 0, b.y})));
        }
        BRepOffsetAPI_MakePipeShell pipe(BRepBuilderAPI_MakeWire(helix).Wire());
        pipe.SetMode(gp_Dir(0, 0, 1)); /* only turn about z */
        pipe.SetTolerance(1e-7, 1e-7, 1e-5);
        pipe.Add(section.Wire());
        pipe.Build();
        pipe.MakeSolid();
        return pipe.Shape();
    });
}

kernel_solid *kernel_box(const tks_frame *f, double x, double y, double z)
{
    tks_segment s[4] = {line(0, 0, x, 0), line(x, 0, x, y), line(x, y, 0, y), line(0, y, 0, 0)};
    tks_outline o = {s, 4, 0};
    return kernel_prism(f, &o, 1, z);
}

kernel_solid *kernel_cylinder(const tks_frame *f, double radius, double height)
{
    tks_segment s = arc(radius, 0, radius, 0, 0, 2 * M_PI);
    tks_outline o = {&s, 1, 0};
    return kernel_prism(f, &o, 1, height);
}

kernel_solid *kernel_cone(const tks_frame *f, double r1, double r2, double height)
{
    std::vector<tks_segment> s;
    if (r1 > 0) s.push_back(line(0, 0, r1, 0));
    s.push_back(line(r1, 0, r2, height));
    if (r2 > 0) s.push_back(line(r2, height, 0, height));
    s.push_back(line(0, height, 0, 0));
    tks_outline o = {s.data(), s.size(), 0};
    return kernel_revolve(f, &o, 2 * M_PI);
}

kernel_solid *kernel_sphere(const tks_frame *f, double radius)
{
    tks_segment s[2] = {arc(0, -radius, 0, radius, 0, M_PI), line(0, radius, 0, -radius)};
    tks_outline o = {s, 2, 0};
    return kernel_revolve(f, &o, 2 * M_PI);
}

kernel_solid *kernel_torus(const tks_frame *f, double ring, double section)
{
    tks_segment s = arc(ring + section, 0, ring + section, 0, ring, 2 * M_PI);
    tks_outline o = {&s, 1, 0};
    return kernel_revolve(f, &o, 2 * M_PI);
}

kernel_solid *kernel_fuse(kernel_solid *a, kernel_solid *b)
{
    return combined<BRepAlgoAPI_Fuse>(a, b);
}

kernel_solid *kernel_cut(kernel_solid *a, kernel_solid *b)
{
    return combined<BRepAlgoAPI_Cut>(a, b);
}

kernel_solid *kernel_common(kernel_solid *a, kernel_solid *b)
{
    return combined<BRepAlgoAPI_Common>(a, b);
}

double kernel_area(const kernel_solid *solid)
{
    if (!solid) return std::numeric_limits<double>::quiet_NaN();
    GProp_GProps properties;
    BRepGProp::SurfaceProperties(solid->shape, properties, 1e-11);
    return properties.Mass() / (unit * unit);
}

double kernel_area_doubt(const kernel_solid *solid)
{
    if (!solid) return std::numeric_limits<double>::quiet_NaN();
    double doubt = 0;
    for (TopExp_Explorer e(solid->shape, TopAbs_EDGE); e.More(); e.Next()) {
        const TopoDS_Edge &edge = TopoDS::Edge(e.Current());
        const BRep_TEdge *record = dynamic_cast<const BRep_TEdge *>(edge.TShape().get());
        if (!record || record->Degenerated()) continue;
        GProp_GProps line;
        BRepGProp::LinearProperties(edge, line);
        doubt += line.Mass() * record->Tolerance();
    }
    return doubt / (unit * unit);
}

double kernel_volume(const kernel_solid *solid)
{
    if (!solid) return std::numeric_limits<double>::quiet_NaN();
    GProp_GProps properties;
    BRepGProp::VolumeProperties(solid->shape, properties, 1e-11);
    return properties.Mass() / (unit * unit * unit);
}

size_t kernel_faces(const kernel_solid *solid)
{
    size_t count = 0;
    if (!solid) return 0;
    for (TopExp_Explorer e(solid->shape, TopAbs_FACE); e.More(); e.Next()) count++;
    return count;
}

void kernel_free(kernel_solid *solid)
{
    delete solid;
}
