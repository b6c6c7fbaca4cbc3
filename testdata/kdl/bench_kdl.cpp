// SPDX-License-Identifier: MIT
//
// Times the iterative position solver of the Orocos Kinematics and Dynamics
// Library on the feet of kdl_legs.csv. Build and run with bench_kdl.sh.
#include <chrono>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <iostream>
#include <memory>
#include <sstream>
#include <string>
#include <vector>

#include <kdl/chain.hpp>
#include <kdl/chainfksolverpos_recursive.hpp>
#include <kdl/chainiksolverpos_lma.hpp>

struct Pose {
  double coxa, femur, tibia, lateral, vertical;
  KDL::JntArray start;
  KDL::Frame foot;
};

static KDL::Chain chain(const Pose &p) {
  using namespace KDL;
  const Vector zero(0, 0, 0), down(0, -1, 0);
  Chain c;
  c.addSegment(Segment(Joint("coxa", Joint::RotZ),
                       Frame(Vector(p.coxa, p.lateral, p.vertical))));
  c.addSegment(Segment(Joint("femur", zero, down, Joint::RotAxis),
                       Frame(Vector(p.femur, 0, 0))));
  c.addSegment(Segment(Joint("tibia", zero, down, Joint::RotAxis),
                       Frame(Vector(p.tibia, 0, 0))));
  return c;
}

int main(int argc, char **argv) {
  if (argc != 2) {
    std::cerr << "usage: bench_kdl kdl_legs.csv\n";
    return 2;
  }
  std::ifstream in(argv[1]);
  std::string line;
  if (!std::getline(in, line)) {
    std::cerr << "bench_kdl: cannot read " << argv[1] << "\n";
    return 1;
  }
  std::vector<Pose> poses;
  std::vector<KDL::Chain> chains;
  while (std::getline(in, line)) {
    std::stringstream cells(line);
    std::string cell;
    std::vector<double> v;
    while (v.size() < 11 && std::getline(cells, cell, ',')) v.push_back(std::stod(cell));
    Pose p{v[0], v[1], v[2], v[3], v[4], KDL::JntArray(3),
           KDL::Frame(KDL::Vector(v[8], v[9], v[10]))};
    // 0.3 rad off: as good a start as the previous key of a coarse motion.
    for (int i = 0; i < 3; i++) p.start(i) = v[5 + i] + (i == 1 ? -0.3 : 0.3);
    poses.push_back(p);
    chains.push_back(chain(p));
  }
  Eigen::Matrix<double, 6, 1> weights;
  weights << 1, 1, 1, 0, 0, 0;
  std::vector<std::unique_ptr<KDL::ChainIkSolverPos_LMA>> solvers;
  for (auto &c : chains)
    solvers.push_back(std::make_unique<KDL::ChainIkSolverPos_LMA>(c, weights, 1e-9, 500, 1e-15));

  const int rounds = 20;
  int reached = 0;
  double sum = 0;
  KDL::JntArray q(3);
  const auto from = std::chrono::steady_clock::now();
  for (int r = 0; r < rounds; r++)
    for (size_t i = 0; i < poses.size(); i++) {
      if (solvers[i]->CartToJnt(poses[i].start, poses[i].foot, q) >= 0) reached++;
      sum += q(0);
    }
  const std::chrono::duration<double, std::nano> took = std::chrono::steady_clock::now() - from;
  const double n = double(rounds) * poses.size();
  std::printf("KDL ChainIkSolverPos_LMA: %.0f ns a leg (%.0f legs, %.1f%% reached to 1e-9 m, sum %.3g)\n",
              took.count() / n, n, 100 * reached / n, sum);
}
