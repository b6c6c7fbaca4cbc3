#!/bin/sh
# SPDX-License-Identifier: MIT
# Builds bench_kdl.cpp and prints the time of KDL's iterative solver for a leg.
# Needs: apt-get install g++ pkg-config liborocos-kdl-dev libeigen3-dev
set -eu
cd "$(dirname "$0")"
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
# shellcheck disable=SC2046 # flags are words
g++ -std=c++17 -O2 -o "$out/bench_kdl" bench_kdl.cpp \
	$(pkg-config --cflags --libs orocos-kdl eigen3)
"$out/bench_kdl" kdl_legs.csv
