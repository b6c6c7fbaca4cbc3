#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Prints how the verdicts of results.csv agree with a margin, as Markdown, and
how sliding agrees with the friction that the motion needs.

usage: compare.py [zmp_margin_mm | static_margin_mm | dynamic_margin_mm]
"""
import csv
import os
import sys

BAND = 5  # mm


def does(r):
    """What the robot does: what happens first counts."""
    tip, slide = float(r["tip_time_s"] or "inf"), float(r["slide_time_s"] or "inf")
    return "slides" if slide < tip else "tips" if tip < float("inf") else "stands"


column = sys.argv[1] if len(sys.argv) > 1 else "zmp_margin_mm"
with open(os.path.join(os.path.dirname(os.path.abspath(__file__)), "results.csv"), encoding="utf-8") as f:
    rows = [r for r in csv.DictReader(f) if r[column] != ""]

count = dict.fromkeys([(m, v) for m in ("out", "near", "in") for v in ("tips", "slides", "stands")], 0)
odd = []
for r in rows:
    margin = float(r[column])
    side = "near" if abs(margin) <= BAND else "in" if margin > 0 else "out"
    what = does(r)
    count[side, what] += 1
    if side == "out" and what != "tips" or side == "in" and what == "tips":
        odd.append((r, margin, what))

print(f"| {column} | tips | slides first | stands |\n|---|---|---|---|")
for side, title in (("out", f"below -{BAND}"), ("near", f"within ±{BAND}"), ("in", f"above {BAND}")):
    print(f"| {title} | " + " | ".join(str(count[side, w]) for w in ("tips", "slides", "stands")) + " |")
judged = sum(v for (m, _), v in count.items() if m != "near")
agree = count["out", "tips"] + count["in", "stands"] + count["in", "slides"]
print(f"\n{len(rows)} motions, {judged} outside the band, {agree} agree ({100 * agree / judged:.1f} %).\n")
for r, margin, what in odd:
    print(f"- {r['motion']}: {column} {margin:.1f} at {r['zmp_time_s']} s, negative for {float(r['zmp_out_s']) * 1000:.0f} ms;"
          f" {what}; gap {r['gap_mm']} mm, drift {r['drift_mm']} mm, error {r['error_deg']}°")

# The friction needed is that of the motion as drawn, all feet together.
print("\n| friction needed / friction there is | tips | slides first | stands |\n|---|---|---|---|")
for title, lo, hi in (("below 0.9", 0, 0.9), ("0.9 to 1.1", 0.9, 1.1), ("1.1 to 2", 1.1, 2), ("above 2", 2, float("inf"))):
    some = [does(r) for r in rows if lo <= float(r["grip"]) / float(r["friction"]) < hi]
    print(f"| {title} | " + " | ".join(str(some.count(w)) for w in ("tips", "slides", "stands")) + " |")
for r in rows:
    ratio = float(r["grip"]) / float(r["friction"])
    if (ratio > 1.1) != (does(r) == "slides") and does(r) != "tips":
        print(f"- {r['motion']}: needs {r['grip']} of {r['friction']}; {does(r)}; drift {r['drift_mm']} mm")
