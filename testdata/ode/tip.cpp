// SPDX-License-Identifier: MIT

// tip drives a robot with torque-limited joints in the Open Dynamics Engine
// along a trace and tells whether it tips over or a foot slides. It shares no
// code with Gaitwright. README.md says what is modelled and how it judges.
//
// usage: tip [options] TRACE.csv DESCRIBE.json

#include <ode/ode.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdarg>
#include <cstdio>
#include <cstdlib>
#include <deque>
#include <fstream>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

using nlohmann::json;
using std::string;
using std::vector;

// What is settled once for all motions; README.md gives the reasons.
constexpr double kSettle = 0.3;        // first pose held before the trace runs, s
constexpr double kHold = 0.6;          // last pose held after it, s
constexpr double kFootStiffness = 5e4; // of a foot on the ground, N/m
constexpr double kFootDamping = 300;   // N·s/m
constexpr double kCFM = 1e-7;          // slack of hinges and friction: m/s per N
constexpr double kERP = 0.2;

// Verdicts.
constexpr double kGapTime = 0.05;        // a gap counts when it lasts, s
constexpr double kGap = 0.002;           // planted foot off the ground, m
constexpr double kTilt = 3 * M_PI / 180; // body's tilt away from the trace's, rad
constexpr double kDrift = 0.005;         // planted foot away from where it landed, m
constexpr double kLoadTime = 0.02;       // torque is told as the mean of about this, s
constexpr double kLate = 5 * M_PI / 180; // joint behind its angle, rad

struct Vec {
  double x = 0, y = 0, z = 0;
};
Vec operator+(Vec a, Vec b) { return {a.x + b.x, a.y + b.y, a.z + b.z}; }
Vec operator-(Vec a, Vec b) { return {a.x - b.x, a.y - b.y, a.z - b.z}; }
Vec operator*(double s, Vec a) { return {s * a.x, s * a.y, s * a.z}; }
double dot(Vec a, Vec b) { return a.x * b.x + a.y * b.y + a.z * b.z; }
Vec cross(Vec a, Vec b) { return {a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x}; }
double norm(Vec a) { return std::sqrt(dot(a, a)); }

struct Mat {
  double m[3][3] = {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}};
};
Mat operator*(const Mat &a, const Mat &b) {
  Mat c;
  for (int i = 0; i < 3; i++)
    for (int j = 0; j < 3; j++)
      c.m[i][j] = a.m[i][0] * b.m[0][j] + a.m[i][1] * b.m[1][j] + a.m[i][2] * b.m[2][j];
  return c;
}
Vec operator*(const Mat &a, Vec v) {
  return {a.m[0][0] * v.x + a.m[0][1] * v.y + a.m[0][2] * v.z, a.m[1][0] * v.x + a.m[1][1] * v.y + a.m[1][2] * v.z,
          a.m[2][0] * v.x + a.m[2][1] * v.y + a.m[2][2] * v.z};
}
Mat transposed(const Mat &a) {
  Mat t;
  for (int i = 0; i < 3; i++)
    for (int j = 0; j < 3; j++) t.m[i][j] = a.m[j][i];
  return t;
}
Mat rotX(double a) { return {{{1, 0, 0}, {0, std::cos(a), -std::sin(a)}, {0, std::sin(a), std::cos(a)}}}; }
Mat rotY(double a) { return {{{std::cos(a), 0, std::sin(a)}, {0, 1, 0}, {-std::sin(a), 0, std::cos(a)}}}; }
Mat rotZ(double a) { return {{{std::cos(a), -std::sin(a), 0}, {std::sin(a), std::cos(a), 0}, {0, 0, 1}}}; }

// logOf gives the rotation vector of a rotation that is far from half a turn.
Vec logOf(const Mat &r) {
  Vec v{r.m[2][1] - r.m[1][2], r.m[0][2] - r.m[2][0], r.m[1][0] - r.m[0][1]};
  double s = norm(v) / 2, c = (r.m[0][0] + r.m[1][1] + r.m[2][2] - 1) / 2;
  double a = std::atan2(s, c);
  return (s < 1e-12 ? 0.5 : a / (2 * s)) * v;
}

struct Pose {
  Vec p;
  Mat r;
  Vec at(Vec v) const { return p + r * v; }
};

struct Part {
  double mass = 0;
  Vec com;      // own frame
  Mat inertia;  // about com, own axes
};

