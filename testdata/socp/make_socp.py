#!/usr/bin/python3
# SPDX-License-Identifier: MIT
"""Writes contact_forces.csv: random force distributions over 3 to 8 feet and
their optima by the second-order-cone solver of CVXOPT (Debian python3-cvxopt).

Two programs per problem, in units of the demand. Depth: the greatest t with
|f_t| <= mu f_n - mu t at every foot and balance; there is a distribution if
t >= 0. Load: the least s with |free - JT f| <= s limit at every joint. Whether
unlimited friction would help follows from the zero-moment point in the feet's
hull (they are level), by linear programming (scipy.optimize.linprog). Run it
in this folder; the seed is fixed.
"""
import csv
import math
import random

import numpy as np
from cvxopt import matrix, solvers
from scipy.optimize import linprog

solvers.options.update(show_progress=False, abstol=1e-9, reltol=1e-9,
                       feastol=1e-9, maxiters=200)
PROBLEMS = 360
MAX = 8


def rpy(roll, pitch):
    cr, sr, cp, sp = math.cos(roll), math.sin(roll), math.cos(pitch), math.sin(pitch)
    return (np.array([[cp, 0, sp], [0, 1, 0], [-sp, 0, cp]])
            @ np.array([[1, 0, 0], [0, cr, -sr], [0, sr, cr]]))


def problem(rnd, k):
    n = 3 + k % 6
    r = np.eye(3) if k % 3 else rpy(rnd.uniform(-.4, .4), rnd.uniform(-.4, .4))
    feet = []
    for i in range(n):
        a = 2 * math.pi * (i + rnd.uniform(-.3, .3)) / n
        d = rnd.uniform(.1, .2)
        feet.append(r @ [d * math.cos(a), d * math.sin(a), 0])
    feet = np.array(feet)
    mu = rnd.choice([.2, .5, .8, 1.2])
    # Forces out of cones of a random share of mu, now and then too wide or
    # pulling, make the demand.
    wide = rnd.choice([.3, .8, 1.2, 1.7])
    pull = rnd.choice([0, 0, 0, .5])
    force = []
    for i in range(n):
        fn = rnd.uniform(-pull, 1) * 20 / n
        a, m = rnd.uniform(0, 2 * math.pi), rnd.uniform(0, 1) * wide * mu * abs(fn)
        if wide > 1:
            a = .1 * a
        force.append(r @ [m * math.cos(a), m * math.sin(a), fn])
    force = np.array(force)
    point = np.array([rnd.uniform(-.1, .1) for _ in range(3)])
    demand = force.sum(axis=0)
    moment = np.cross(feet - point, force).sum(axis=0)
    jt = np.array([[[rnd.uniform(-.1, .1) for _ in range(3)] for _ in range(3)] for _ in range(n)])
    free = np.array([[rnd.uniform(-.1, .1) for _ in range(3)] for _ in range(n)])
    limit = np.array([[rnd.uniform(.1, .7) for _ in range(3)] for _ in range(n)])
    return r[:, 2], mu, feet, demand, moment, point, jt, free, limit


def frame(n):
    e = np.array([0., 1., 0.]) if abs(n[1]) < .8 else np.array([1., 0., 0.])
    a = np.cross(e, n)
    a /= np.linalg.norm(a)
    return np.array([n, a, np.cross(n, a)])


