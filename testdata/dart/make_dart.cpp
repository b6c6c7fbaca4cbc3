// SPDX-License-Identifier: MIT
//
// Writes the CSV files of this folder: whole robots on a moving body by the
// Dynamic Animation and Robotics Toolkit (Debian libdart-dev 6.12.1). Run it
// in this folder; the seed is fixed. See README.md.
//
// The body of a robot hangs on a TranslationalJoint (x, y, z of the world) and
// an EulerJoint of order ZYX (yaw, pitch, roll) with a carrier without mass
// between them: their positions, speeds and accelerations are the body's rows
// as they stand. A second skeleton of the same robot hangs on a FreeJoint that
// is given the world velocities of the first; the program stops where the two
// do not agree.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <initializer_list>
#include <random>
#include <string>
#include <vector>

#include <dart/dynamics/BodyNode.hpp>
#include <dart/dynamics/EulerJoint.hpp>
#include <dart/dynamics/FreeJoint.hpp>
#include <dart/dynamics/RevoluteJoint.hpp>
#include <dart/dynamics/Skeleton.hpp>
#include <dart/dynamics/TranslationalJoint.hpp>

using namespace dart::dynamics;
using Eigen::Matrix3d;
using Eigen::Vector3d;
using Eigen::Vector6d;

namespace {

constexpr int robotCount = 30;
constexpr int casesEach = 10;
constexpr double earth = 9.80665;  // m/s^2, standard
constexpr double agree = 1e-10;    // relative, between the two skeletons

// Uniform numbers by our own mapping: the standard leaves its distributions
// to the compiler.
class Random {
 public:
  explicit Random(std::uint64_t seed) : engine_(seed) {}
  double in(double lo, double hi) {
    return lo + (hi - lo) * std::ldexp(static_cast<double>(engine_() >> 11), -53);
  }
  Vector3d vec(double size) {
    double x = in(-size, size), y = in(-size, size), z = in(-size, size);
    return {x, y, z};
  }

