#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Writes kdl_legs.csv: feet, Jacobians and inverse solutions of random legs
by the Orocos Kinematics and Dynamics Library (Debian python3-pykdl).

The chain is the leg of package kin: a yaw about z, then the coxa with the
lateral and vertical offset of the femur axis, a pitch about -y, the femur, a
pitch about -y, the tibia. Run it in this folder; the seed is fixed.
"""
import csv
import math
import random

import numpy as np
import PyKDL as kdl

LEGS = 200
POSES = 4
DOWN = kdl.Vector(0, -1, 0)
ZERO = kdl.Vector(0, 0, 0)


def chain(coxa, femur, tibia, lateral, vertical):
    c = kdl.Chain()
    c.addSegment(kdl.Segment(
        kdl.Joint("coxa", kdl.Joint.RotZ),
        kdl.Frame(kdl.Vector(coxa, lateral, vertical))))
    c.addSegment(kdl.Segment(
        kdl.Joint("femur", ZERO, DOWN, kdl.Joint.RotAxis),
        kdl.Frame(kdl.Vector(femur, 0, 0))))
    c.addSegment(kdl.Segment(
        kdl.Joint("tibia", ZERO, DOWN, kdl.Joint.RotAxis),
        kdl.Frame(kdl.Vector(tibia, 0, 0))))
    return c


def joints(q):
    a = kdl.JntArray(3)
    for i in range(3):
        a[i] = q[i]
    return a


def foot(solver, q):
    f = kdl.Frame()
    if solver.JntToCart(joints(q), f) < 0:
        raise SystemExit("forward solver failed")
    return f


def main():
    rnd = random.Random(20240229)
    rows = []
    converged = 0
    for leg in range(LEGS):
        # Every combination of signs and zero for the two offsets comes round.
        lateral = (0, 1, -1)[leg % 3] * rnd.uniform(0.002, 0.03)
        vertical = (0, 1, -1)[leg // 3 % 3] * rnd.uniform(0.002, 0.03)
        coxa = 0.0 if leg % 20 == 7 else rnd.uniform(0.01, 0.08)
        femur, tibia = rnd.uniform(0.03, 0.15), rnd.uniform(0.03, 0.20)
        if leg % 20 == 13:
            tibia = femur
        c = chain(coxa, femur, tibia, lateral, vertical)
        fk = kdl.ChainFkSolverPos_recursive(c)
        js = kdl.ChainJntToJacSolver(c)
        # Weights: the foot's place counts, its turn does not.
        ik = kdl.ChainIkSolverPos_LMA(
            c, np.array([1.0, 1.0, 1.0, 0.0, 0.0, 0.0]), 1e-15, 2000, 1e-18)
        for pose in range(POSES):
            q = [rnd.uniform(-math.pi, math.pi) for _ in range(3)]
            f = foot(fk, q)
            jac = kdl.Jacobian(3)
            if js.JntToJac(joints(q), jac) < 0:
                raise SystemExit("Jacobian solver failed")
            # From near the pose and from anywhere: that finds all branches.
            far = 0.4 if pose % 2 == 0 else math.pi
            start = [a + rnd.uniform(-far, far) for a in q]
            found = kdl.JntArray(3)
            ik.CartToJnt(joints(start), f, found)
            g = [found[i] for i in range(3)]
            miss = (foot(fk, g).p - f.p).Norm()
            row = [coxa, femur, tibia, lateral, vertical, *q,
                   f.p[0], f.p[1], f.p[2]]
            row += [jac[i, j] for i in range(3) for j in range(3)]
            if miss < 1e-12:
                converged += 1
                row += g
            else:
                row += ["", "", ""]
            rows.append([v if v == "" else repr(float(v)) for v in row])
    head = ["coxa_m", "femur_m", "tibia_m", "lateral_m", "vertical_m",
            "q0_rad", "q1_rad", "q2_rad", "x_m", "y_m", "z_m"]
    head += [f"j{r}{c}_m_rad" for r in range(3) for c in range(3)]
    head += ["ik0_rad", "ik1_rad", "ik2_rad"]
    with open("kdl_legs.csv", "w", newline="") as out:
        w = csv.writer(out, lineterminator="\n")
        w.writerow(head)
        w.writerows(rows)
    print(len(rows), "poses,", converged, "inverse solutions within 1e-12 m")


main()
