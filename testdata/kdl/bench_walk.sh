#!/bin/sh
# SPDX-License-Identifier: MIT
# Times the first 10 s of the demo at 1 kHz, sampled, loaded and reviewed,
# beside KDL doing only inverse kinematics and inverse dynamics for the same leg
# poses, and prints the ratio. One core each; run it on an idle machine.
# Needs: Go, and apt-get install g++ pkg-config liborocos-kdl-dev libeigen3-dev
set -eu
cd "$(dirname "$0")"
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
go build -o "$out/walk" ./walk
# shellcheck disable=SC2046 # flags are words
g++ -std=c++17 -O2 -o "$out/walk_kdl" walk_kdl.cpp \
	$(pkg-config --cflags --libs orocos-kdl eigen3)
ours=$("$out/walk" "$out/poses")
kdl=$("$out/walk_kdl" "$out/poses")
echo "$ours $kdl" | awk '{
	printf "ours, everything: %.1f ms; KDL, inverse kinematics and dynamics alone: %.1f ms; ratio %.1f\n", 1000*$1, 1000*$2, $2/$1 }'