struct Servo {
  double stall = 0, noLoad = 0; // N·m, rad/s
};

struct Leg {
  string name;
  Vec mount;
  double heading, lateral, vertical, radius;
  std::array<double, 3> length;
  std::array<Part, 3> links;
  std::array<Servo, 3> servos;
};

struct Robot {
  double gravity, friction;
  Part body;
  vector<Leg> legs;
};

Vec vec(const json &j) { return {j.at(0), j.at(1), j.at(2)}; }

const char *const jointNames[3] = {"coxa", "femur", "tibia"};

struct Options {
  double step = 0.0005;                  // s
  double gain = 50;                      // of a servo: speed asked for per angle error, 1/s
  double mu = -1;                        // in place of the description's
  bool pyramid = false, header = false;
  string name, log;
};

Robot readRobot(const string &file, const Options &o) {
  std::ifstream in(file);
  if (!in) throw std::runtime_error("cannot read " + file);
  json d = json::parse(in).at("robot");
  Robot r;
  r.gravity = d.at("gravity_m_s2");
  r.friction = o.mu >= 0 ? o.mu : double(d.at("friction"));
  auto inertia = [](const json &part) {
    Mat m;
    for (int i = 0; i < 3; i++)
      for (int j = 0; j < 3; j++) m.m[i][j] = part.at("inertia_kg_m2").at(i).at(j);
    return m;
  };
  const json &b = d.at("body");
  r.body.mass = b.at("mass_kg");
  r.body.com = vec(b.at("com_m"));
  r.body.inertia = inertia(b);
  for (const json &j : d.at("legs")) {
    Leg l;
    l.name = j.at("name");
    l.mount = vec(j.at("mount_m"));
    l.heading = j.at("heading_rad");
    l.lateral = j.at("lateral_m");
    l.vertical = j.at("vertical_m");
    l.radius = j.at("foot_radius_m");
    l.length = {j.at("coxa_m"), j.at("femur_m"), j.at("tibia_m")};
    for (int k = 0; k < 3; k++) {
      const json &p = j.at("links").at(k);
      l.links[k].mass = p.at("mass_kg");
      if (!(l.links[k].mass > 0)) throw std::runtime_error(l.name + ": a link without mass cannot be simulated");
      l.links[k].com = vec(p.at("com_m"));
      l.links[k].inertia = inertia(p);
      const json &s = j.at("servos").at(jointNames[k]);
      l.servos[k] = {s.at("stall_torque_nm"), s.at("no_load_speed_rad_s")};
    }
    r.legs.push_back(l);
  }
  return r;
}

struct Row {
  double t, staticMargin;
  double dynamicMargin = NAN; // as the trace tells it, once it does
  Pose body;
  vector<std::array<double, 3>> q;
  vector<Vec> foot;
  vector<bool> planted;
};

vector<string> split(const string &line) {
  vector<string> cells(1);
  bool quoted = false;
  for (char c : line) {
    if (c == '"')
      quoted = !quoted;
    else if (c == ',' && !quoted)
      cells.emplace_back();
    else if (c != '\r')
      cells.back() += c;
  }
  return cells;
}

vector<Row> readTrace(const string &file, const Robot &robot) {
  std::ifstream in(file);
  string line;
  if (!std::getline(in, line)) throw std::runtime_error("cannot read " + file);
  std::map<string, size_t> column;
  vector<string> head = split(line);
  for (size_t i = 0; i < head.size(); i++) column[head[i]] = i;
  vector<Row> rows;
  while (std::getline(in, line)) {
    vector<string> c = split(line);
    auto num = [&](const string &name) {
      const string &s = c.at(column.at(name));
      return s.empty() ? NAN : std::stod(s);
    };
    Row r;
    r.t = num("t_s");
    r.staticMargin = num("static_margin_m");
    if (column.count("dynamic_margin_m")) r.dynamicMargin = num("dynamic_margin_m");
    r.body.p = {num("body_x_m"), num("body_y_m"), num("body_z_m")};
    r.body.r = rotZ(num("body_yaw_rad")) * rotY(num("body_pitch_rad")) * rotX(num("body_roll_rad"));
    for (const Leg &l : robot.legs) {
      const string n = l.name + "_";
      r.q.push_back({num(n + "coxa_rad"), num(n + "femur_rad"), num(n + "tibia_rad")});
      r.foot.push_back({num(n + "foot_x_m"), num(n + "foot_y_m"), num(n + "foot_z_m")});
      r.planted.push_back(c.at(column.at(n + "planted")) == "1");
    }
    rows.push_back(r);
  }
  if (rows.size() < 50) throw std::runtime_error(file + ": too short");
  return rows;
}