def solve(n, mu, feet, demand, moment, point, jt, free, limit, cones):
    """cones: the depth, else the load; None if the solver does not end well."""
    k = len(feet)
    size = np.linalg.norm(demand)
    base = frame(n)
    A = np.zeros((6, 3 * k + 1))
    for i, p in enumerate(feet):
        r = p - point
        A[:3, 3 * i:3 * i + 3] = np.eye(3)
        A[3:, 3 * i:3 * i + 3] = 10 * np.array([[0, -r[2], r[1]], [r[2], 0, -r[0]], [-r[1], r[0], 0]])
    b = np.concatenate([demand, 10 * moment]) / size
    c = np.zeros(3 * k + 1)
    c[-1] = -1 if cones else 1
    Gl, hl = [], []
    if not cones:
        for i in range(k):
            for j in range(3):
                for sign in (1, -1):
                    row = np.zeros(3 * k + 1)
                    row[3 * i:3 * i + 3] = -sign * jt[i][j] * size / limit[i][j]
                    row[-1] = -1
                    Gl.append(row)
                    hl.append(-sign * free[i][j] / limit[i][j])
    else:
        Gl.append(np.zeros(3 * k + 1))
        hl.append(1.)
    Gq, hq = [], []
    for i in range(k):
        g = np.zeros((3, 3 * k + 1))
        g[:, 3 * i:3 * i + 3] = -np.diag([mu, 1, 1]) @ base
        if cones:
            g[0, -1] = mu
        Gq.append(matrix(g))
        hq.append(matrix(np.zeros(3)))
    try:
        sol = solvers.socp(matrix(c), Gl=matrix(np.array(Gl)), hl=matrix(np.array(hl)),
                           Gq=Gq, hq=hq, A=matrix(A), b=matrix(b))
    except (ArithmeticError, ValueError):
        return None
    # The last digits may be out of the solver's reach: look at the gap itself.
    if sol["x"] is None or sol["primal infeasibility"] > 1e-8 or sol["gap"] > 1e-8:
        return None
    return -sol["primal objective"] if cones else sol["primal objective"]


def pushes(n, feet, demand, moment, point):
    """Whether normal forces >= 0 put the zero-moment point right."""
    base = frame(n)
    c = feet.mean(axis=0)
    m = base @ (moment + np.cross(point - c, demand))
    arm = (feet - c) @ base.T
    A = np.array([np.ones(len(feet)), arm[:, 2], -arm[:, 1]])
    b = np.array([demand @ n, m[1], m[2]])
    return linprog(np.zeros(len(feet)), A_eq=A, b_eq=b, bounds=(0, None), method="highs").status == 0


def main():
    rnd = random.Random(20240301)
    out, left, words = [], 0, {}
    for k in range(PROBLEMS):
        p = problem(rnd, k)
        depth = solve(*p, True)
        if depth is None or abs(depth) < 1e-6:
            left += 1
            continue
        load = solve(*p, False) if depth > 0 else None
        if depth > 0 and load is None:
            left += 1
            continue
        n, mu, feet, demand, moment, point, jt, free, limit = p
        word = "balanced"
        if depth < 0:
            word = "needs friction" if pushes(n, feet, demand, moment, point) else "needs pull"
        elif load > 1:
            word = "overloaded"
        words[word] = words.get(word, 0) + 1
        row = [len(feet), mu, *n, *demand, *moment, *point]
        for i in range(len(feet)):
            row += [*feet[i], *jt[i].flatten(), *free[i], *limit[i]]
        row = [repr(float(v)) if i else v for i, v in enumerate(row)]
        row += [""] * (12 + 1 + 18 * MAX - 1 - len(row))
        out.append([word, "" if load is None else repr(float(load)), repr(float(depth))] + row)
    head = ["status", "load", "depth", "feet", "friction"]
    for w, u in (("normal", ""), ("force", "_n"), ("moment", "_nm"), ("point", "_m")):
        head += [f"{w}_{a}{u}" for a in "xyz"]
    for i in range(MAX):
        head += [f"foot{i}_{a}_m" for a in "xyz"]
        head += [f"jt{i}_{r}{c}_m" for r in range(3) for c in range(3)]
        head += [f"free{i}_{j}_nm" for j in range(3)] + [f"limit{i}_{j}_nm" for j in range(3)]
    width = len(head)
    with open("contact_forces.csv", "w", newline="") as f:
        w = csv.writer(f, lineterminator="\n")
        w.writerow(head)
        for row in out:
            w.writerow(row[:width] + [""] * (width - len(row)))
    print(len(out), "problems,", left, "left out;", words)


main()