 private:
  std::mt19937_64 engine_;
};

struct Part {
  double mass = 0;
  Vector3d com = Vector3d::Zero();
  std::array<double, 6> inertia{};  // xx yy zz xy xz yz, matrix entries, about com
};

// A part of five points of mass never breaks the triangle inequality. The
// points lie in a box between lo and hi.
Part part(Random& r, double point, const Vector3d& lo, const Vector3d& hi) {
  std::array<double, 5> w;
  std::array<Vector3d, 5> p;
  Part k;
  for (int i = 0; i < 5; ++i) {
    w[i] = r.in(0.1 * point, point);
    for (int a = 0; a < 3; ++a) p[i][a] = r.in(lo[a], hi[a]);
    k.mass += w[i];
    k.com += w[i] * p[i];
  }
  k.com /= k.mass;
  for (int i = 0; i < 5; ++i) {
    Vector3d d = p[i] - k.com;
    k.inertia[0] += w[i] * (d.y() * d.y() + d.z() * d.z());
    k.inertia[1] += w[i] * (d.x() * d.x() + d.z() * d.z());
    k.inertia[2] += w[i] * (d.x() * d.x() + d.y() * d.y());
    k.inertia[3] -= w[i] * d.x() * d.y();
    k.inertia[4] -= w[i] * d.x() * d.z();
    k.inertia[5] -= w[i] * d.y() * d.z();
  }
  return k;
}

struct Leg {
  Vector3d mount;
  double heading, coxa, femur, tibia, lateral, vertical;
  std::array<Part, 3> links;
};

struct Robot {
  double gravity;
  Part body;
  std::vector<Leg> legs;
};

Robot robot(Random& r, int n) {
  Robot o;
  o.gravity = n % 5 == 4 ? r.in(1, 12) : earth;
  o.body = part(r, 0.6, {-0.12, -0.09, -0.04}, {0.15, 0.08, 0.06});
  o.legs.resize(4 + 2 * (n % 3));
  for (std::size_t i = 0; i < o.legs.size(); ++i) {
    Leg& l = o.legs[i];
    l.mount = r.vec(0.12);
    l.heading = r.in(-M_PI, M_PI);
    l.coxa = (n + i) % 11 == 7 ? 0 : r.in(0.01, 0.08);
    l.femur = r.in(0.03, 0.15);
    l.tibia = r.in(0.03, 0.20);
    const double sign[3] = {0, 1, -1};
    l.lateral = sign[(n + i) % 3] * r.in(0.002, 0.03);
    l.vertical = sign[(n + i) / 3 % 3] * r.in(0.002, 0.03);
    for (Part& k : l.links) k = part(r, 0.05, {-0.03, -0.03, -0.03}, {0.09, 0.03, 0.03});
  }
  return o;
}

struct LegCase {
  Vector3d q, qd, qdd, force;
};

struct Case {
  Vector3d p, rpy, v, rpyd, a, rpydd;
  std::vector<LegCase> legs;
};

Case motion(Random& r, const Robot& o, int n) {
  Case c;
  bool still = n % 5 == 4;
  double s = still ? 0 : 1;
  c.p = r.vec(1);
  c.rpy = {r.in(-M_PI, M_PI), r.in(-1.2, 1.2), r.in(-M_PI, M_PI)};
  c.v = r.vec(2 * s);
  c.rpyd = r.vec(5 * s);
  c.a = r.vec(20 * s);
  c.rpydd = r.vec(50 * s);
  c.legs.resize(o.legs.size());
  for (std::size_t i = 0; i < c.legs.size(); ++i) {
    bool lifted = (n + i) % 3 == 2, fixed = n % 10 == 3;
    c.legs[i].q = r.vec(M_PI);
    c.legs[i].qd = r.vec(fixed ? 0 : 10);
    c.legs[i].qdd = r.vec(fixed ? 0 : 200);
    c.legs[i].force = r.vec(lifted ? 0 : 20);
  }
  return c;
}

BodyNode::Properties properties(const std::string& name, const Part& k) {
  BodyNode::AspectProperties p(name);
  Inertia i;
  i.setMass(k.mass);
  i.setLocalCOM(k.com);
  i.setMoment(k.inertia[0], k.inertia[1], k.inertia[2], k.inertia[3], k.inertia[4], k.inertia[5]);
  p.mInertia = i;
  return BodyNode::Properties(p);
}

void hangLegs(const SkeletonPtr& s, BodyNode* body, const Robot& o) {
  for (std::size_t i = 0; i < o.legs.size(); ++i) {
    const Leg& l = o.legs[i];
    // Where each joint stands in the part before it, and what it turns about.
    std::array<Eigen::Isometry3d, 3> at;
    at.fill(Eigen::Isometry3d::Identity());
    at[0].translation() = l.mount;
    at[0].linear() = Eigen::AngleAxisd(l.heading, Vector3d::UnitZ()).toRotationMatrix();
    at[1].translation() = Vector3d(l.coxa, l.lateral, l.vertical);
    at[2].translation() = Vector3d(l.femur, 0, 0);
    const std::array<Vector3d, 3> axis = {Vector3d::UnitZ(), -Vector3d::UnitY(), -Vector3d::UnitY()};
    BodyNode* up = body;
    for (int j = 0; j < 3; ++j) {
      std::string name = "leg" + std::to_string(i) + "_" + std::to_string(j);
      RevoluteJoint::Properties p;
      p.mName = name + "_joint";
      p.mT_ParentBodyToJoint = at[j];
      p.mAxis = axis[j];
      up = s->createJointAndBodyNodePair<RevoluteJoint>(up, p, properties(name, l.links[j])).second;
    }
  }
}

struct Skeletons {
  SkeletonPtr rows, free;
  BodyNode *rowsBody, *freeBody;
};

Skeletons build(const Robot& o) {
  Skeletons s;
  s.rows = Skeleton::create("rows");
  TranslationalJoint::Properties slide;
  slide.mName = "slide";
  auto carrier = s.rows->createJointAndBodyNodePair<TranslationalJoint>(nullptr, slide, properties("carrier", Part())).second;
  EulerJoint::Properties euler;
  euler.mName = "euler";
  euler.mAxisOrder = EulerJoint::AxisOrder::ZYX;
  s.rowsBody = s.rows->createJointAndBodyNodePair<EulerJoint>(carrier, euler, properties("body", o.body)).second;
  s.free = Skeleton::create("free");
  FreeJoint::Properties loose;
  loose.mName = "free";
  s.freeBody = s.free->createJointAndBodyNodePair<FreeJoint>(nullptr, loose, properties("body", o.body)).second;
  for (auto& one : {std::make_pair(s.rows, s.rowsBody), std::make_pair(s.free, s.freeBody)}) {
    hangLegs(one.first, one.second, o);
    one.first->setGravity(Vector3d(0, 0, -o.gravity));
  }
  return s;
}

void same(const char* what, int n, const Eigen::VectorXd& a, const Eigen::VectorXd& b) {
  double size = std::max(a.cwiseAbs().maxCoeff(), b.cwiseAbs().maxCoeff());
  if (!((a - b).cwiseAbs().maxCoeff() <= agree * size)) {
    std::fprintf(stderr, "case %d: %s differs:\n", n, what);
    for (int i = 0; i < a.size(); ++i) std::fprintf(stderr, "%.17g %.17g\n", a[i], b[i]);
    std::exit(1);
  }
}

BodyNode* link(const SkeletonPtr& s, std::size_t leg, int j) {
  return s->getBodyNode("leg" + std::to_string(leg) + "_" + std::to_string(j));
}

// Forces on the feet, then the forces and torques that every joint exerts.
Eigen::VectorXd inverse(const SkeletonPtr& s, const Robot& o, const Case& c) {
  s->clearExternalForces();
  for (std::size_t i = 0; i < c.legs.size(); ++i) {
    link(s, i, 2)->setExtForce(c.legs[i].force, Vector3d(o.legs[i].tibia, 0, 0), false, true);
  }
  s->computeInverseDynamics(true);
  return s->getForces();
}

// Momentum about the centre of mass, world axes: angular part first, as the
// library has it, summed over the parts.
Vector6d momentum(const SkeletonPtr& s) {
  Vector6d sum = Vector6d::Zero();
  for (std::size_t i = 0; i < s->getNumBodyNodes(); ++i) {
    const BodyNode* b = s->getBodyNode(i);
    Vector6d own = b->getSpatialInertia() * b->getSpatialVelocity();
    sum += dart::math::dAdInvT(b->getWorldTransform(), own);
  }
  sum.head<3>() -= s->getCOM().cross(sum.tail<3>());
  return sum;
}

class Table {
 public:
  explicit Table(const char* name) : out_(std::fopen(name, "w")) {
    if (!out_) {
      std::perror(name);
      std::exit(1);
    }
  }
  Table(const Table&) = delete;
  Table& operator=(const Table&) = delete;
  ~Table() {
    if (std::fclose(out_) != 0) std::abort();
  }
  Table& word(const std::string& s) {
    std::fprintf(out_, "%s%s", first_ ? "" : ",", s.c_str());
    first_ = false;
    return *this;
  }
  Table& words(std::initializer_list<const char*> l) {
    for (const char* s : l) word(s);
    return *this;
  }
  Table& count(std::size_t n) { return word(std::to_string(n)); }
  Table& num(double v) {
    if (!std::isfinite(v)) {
      std::fprintf(stderr, "a number is not finite\n");
      std::exit(1);
    }
    char text[40];
    std::snprintf(text, sizeof text, "%.17g", v);
    return word(text);
  }
  Table& vec(const Vector3d& v) { return num(v.x()).num(v.y()).num(v.z()); }
  Table& part(const Part& k) {
    num(k.mass).vec(k.com);
    for (double v : k.inertia) num(v);
    return *this;
  }
  Table& partNames(const std::string& n) {
    for (const char* s : {"kg", "x", "y", "z", "ixx", "iyy", "izz", "ixy", "ixz", "iyz"}) word(n + "_" + s);
    return *this;
  }
  void end() {
    std::fputc('\n', out_);
    first_ = true;
  }