// linkPoses places the links of a leg: coxa, femur, tibia frames.
std::array<Pose, 3> linkPoses(const Pose &body, const Leg &l, const std::array<double, 3> &q) {
  std::array<Pose, 3> x;
  x[0] = {body.at(l.mount), body.r * rotZ(l.heading + q[0])};
  x[1] = {x[0].at({l.length[0], l.lateral, l.vertical}), x[0].r * rotY(-q[1])};
  x[2] = {x[1].at({l.length[1], 0, 0}), x[1].r * rotY(-q[2])};
  return x;
}

// signedDistance of p from the convex hull of the points, positive inside.
double signedDistance(vector<Vec> pts, Vec p) {
  std::sort(pts.begin(), pts.end(), [](Vec a, Vec b) { return a.x != b.x ? a.x < b.x : a.y < b.y; });
  auto turn = [](Vec a, Vec b, Vec c) { return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x); };
  vector<Vec> h;
  for (int pass = 0; pass < 2; pass++) {
    size_t base = h.size();
    for (Vec v : pts) {
      while (h.size() >= base + 2 && turn(h[h.size() - 2], h.back(), v) <= 0) h.pop_back();
      h.push_back(v);
    }
    h.pop_back();
    std::reverse(pts.begin(), pts.end());
  }
  double inside = INFINITY, nearest = INFINITY;
  for (size_t i = 0; i < h.size(); i++) {
    Vec a = h[i], b = h[(i + 1) % h.size()], e = b - a;
    double len = std::hypot(e.x, e.y);
    if (len > 0) inside = std::min(inside, turn(a, b, p) / len);
    double s = len > 0 ? std::clamp(((p.x - a.x) * e.x + (p.y - a.y) * e.y) / (len * len), 0.0, 1.0) : 0;
    nearest = std::min(nearest, std::hypot(p.x - a.x - s * e.x, p.y - a.y - s * e.y));
  }
  return h.size() >= 3 && inside >= 0 ? inside : -nearest;
}

// Own estimate of the zero-moment point of a trace, from the momenta of all
// parts by differences: the mean over 2·half rows, so that a jump of speed
// counts as a push of that length.
struct Margin {
  double worst = INFINITY, at = NAN;         // worst instant
  double lasting = INFINITY, lastingAt = NAN; // worst that lasts kGapTime
  double out = 0; // longest time that it stays negative, s
  double staticWorst = INFINITY;
  double dynamicWorst = INFINITY, dynamicAt = NAN;
  double grip = 0, gripAt = NAN; // greatest horizontal over vertical force
};

