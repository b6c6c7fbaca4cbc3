// SPDX-License-Identifier: MIT
//
// Times the iterative position solver and the inverse dynamics of the Orocos
// Kinematics and Dynamics Library on the leg poses that walk/main.go writes.
// Prints the seconds of the fastest of some runs. Build and run with
// bench_walk.sh.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <iostream>
#include <memory>
#include <vector>

#include <kdl/chain.hpp>
#include <kdl/chainidsolver_recursive_newton_euler.hpp>
#include <kdl/chainiksolverpos_lma.hpp>

using namespace KDL;

struct Pose {
  Frame foot;
  JntArray q, qd, qdd;
};

static Chain chain(std::istream &in) {
  double coxa, femur, tibia, lateral, vertical;
  in >> coxa >> femur >> tibia >> lateral >> vertical;
  const Vector zero(0, 0, 0), down(0, -1, 0);
  const Vector tips[3] = {Vector(coxa, lateral, vertical), Vector(femur, 0, 0), Vector(tibia, 0, 0)};
  const Joint joints[3] = {Joint("coxa", Joint::RotZ), Joint("femur", zero, down, Joint::RotAxis),
                           Joint("tibia", zero, down, Joint::RotAxis)};
  Chain c;
  for (int j = 0; j < 3; j++) {
    double m, x, y, z, xx, yy, zz, xy, xz, yz;
    in >> m >> x >> y >> z >> xx >> yy >> zz >> xy >> xz >> yz;
    // The library wants the inertia as seen from the segment's tip.
    c.addSegment(Segment(joints[j], Frame(tips[j]),
                         RigidBodyInertia(m, Vector(x, y, z) - tips[j], RotationalInertia(xx, yy, zz, xy, xz, yz))));
  }
  return c;
}

static JntArray three(std::istream &in) {
  JntArray a(3);
  in >> a(0) >> a(1) >> a(2);
  return a;
}

int main(int argc, char **argv) {
  if (argc != 2) {
    std::cerr << "usage: walk_kdl FILE\n";
    return 2;
  }
  std::ifstream in(argv[1]);
  int legs = 0, n = 0;
  double gravity = 0;
  in >> legs >> n >> gravity;
  std::vector<Chain> chains;
  for (int i = 0; i < legs; i++) chains.push_back(chain(in));
  std::vector<Pose> poses;
  for (int k = 0; k < n * legs; k++) {
    const JntArray p = three(in);
    poses.push_back({Frame(Vector(p(0), p(1), p(2))), three(in), three(in), three(in)});
  }
  if (!in || poses.empty()) {
    std::cerr << "walk_kdl: cannot read " << argv[1] << "\n";
    return 1;
  }
  Eigen::Matrix<double, 6, 1> weights;
  weights << 1, 1, 1, 0, 0, 0;
  std::vector<std::unique_ptr<ChainIkSolverPos_LMA>> place;
  std::vector<std::unique_ptr<ChainIdSolver_RNE>> load;
  for (auto &c : chains) {
    place.push_back(std::make_unique<ChainIkSolverPos_LMA>(c, weights, 1e-9, 500, 1e-15));
    load.push_back(std::make_unique<ChainIdSolver_RNE>(c, Vector(0, 0, -gravity)));
  }
  const Wrenches free(3, Wrench::Zero());
  double best = 1e9, off = 0, sum = 0;
  int reached = 0;
  for (int run = 0; run < 5; run++) {
    std::vector<JntArray> last;
    for (int i = 0; i < legs; i++) last.push_back(poses[i].q); // then from one sample to the next
    JntArray q(3), tau(3);
    reached = 0;
    sum = off = 0;
    const auto from = std::chrono::steady_clock::now();
    for (int k = 0; k < n; k++)
      for (int i = 0; i < legs; i++) {
        const Pose &p = poses[k * legs + i];
        if (place[i]->CartToJnt(last[i], p.foot, q) >= 0) reached++;
        load[i]->CartToJnt(q, p.qd, p.qdd, free, tau);
        for (int j = 0; j < 3; j++) off = std::max(off, std::fabs(q(j) - p.q(j)));
        sum += tau(1);
        last[i] = q;
      }
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - from;
    best = std::min(best, took.count());
  }
  std::fprintf(stderr, "%d of %d poses reached, angles within %.1e rad of ours, sum of femur torques %.6g N m\n",
               reached, n * legs, off, sum);
  std::printf("%.6f\n", best);
}