 private:
  std::FILE* out_;
  bool first_ = true;
};

}  // namespace

int main() {
  Random r(20240607);
  Table robots("robots.csv"), legs("robot_legs.csv"), cases("cases.csv"), caseLegs("case_legs.csv");
  Table results("results.csv"), resultLegs("result_legs.csv");
  robots.words({"robot", "legs", "gravity"}).partNames("body").end();
  legs.words({"robot", "leg", "x", "y", "z", "heading", "coxa_m", "femur_m", "tibia_m", "lateral_m", "vertical_m"});
  legs.partNames("coxa").partNames("femur").partNames("tibia").end();
  cases.words({"case", "robot", "x", "y", "z", "roll", "pitch", "yaw", "vx", "vy", "vz", "roll_d", "pitch_d", "yaw_d",
               "ax", "ay", "az", "roll_dd", "pitch_dd", "yaw_dd"}).end();
  caseLegs.words({"case", "leg", "q0", "q1", "q2", "qd0", "qd1", "qd2", "qdd0", "qdd1", "qdd2", "fx", "fy", "fz"}).end();
  results.words({"case", "mass", "wx", "wy", "wz", "alx", "aly", "alz", "cx", "cy", "cz", "cvx", "cvy", "cvz",
                 "cax", "cay", "caz", "px", "py", "pz", "lx", "ly", "lz", "base_fx", "base_fy", "base_fz",
                 "base_mx", "base_my", "base_mz"}).end();
  resultLegs.words({"case", "leg", "tau0", "tau1", "tau2", "g0", "g1", "g2", "m00", "m01", "m02", "m11", "m12", "m22",
                    "foot_x", "foot_y", "foot_z"}).end();

  int n = 0;
  for (int k = 0; k < robotCount; ++k) {
    Robot o = robot(r, k);
    robots.count(k).count(o.legs.size()).num(o.gravity).part(o.body).end();
    for (std::size_t i = 0; i < o.legs.size(); ++i) {
      const Leg& l = o.legs[i];
      legs.count(k).count(i).vec(l.mount).num(l.heading).num(l.coxa).num(l.femur).num(l.tibia).num(l.lateral).num(l.vertical);
      for (const Part& p : l.links) legs.part(p);
      legs.end();
    }
    Skeletons s = build(o);
    std::size_t dofs = 6 + 3 * o.legs.size();
    for (int j = 0; j < casesEach; ++j, ++n) {
      Case c = motion(r, o, n);
      cases.count(n).count(k).vec(c.p).vec(c.rpy).vec(c.v).vec(c.rpyd).vec(c.a).vec(c.rpydd).end();

      Eigen::VectorXd q(dofs), qd(dofs), qdd(dofs);
      // The joint of order ZYX counts yaw, pitch, roll.
      q << c.p, c.rpy.reverse(), Eigen::VectorXd::Zero(dofs - 6);
      qd << c.v, c.rpyd.reverse(), Eigen::VectorXd::Zero(dofs - 6);
      qdd << c.a, c.rpydd.reverse(), Eigen::VectorXd::Zero(dofs - 6);
      for (std::size_t i = 0; i < c.legs.size(); ++i) {
        q.segment<3>(6 + 3 * i) = c.legs[i].q;
        qd.segment<3>(6 + 3 * i) = c.legs[i].qd;
        qdd.segment<3>(6 + 3 * i) = c.legs[i].qdd;
        caseLegs.count(n).count(i).vec(c.legs[i].q).vec(c.legs[i].qd).vec(c.legs[i].qdd).vec(c.legs[i].force).end();
      }
      s.rows->setPositions(q);
      s.rows->setVelocities(qd);
      s.rows->setAccelerations(qdd);
      Eigen::VectorXd tau = inverse(s.rows, o, c);
      Matrix3d rot = s.rowsBody->getWorldTransform().linear();
      Vector3d omega = s.rowsBody->getAngularVelocity(), alpha = s.rowsBody->getAngularAcceleration();
      Vector3d com = s.rows->getCOM(), comVel = s.rows->getCOMLinearVelocity(), comAcc = s.rows->getCOMLinearAcceleration();
      // What the Euler joint hands to the body, in the body's axes, moment
      // first and about the body's origin.
      Vector6d handed = s.rowsBody->getBodyForce();
      Vector3d force = rot * handed.tail<3>();
      Vector3d moment = rot * handed.head<3>() - (com - c.p).cross(force);
      Vector6d mom = momentum(s.rows);
      Eigen::MatrixXd mass = s.rows->getMassMatrix();
      Eigen::VectorXd grav = s.rows->getGravityForces();

      // The same by the generalised forces and momenta of the first six
      // joints: those of the slides are world components already, those of
      // yaw, pitch and roll are components along their axes in the world.
      Matrix3d axes;
      axes.col(0) = Vector3d::UnitZ();
      axes.col(1) = Eigen::AngleAxisd(c.rpy[2], Vector3d::UnitZ()) * Vector3d::UnitY();
      axes.col(2) = rot * Vector3d::UnitX();
      Vector3d about = axes.transpose().partialPivLu().solve(tau.segment<3>(3));
      same("force on the slides", n, tau.head<3>(), force);
      same("moment on the turns", n, about - (com - c.p).cross(force), moment);
      Eigen::VectorXd general = (mass * qd).head<6>();
      Vector3d turning = axes.transpose().partialPivLu().solve(general.tail<3>());
      same("linear momentum", n, general.head<3>(), mom.tail<3>());
      same("momentum by the centre of mass", n, s.rows->getMass() * comVel, mom.tail<3>());
      same("angular momentum", n, turning - (com - c.p).cross(mom.tail<3>()), mom.head<3>());

      // The same on the FreeJoint.
      Eigen::VectorXd fq(dofs), fqd(dofs), fqdd(dofs);
      fq << FreeJoint::convertToPositions(s.rowsBody->getWorldTransform()), q.tail(dofs - 6);
      fqd << Vector6d::Zero(), qd.tail(dofs - 6);
      fqdd << Vector6d::Zero(), qdd.tail(dofs - 6);
      s.free->setPositions(fq);
      s.free->setVelocities(fqd);
      s.free->setAccelerations(fqdd);
      auto* loose = static_cast<FreeJoint*>(s.free->getRootJoint());
      loose->setLinearVelocity(c.v);
      loose->setAngularVelocity(omega);
      loose->setLinearAcceleration(c.a);
      loose->setAngularAcceleration(alpha);
      Eigen::VectorXd freeTau = inverse(s.free, o, c);
      same("joint torque on the free joint", n, freeTau.tail(dofs - 6), tau.tail(dofs - 6));
      Vector3d freeForce = rot * freeTau.segment<3>(3);
      same("force of the free joint", n, freeForce, force);
      same("moment of the free joint", n, rot * freeTau.head<3>() - (com - c.p).cross(freeForce), moment);
      same("centre of mass on the free joint", n, s.free->getCOM(), com);
      same("its velocity", n, s.free->getCOMLinearVelocity(), comVel);
      same("its acceleration", n, s.free->getCOMLinearAcceleration(), comAcc);
      same("momentum on the free joint", n, momentum(s.free), mom);
      same("gravity on the free joint", n, s.free->getGravityForces().tail(dofs - 6), grav.tail(dofs - 6));
      Eigen::MatrixXd freeMass = s.free->getMassMatrix();

      results.count(n).num(s.rows->getMass()).vec(omega).vec(alpha).vec(com).vec(comVel).vec(comAcc);
      results.vec(mom.tail<3>()).vec(mom.head<3>()).vec(force).vec(moment).end();
      for (std::size_t i = 0; i < c.legs.size(); ++i) {
        std::size_t d = 6 + 3 * i;
        Matrix3d m = mass.block<3, 3>(d, d), fm = freeMass.block<3, 3>(d, d);
        same("mass matrix on the free joint", n, fm.reshaped(), m.reshaped());
        resultLegs.count(n).count(i).vec(tau.segment<3>(d)).vec(grav.segment<3>(d));
        resultLegs.num(m(0, 0)).num(m(0, 1)).num(m(0, 2)).num(m(1, 1)).num(m(1, 2)).num(m(2, 2));
        resultLegs.vec(link(s.rows, i, 2)->getWorldTransform() * Vector3d(o.legs[i].tibia, 0, 0)).end();
      }
    }
  }
  return 0;
}