Margin marginOf(const Robot &robot, const vector<Row> &rows) {
  const size_t half = 5;
  struct Moments {
    Vec p, l;
  };
  double total = robot.body.mass;
  for (const Leg &l : robot.legs)
    for (const Part &k : l.links) total += k.mass;
  vector<Moments> mom(rows.size() - 1);
  vector<Vec> com(rows.size());
  vector<Pose> last;
  for (size_t k = 0; k < rows.size(); k++) {
    vector<Pose> x{rows[k].body};
    vector<const Part *> parts{&robot.body};
    for (size_t i = 0; i < robot.legs.size(); i++) {
      auto links = linkPoses(rows[k].body, robot.legs[i], rows[k].q[i]);
      for (int j = 0; j < 3; j++) {
        x.push_back(links[j]);
        parts.push_back(&robot.legs[i].links[j]);
      }
    }
    for (size_t b = 0; b < x.size(); b++) com[k] = com[k] + (parts[b]->mass / total) * x[b].at(parts[b]->com);
    if (k > 0) {
      double dt = rows[k].t - rows[k - 1].t;
      Moments m;
      for (size_t b = 0; b < x.size(); b++) {
        Vec c0 = last[b].at(parts[b]->com), c1 = x[b].at(parts[b]->com);
        Vec v = (1 / dt) * (c1 - c0), w = (1 / dt) * logOf(x[b].r * transposed(last[b].r));
        m.p = m.p + parts[b]->mass * v;
        m.l = m.l + parts[b]->mass * cross(0.5 * (c0 + c1), v) + x[b].r * (parts[b]->inertia * (transposed(x[b].r) * w));
      }
      mom[k - 1] = m;
    }
    last = x;
  }
  Margin out;
  std::deque<std::pair<double, double>> recent; // time, margin
  double since = NAN;                           // when it went negative
  for (size_t k = 0; k < rows.size(); k++) {
    out.staticWorst = std::fmin(out.staticWorst, rows[k].staticMargin);
    if (rows[k].dynamicMargin < out.dynamicWorst) out.dynamicWorst = rows[k].dynamicMargin, out.dynamicAt = rows[k].t;
    size_t lo = k > half ? k - half : 0, hi = std::min(k + half, mom.size()) - 1;
    if (hi <= lo) continue;
    double span = (rows[hi].t + rows[hi + 1].t - rows[lo].t - rows[lo + 1].t) / 2;
    Vec f = (1 / span) * (mom[hi].p - mom[lo].p) + Vec{0, 0, total * robot.gravity};
    Vec n = (1 / span) * (mom[hi].l - mom[lo].l) - cross(com[k], Vec{0, 0, -total * robot.gravity});
    vector<Vec> feet;
    for (size_t i = 0; i < robot.legs.size(); i++)
      if (rows[k].planted[i]) feet.push_back(rows[k].foot[i]);
    if (feet.empty()) {
      recent.clear();
      continue;
    }
    double m = -1; // the ground would have to pull
    if (f.z > 0) m = signedDistance(feet, {-n.y / f.z, n.x / f.z, 0});
    if (f.z > 0 && std::hypot(f.x, f.y) / f.z > out.grip) out.grip = std::hypot(f.x, f.y) / f.z, out.gripAt = rows[k].t;
    if (m < out.worst) out.worst = m, out.at = rows[k].t;
    if (m >= 0) since = NAN;
    else if (std::isnan(since)) since = rows[k].t;
    if (m < 0) out.out = std::max(out.out, rows[k].t - since);
    recent.emplace_back(rows[k].t, m);
    while (rows[k].t - recent.front().first > kGapTime) recent.pop_front();
    double best = -INFINITY;
    for (auto &[t, v] : recent) best = std::max(best, v);
    if (rows[k].t - recent.front().first >= kGapTime - 1.5e-3 && best < out.lasting) out.lasting = best, out.lastingAt = rows[k].t;
  }
  return out;
}

int warnings = 0;
void countMessage(int, const char *, va_list) { warnings++; }

Mat rotation(dBodyID b) {
  const dReal *r = dBodyGetRotation(b);
  Mat m;
  for (int i = 0; i < 3; i++)
    for (int j = 0; j < 3; j++) m.m[i][j] = r[4 * i + j];
  return m;
}

struct Body {
  dBodyID id;
  Part part;
  Pose pose() const {
    const dReal *p = dBodyGetPosition(id);
    Pose x;
    x.r = rotation(id);
    x.p = Vec{p[0], p[1], p[2]} - x.r * part.com;
    return x;
  }
};

struct Hinge {
  dJointID id;
  dJointFeedback feedback{};
  dBodyID child;
  double start, angle, torque = 0;
  double load = 0; // torque's size, mean of about kLoadTime, N·m
  Servo servo;
};

struct Foot {
  dGeomID geom;
  dBodyID tibia;
  double radius;
  dJointFeedback feedback{};
  Vec force;            // on the foot, last step
  bool touching = false;
};

struct Verdict {
  bool tipped = false, slid = false, late = false, fell = false;
  double tipTime = NAN, slideTime = NAN, lateTime = NAN;
  string tipWhy, slideLeg, lateJoint;
  double gap = 0, tilt = 0, drift = 0, error = 0, share = 0, saturated = 0, restDrift = 0;
};

class World {
 public:
  World(const Robot &robot, const vector<Row> &rows, const Options &options) : robot(robot), rows(rows), o(options) {
    dInitODE2(0);
    dSetMessageHandler(countMessage);
    world = dWorldCreate();
    space = dSimpleSpaceCreate(nullptr);
    contacts = dJointGroupCreate(0);
    dWorldSetGravity(world, 0, 0, -robot.gravity);
    dWorldSetCFM(world, kCFM);
    dWorldSetERP(world, kERP);
    ground = dCreatePlane(space, 0, 0, 1, 0);
    dGeomSetCategoryBits(ground, 1);
    dGeomSetCollideBits(ground, 2);
    build();
  }
  ~World() {
    dJointGroupDestroy(contacts);
    dSpaceDestroy(space);
    dWorldDestroy(world);
    dCloseODE();
  }
  Verdict run();

