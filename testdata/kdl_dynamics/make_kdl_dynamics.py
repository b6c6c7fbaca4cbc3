#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Writes kdl_dynamics.csv: inverse dynamics, mass matrix, gravity torque and
momentum of random legs with mass by the Orocos Kinematics and Dynamics Library
(Debian python3-pykdl). Run it in this folder; the seed is fixed.

The leg of package kin hangs on six massless joints that carry the hip through
the world: three slides along x, y, z and turns about z, y, x (yaw, pitch,
roll). What those six have to exert is the wrench on the leg; the first six
rows of the 9x9 mass matrix times the joint speeds are its momentum.
"""
import csv
import math
import random

import PyKDL as kdl

ROWS = 320
G = 9.80665
ZERO = kdl.Vector(0, 0, 0)
DOWN = kdl.Vector(0, -1, 0)
J = kdl.Joint


def array(v):
    a = kdl.JntArray(len(v))
    for i, x in enumerate(v):
        a[i] = x
    return a


def body(rnd):
    """A link of four points of mass: never breaks the triangle inequality."""
    pts = [(rnd.uniform(0.005, 0.05),
            [rnd.uniform(-0.03, 0.09), rnd.uniform(-0.03, 0.03), rnd.uniform(-0.03, 0.03)])
           for _ in range(4)]
    m = sum(p[0] for p in pts)
    c = [sum(p[0] * p[1][k] for p in pts) / m for k in range(3)]
    i = [0.0] * 6  # xx yy zz xy xz yz
    for w, p in pts:
        x, y, z = (p[k] - c[k] for k in range(3))
        i[0] += w * (y * y + z * z)
        i[1] += w * (x * x + z * z)
        i[2] += w * (x * x + y * y)
        i[3] -= w * x * y
        i[4] -= w * x * z
        i[5] -= w * y * z
    return m, c, i


def segment(joint, tip, link):
    m, c, i = link
    # The library wants the inertia as seen from the segment's tip.
    return kdl.Segment(joint, kdl.Frame(tip), kdl.RigidBodyInertia(
        m, kdl.Vector(*c) - tip, kdl.RotationalInertia(*i)))


def leg(chain, length, lateral, vertical, links):
    chain.addSegment(segment(J("coxa", J.RotZ), kdl.Vector(length[0], lateral, vertical), links[0]))
    chain.addSegment(segment(J("femur", ZERO, DOWN, J.RotAxis), kdl.Vector(length[1], 0, 0), links[1]))
    chain.addSegment(segment(J("tibia", ZERO, DOWN, J.RotAxis), kdl.Vector(length[2], 0, 0), links[2]))
    return chain


def carried(*args):
    c = kdl.Chain()
    for kind in (J.TransX, J.TransY, J.TransZ, J.RotZ, J.RotY, J.RotX):
        c.addSegment(kdl.Segment(J("base", kind), kdl.Frame()))
    return leg(c, *args)


def must(code):
    if code < 0:
        raise SystemExit("solver failed: %d" % code)


def main():
    rnd = random.Random(20240301)
    names = ["coxa_m", "femur_m", "tibia_m", "lateral_m", "vertical_m"]
    for n in ("coxa", "femur", "tibia"):
        names += [n + s for s in ("_kg", "_x", "_y", "_z", "_ixx", "_iyy", "_izz", "_ixy", "_ixz", "_iyz")]
    for n in ("q", "qd", "qdd"):
        names += [n + str(i) for i in range(3)]
    for n in ("roll", "pitch", "yaw"):
        names.append(n)
    names += ["vx", "vy", "vz", "roll_d", "pitch_d", "yaw_d", "ax", "ay", "az", "roll_dd", "pitch_dd", "yaw_dd"]
    names += ["fx", "fy", "fz"]
    names += ["tau%d" % i for i in range(9)] + ["mom%d" % i for i in range(6)]
    names += ["m00", "m01", "m02", "m11", "m12", "m22", "g0", "g1", "g2"]
    rows = []
    for n in range(ROWS):
        length = [0.0 if n % 20 == 7 else rnd.uniform(0.01, 0.08), rnd.uniform(0.03, 0.15), rnd.uniform(0.03, 0.20)]
        lateral = (0, 1, -1)[n % 3] * rnd.uniform(0.002, 0.03)
        vertical = (0, 1, -1)[n // 3 % 3] * rnd.uniform(0.002, 0.03)
        links = [body(rnd) for _ in range(3)]
        q = [rnd.uniform(-math.pi, math.pi) for _ in range(3)]
        qd = [rnd.uniform(-10, 10) for _ in range(3)]
        qdd = [rnd.uniform(-200, 200) for _ in range(3)]
        rpy = [rnd.uniform(-1, 1) for _ in range(3)]
        still = n % 5 == 4
        v, rd, a, rdd = ([0.0 if still else rnd.uniform(-s, s) for _ in range(3)] for s in (2, 5, 20, 50))
        f = [0.0 if n % 4 == 3 else rnd.uniform(-20, 20) for _ in range(3)]

        c = carried(length, lateral, vertical, links)
        only = leg(kdl.Chain(), length, lateral, vertical, links)
        tip = kdl.Frame()
        must(kdl.ChainFkSolverPos_recursive(only).JntToCart(array(q), tip))
        push = tip.M.Inverse() * kdl.Vector(*f)  # on the foot, in the tibia's axes
        outside = [kdl.Wrench() for _ in range(8)] + [kdl.Wrench(push, ZERO)]
        # The hip may stand anywhere: its place does not matter.
        all_q = [rnd.uniform(-1, 1) for _ in range(3)] + rpy[::-1] + q
        all_qd = v + rd[::-1] + qd
        all_qdd = a + rdd[::-1] + qdd
        tau = kdl.JntArray(9)
        must(kdl.ChainIdSolver_RNE(c, kdl.Vector(0, 0, -G)).CartToJnt(
            array(all_q), array(all_qd), array(all_qdd), outside, tau))
        mass9 = kdl.JntSpaceInertiaMatrix(9)
        must(kdl.ChainDynParam(c, kdl.Vector(0, 0, -G)).JntToMass(array(all_q), mass9))
        mom = [sum(mass9[r, k] * all_qd[k] for k in range(9)) for r in range(6)]
        level = kdl.Rotation.RPY(*rpy).Inverse() * kdl.Vector(0, 0, -G)
        param = kdl.ChainDynParam(only, level)
        mass = kdl.JntSpaceInertiaMatrix(3)
        must(param.JntToMass(array(q), mass))
        grav = kdl.JntArray(3)
        must(param.JntToGravity(array(q), grav))

        row = length + [lateral, vertical]
        for m, com, i in links:
            row += [m] + com + i
        row += q + qd + qdd + rpy + v + rd + a + rdd + f
        row += [tau[i] for i in range(9)] + mom
        row += [mass[0, 0], mass[0, 1], mass[0, 2], mass[1, 1], mass[1, 2], mass[2, 2]]
        row += [grav[i] for i in range(3)]
        rows.append([repr(float(x)) for x in row])
    with open("kdl_dynamics.csv", "w", newline="") as out:
        w = csv.writer(out, lineterminator="\n")
        w.writerow(names)
        w.writerows(rows)


if __name__ == "__main__":
    main()