 private:
  const Robot &robot;
  const vector<Row> &rows;
  const Options &o;
  dWorldID world;
  dSpaceID space;
  dJointGroupID contacts;
  dGeomID ground;
  Body body;
  std::deque<Hinge> hinges; // ODE keeps pointers to the feedback
  std::deque<Foot> feet;
  std::deque<Body> links;

  dBodyID add(const Part &p, const Pose &x) {
    dBodyID b = dBodyCreate(world);
    dMass m;
    const auto &i = p.inertia.m;
    dMassSetParameters(&m, p.mass, 0, 0, 0, i[0][0], i[1][1], i[2][2], i[0][1], i[0][2], i[1][2]);
    dBodySetMass(b, &m);
    Vec c = x.at(p.com);
    dBodySetPosition(b, c.x, c.y, c.z);
    dMatrix3 r;
    for (int a = 0; a < 3; a++) {
      for (int k = 0; k < 3; k++) r[4 * a + k] = x.r.m[a][k];
      r[4 * a + 3] = 0;
    }
    dBodySetRotation(b, r);
    dBodySetAutoDisableFlag(b, 0);
    return b;
  }
  dGeomID attach(dGeomID g, dBodyID b, Vec at) { // at: from the centre of mass, body axes
    dGeomSetBody(g, b);
    dGeomSetOffsetPosition(g, at.x, at.y, at.z);
    dGeomSetCategoryBits(g, 2);
    dGeomSetCollideBits(g, 1);
    return g;
  }
  void build() {
    const Row &first = rows.front();
    body = {add(robot.body, first.body), robot.body};
    Vec lo, hi;
    for (const Leg &l : robot.legs) {
      lo = {std::min(lo.x, l.mount.x), std::min(lo.y, l.mount.y), 0};
      hi = {std::max(hi.x, l.mount.x), std::max(hi.y, l.mount.y), 0};
    }
    attach(dCreateBox(space, hi.x - lo.x, hi.y - lo.y, 0.04), body.id, 0.5 * (lo + hi) - robot.body.com);
    for (size_t i = 0; i < robot.legs.size(); i++) {
      const Leg &l = robot.legs[i];
      auto x = linkPoses(first.body, l, first.q[i]);
      dBodyID parent = body.id;
      for (int j = 0; j < 3; j++) {
        links.push_back({add(l.links[j], x[j]), l.links[j]});
        dBodyID b = links.back().id;
        Hinge &h = hinges.emplace_back();
        h.id = dJointCreateHinge(world, nullptr);
        h.child = b;
        h.servo = l.servos[j];
        h.start = h.angle = first.q[i][j];
        dJointAttach(h.id, b, parent);
        dJointSetHingeAnchor(h.id, x[j].p.x, x[j].p.y, x[j].p.z);
        Vec a = j == 0 ? first.body.r * Vec{0, 0, 1} : x[0].r * Vec{0, -1, 0};
        dJointSetHingeAxis(h.id, a.x, a.y, a.z);
        dJointSetFeedback(h.id, &h.feedback);
        parent = b;
      }
      Vec knee = Vec{0, 0, 0} - l.links[2].com, tip = Vec{l.length[2], 0, 0} - l.links[2].com;
      attach(dCreateSphere(space, l.radius), parent, knee);
      Foot &f = feet.emplace_back();
      f.radius = l.radius;
      f.tibia = parent;
      f.geom = attach(dCreateSphere(space, l.radius), parent, tip);
    }
  }
  static void near(void *self, dGeomID a, dGeomID b) { static_cast<World *>(self)->touch(a, b); }
  void touch(dGeomID a, dGeomID b);
  void drive(const vector<std::array<double, 3>> &from, const vector<std::array<double, 3>> &to);
  void readBack();
  vector<std::array<double, 3>> anglesAt(double t) const {
    double dt = rows[1].t - rows[0].t;
    double u = std::clamp(t / dt, 0.0, double(rows.size() - 1));
    size_t k = std::min(size_t(u), rows.size() - 2);
    double s = u - k;
    auto q = rows[k].q;
    for (size_t i = 0; i < q.size(); i++)
      for (int j = 0; j < 3; j++) q[i][j] += s * (rows[k + 1].q[i][j] - q[i][j]);
    return q;
  }
};

// touch makes the contacts of a pair. The ground is a spring and a damper, so
// that a result does not hang on the step (ODE manual, section 3.8.2). The
// friction of a foot is Coulomb's cone: its greatest force is the coefficient
// times the last step's normal force, in axes turned along the last step's
// friction, where the box of bounds touches the cone.
void World::touch(dGeomID a, dGeomID b) {
  dContact c[8];
  int n = dCollide(a, b, 8, &c[0].geom, sizeof(dContact));
  dGeomID other = a == ground ? b : a;
  Foot *foot = nullptr;
  for (Foot &f : feet)
    if (f.geom == other) foot = &f;
  for (int i = 0; i < n; i++) {
    double hk = o.step * kFootStiffness;
    c[i].surface.mode = dContactSoftERP | dContactSoftCFM | dContactFDir1;
    c[i].surface.soft_erp = hk / (hk + kFootDamping);
    c[i].surface.soft_cfm = 1 / (hk + kFootDamping);
    c[i].surface.mu = robot.friction;
    Vec along{1, 0, 0};
    if (foot) {
      double h = std::hypot(foot->force.x, foot->force.y);
      if (h > 1e-6) along = {foot->force.x / h, foot->force.y / h, 0};
      foot->touching = true;
    }
    if (foot && !o.pyramid) {
      // A foot that lands has no last step: its spring stands in.
      double normal = foot->force.z > 0 ? foot->force.z : kFootStiffness * c[i].geom.depth;
      c[i].surface.mu = robot.friction * normal;
    } else {
      c[i].surface.mode |= dContactApprox1;
      if (o.pyramid) along = {1, 0, 0};
    }
    c[i].fdir1[0] = along.x;
    c[i].fdir1[1] = along.y;
    c[i].fdir1[2] = along.z;
    dJointID j = dJointCreateContact(world, contacts, &c[i]);
    dJointAttach(j, dGeomGetBody(c[i].geom.g1), dGeomGetBody(c[i].geom.g2));
    if (foot) dJointSetFeedback(j, &foot->feedback);
  }
}

// drive asks each hinge for the speed of the trace and a share of its error;
// the torque ends at the servo's torque-speed line when it drives, at its
// stall torque when it brakes.
void World::drive(const vector<std::array<double, 3>> &from, const vector<std::array<double, 3>> &to) {
  size_t k = 0;
  for (size_t i = 0; i < from.size(); i++)
    for (int j = 0; j < 3; j++, k++) {
      Hinge &h = hinges[k];
      double speed = dJointGetHingeAngleRate(h.id);
      double limit = h.servo.stall;
      if (h.torque * speed > 0) limit *= std::max(0.0, 1 - std::abs(speed) / h.servo.noLoad);
      double ask = (to[i][j] - from[i][j]) / o.step + o.gain * (from[i][j] - h.angle);
      ask = std::clamp(ask, -h.servo.noLoad, h.servo.noLoad);
      dJointSetHingeParam(h.id, dParamVel, ask);
      dJointSetHingeParam(h.id, dParamFMax, limit);
    }
}

void World::readBack() {
  for (Hinge &h : hinges) {
    double a = h.start + dJointGetHingeAngle(h.id);
    h.angle = a + 2 * M_PI * std::round((h.angle - a) / (2 * M_PI));
    dVector3 anchor, axis;
    dJointGetHingeAnchor(h.id, anchor);
    dJointGetHingeAxis(h.id, axis);
    const dReal *c = dBodyGetPosition(h.child);
    Vec arm{anchor[0] - c[0], anchor[1] - c[1], anchor[2] - c[2]};
    Vec f{h.feedback.f1[0], h.feedback.f1[1], h.feedback.f1[2]}, t{h.feedback.t1[0], h.feedback.t1[1], h.feedback.t1[2]};
    h.torque = dot({axis[0], axis[1], axis[2]}, t - cross(arm, f));
    h.load += o.step / kLoadTime * (std::abs(h.torque) - h.load);
  }
  for (Foot &f : feet) {
    f.force = f.touching ? Vec{f.feedback.f1[0], f.feedback.f1[1], f.feedback.f1[2]} : Vec{};
    if (f.force.z < 0) f.force = -1.0 * f.force; // ODE may have put the ground first
  }
}

Verdict World::run() {
  Verdict v;
  const size_t n = feet.size();
  struct Stance {
    bool on = false, landed = false;
    Vec anchor;
    Mat turned; // tibia as it landed
    std::deque<std::pair<double, double>> gaps;
  };
  vector<Stance> stance(n);
  std::ofstream log;
  if (!o.log.empty()) {
    log.open(o.log);
    log << "t_s,body_x_m,body_y_m,body_z_m,tilt_deg,error_deg";
    for (const Leg &l : robot.legs) log << "," << l.name << "_gap_mm," << l.name << "_drift_mm," << l.name << "_fx," << l.name << "_fy," << l.name << "_fz";
    log << "\n";
  }
  const double end = rows.back().t;
  const long steps = std::lround((kSettle + end + kHold) / o.step);
  const double dt = rows[1].t - rows[0].t;
  Vec rest;
  for (long s = 0; s < steps; s++) {
    double t = s * o.step - kSettle; // start of the step, trace time
    drive(anglesAt(t), anglesAt(t + o.step));
    for (Foot &f : feet) f.touching = false;
    dSpaceCollide(space, this, near);
    dWorldStep(world, o.step);
    dJointGroupEmpty(contacts);
    readBack();
    t += o.step;
    Pose x = body.pose();
    if (t < -kSettle / 3) rest = x.p;
    if (t < 0) {
      v.restDrift = std::max(v.restDrift, norm(x.p - rest));
      continue;
    }
    size_t k = std::min(size_t(std::lround(t / dt)), rows.size() - 1);
    const Row &row = rows[k];
    double tilt = std::acos(std::clamp(dot(x.r * Vec{0, 0, 1}, row.body.r * Vec{0, 0, 1}), -1.0, 1.0));
    v.tilt = std::max(v.tilt, tilt);
    if (tilt > kTilt && !v.tipped) v.tipped = true, v.tipTime = t, v.tipWhy = "tilt";
    bool saturated = false;
    auto want = anglesAt(t);
    double worst = 0;
    for (size_t i = 0; i < hinges.size(); i++) {
      Hinge &h = hinges[i];
      double e = std::abs(want[i / 3][i % 3] - h.angle);
      if (e > worst) worst = e;
      if (e > kLate && !v.late)
        v.late = true, v.lateTime = t, v.lateJoint = robot.legs[i / 3].name + " " + jointNames[i % 3];
      if (!v.tipped) v.share = std::max(v.share, h.load / h.servo.stall);
      double limit = dJointGetHingeParam(h.id, dParamFMax);
      saturated |= std::abs(h.torque) > 0.999 * limit && limit < h.servo.stall;
      saturated |= std::abs(h.torque) > 0.999 * h.servo.stall;
    }
    if (!v.tipped) v.error = std::max(v.error, worst);
    if (saturated && !v.tipped) v.saturated += o.step;
    vector<double> gapNow(n), driftNow(n);
    for (size_t i = 0; i < n; i++) {
      const dReal *p = dGeomGetPosition(feet[i].geom);
      Vec c{p[0], p[1], p[2]};
      Stance &st = stance[i];
      if (!row.planted[i]) {
        st = {};
        continue;
      }
      double gap = std::max(0.0, c.z - feet[i].radius);
      gapNow[i] = gap;
      st.gaps.emplace_back(t, gap);
      while (t - st.gaps.front().first > kGapTime + o.step / 2) st.gaps.pop_front();
      if (t - st.gaps.front().first > kGapTime - o.step / 2) {
        double least = gap;
        for (auto &[when, g] : st.gaps) least = std::min(least, g);
        if (!v.tipped) v.gap = std::max(v.gap, least);
        if (least > kGap && !v.tipped) v.tipped = true, v.tipTime = t, v.tipWhy = robot.legs[i].name + " off the ground";
      }
      if (!st.landed && feet[i].touching) st.landed = true, st.anchor = c, st.turned = rotation(feet[i].tibia);
      if (st.landed) {
        // A round foot that turns with its tibia rolls, at most by the arc.
        double rolls = feet[i].radius * norm(logOf(rotation(feet[i].tibia) * transposed(st.turned)));
        double drift = std::max(0.0, std::hypot(c.x - st.anchor.x, c.y - st.anchor.y) - rolls);
        driftNow[i] = drift;
        if (!v.tipped) v.drift = std::max(v.drift, drift);
        if (drift > kDrift && !v.slid) v.slid = true, v.slideTime = t, v.slideLeg = robot.legs[i].name;
      }
    }
    if (log && s % std::max(1L, std::lround(0.002 / o.step)) == 0 && !o.log.empty()) {
      log << t << "," << x.p.x << "," << x.p.y << "," << x.p.z << "," << tilt * 180 / M_PI << "," << worst * 180 / M_PI;
      for (size_t i = 0; i < n; i++)
        log << "," << gapNow[i] * 1000 << "," << driftNow[i] * 1000 << "," << feet[i].force.x << "," << feet[i].force.y << "," << feet[i].force.z;
      log << "\n";
    }
    if (tilt > M_PI / 4) {
      v.fell = true;
      break;
    }
    if (!std::isfinite(tilt)) throw std::runtime_error("the simulation has blown up");
  }
  return v;
}

string number(double v, int digits) {
  if (!std::isfinite(v)) return "";
  char b[40];
  std::snprintf(b, sizeof b, "%.*f", digits, v);
  return b;
}

int main(int argc, char **argv) {
  try {
    Options o;
    vector<string> files;
    for (int i = 1; i < argc; i++) {
      string a = argv[i];
      auto value = [&] {
        if (i + 1 >= argc) throw std::runtime_error(a + " needs a value");
        return string(argv[++i]);
      };
      if (a == "--step-ms")
        o.step = std::stod(value()) / 1000;
      else if (a == "--gain")
        o.gain = std::stod(value());
      else if (a == "--friction")
        o.mu = std::stod(value());
      else if (a == "--pyramid")
        o.pyramid = true;
      else if (a == "--header")
        o.header = true;
      else if (a == "--name")
        o.name = value();
      else if (a == "--log")
        o.log = value();
      else
        files.push_back(a);
    }
    if (o.header)
      std::puts(
          "motion,tipped,tip_time_s,tip_why,slid,slide_time_s,slide_leg,late,late_time_s,late_joint,fell,gap_mm,tilt_deg,drift_mm,"
          "error_deg,torque_share,saturated_s,rest_drift_mm,static_margin_mm,zmp_margin_mm,zmp_time_s,zmp_lasting_mm,zmp_lasting_time_s,zmp_out_s,dynamic_margin_mm,dynamic_time_s,"
          "grip,friction,warnings");
    if (o.header && files.empty()) return 0;
    if (files.size() != 2) throw std::runtime_error("usage: tip [options] TRACE.csv DESCRIBE.json");
    Robot robot = readRobot(files[1], o);
    vector<Row> rows = readTrace(files[0], robot);
    Margin m = marginOf(robot, rows);
    Verdict v = World(robot, rows, o).run();
    std::printf("%s,%d,%s,%s,%d,%s,%s,%d,%s,%s,%d,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%s,%d\n", o.name.c_str(), v.tipped,
                number(v.tipTime, 3).c_str(), v.tipWhy.c_str(), v.slid, number(v.slideTime, 3).c_str(), v.slideLeg.c_str(), v.late,
                number(v.lateTime, 3).c_str(), v.lateJoint.c_str(), v.fell, number(v.gap * 1e3, 2).c_str(),
                number(v.tilt * 180 / M_PI, 2).c_str(), number(v.drift * 1e3, 2).c_str(), number(v.error * 180 / M_PI, 2).c_str(),
                number(v.share, 3).c_str(), number(v.saturated, 3).c_str(), number(v.restDrift * 1e3, 3).c_str(),
                number(m.staticWorst * 1e3, 1).c_str(), number(m.worst * 1e3, 1).c_str(), number(m.at, 3).c_str(),
                number(m.lasting * 1e3, 1).c_str(), number(m.lastingAt, 3).c_str(), number(m.out, 3).c_str(),
                number(m.dynamicWorst * 1e3, 1).c_str(), number(m.dynamicAt, 3).c_str(), number(m.grip, 3).c_str(),
                number(robot.friction, 2).c_str(), warnings);
  } catch (const std::exception &e) {
    std::fprintf(stderr, "tip: %s\n", e.what());
    return 1;
  }
}
