#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Writes the workfiles of the tip-over experiment into motions/ and the list
motions.csv. The first part of the grid was fixed before the first run, the rest
is marked; README.md tells why. It needs Python 3.8 and no packages.
"""
import csv
import os

HERE = os.path.dirname(os.path.abspath(__file__))


def robot_of(name):
    with open(os.path.join(HERE, "robots", name), encoding="utf-8") as f:
        return "".join(l for l in f if not l.startswith("#"))


def leg(name, x, y, heading, stand, channel):
    return f"""
[[leg]]
name = "{name}"
mount_mm = [{x}, {y}, 0]
heading_deg = {heading}
coxa_mm = 38
femur_mm = 90
tibia_mm = 165
tibia_offset_deg = 60
foot_radius_mm = 7
link_radius_mm = 8
stand_mm = [{stand[0]}, {stand[1]}]
coxa = {{ range_deg = [-70, 70], servo = "strong", mass_g = 22, channel = {channel} }}
femur = {{ range_deg = [-80, 100], servo = "strong", mass_g = 32, channel = {channel + 1} }}
tibia = {{ range_deg = [-160, 10], servo = "strong", mass_g = 36, channel = {channel + 2} }}
"""


def lamp(centre_z):
    """Six legs close together under a heavy head; centre_z: of the body's mass."""
    text = f"""format = 1

[robot]
name = "lamp stand"
body_mass_g = 1300
body_centre_mm = [0, 0, {centre_z}]
body_outline_mm = [[105, 50], [-105, 50], [-105, -50], [105, -50]]
body_top_mm = 160
body_bottom_mm = -20
stand_height_mm = 140

[limits]
review_hz = 500
stability_margin_mm = 8

[servo.strong]
stall_kgf_cm = 35
speed_s_per_60deg = 0.12
voltage_v = 7.4
mass_g = 62
"""
    text += leg("LF", 85, 45, 45, (135, 105), 0) + leg("LM", 0, 55, 90, (0, 125), 3) + leg("LR", -85, 45, 135, (-135, 105), 6)
    for k, n in enumerate(["F", "M", "R"]):
        c = 9 + 3 * k
        text += f"""
[[leg]]
name = "R{n}"
mirrors = "L{n}"
coxa = {{ channel = {c} }}
femur = {{ channel = {c + 1}, reversed = true }}
tibia = {{ channel = {c + 2}, reversed = true }}
"""
    return text


def move(marks, body=(), feet=(), cool=300, name="move", timing=""):
    """marks: (name, ms); body: (mark, shift, lean); feet: (leg, pair, spans);
    timing: of the body's spans, eased when left out."""
    out = f'\n[[move]]\nname = "{name}"\ncool_down_ms = {cool}\nmark = [\n'
    out += "".join(f'  {{ name = "{n}", at_ms = {t} }},\n' for n, t in marks) + "]\n"
    for to, shift, lean in body:
        out += f'\n[[move.body]]\nto = "{to}"\nshift_mm = {list(shift)}\nlean_deg = {list(lean)}\n'
        out += f'timing = "{timing}"\n' if timing else ""
    for who, pair, spans in feet:
        out += f'\n[[move.foot]]\nleg = "{who}"\n' + ("pair = true\n" if pair else "") + "span = [\n"
        for to, hold, *rest in spans:
            out += f'  {{ to = "{to}", hold = "{hold}"' + "".join(f", {k} = {v}" for k, v in rest) + " },\n"
        out += "]\n"
    return out


def play(speed=1, name="move"):
    return f"""
[[sequence]]
kind = "stand"
duration_ms = 300

[[sequence]]
name = "act"
kind = "move"
move = "{name}"
speed = {speed}

[[sequence]]
kind = "wait"
duration_ms = 400
"""


def walk(gait, cycles, forward, side=0):
    return f"""
[[sequence]]
kind = "stand"
duration_ms = 300

[[sequence]]
name = "act"
kind = "walk"
gait = "{gait}"
cycles = {cycles}
forward_mm_s = {forward}
side_mm_s = {side}

[[sequence]]
kind = "wait"
duration_ms = 400
"""


def gait(name, period, duty, height, phase, sway=0):
    p = ", ".join(f"{k} = {v}" for k, v in phase.items())
    s = f"sway_mm = {sway}\n" if sway else ""
    return f"""
[[gait]]
name = "{name}"
period_ms = {period}
duty_factor = {duty}
step_height_mm = {height}
{s}phase = {{ {p} }}
"""


LEVEL = (0, 0, 0)
TRIPOD = dict(LF=0, LM=0.5, LR=0, RF=0.5, RM=0, RR=0.5)
RIPPLE = dict(LF=0, LM=0.75, LR=0.5, RF=0.5, RM=0.25, RR=0)
CRAWL = dict(LF=0, LR=0.75, RF=0.5, RR=0.25)
DIAGONAL = dict(LF=0, LR=0.5, RF=0.5, RR=0)


def strike(x):
    """Both front feet rise and strike twice with the weight shifted by x."""
    marks = [("back", 700), ("raised", 1300), ("hit", 1560), ("again", 1900), ("second", 2160), ("clear", 2560), ("down", 3100), ("home", 3700)]
    body = [("back", (x, 0, 6), LEVEL), ("raised", (x, 0, 10), (0, -4, 0)), ("clear", (x, 0, 10), (0, -4, 0)), ("down", (x, 0, 6), LEVEL), ("home", LEVEL, LEVEL)]
    up = lambda to, end, out, into: (to, "ground", ("end_mm", end), ("out_mm", out), ("in_mm", into))
    spans = [("back", "planted"), up("raised", [50, -50, 130], [0, 0, 60], [-10, 10, -20]), up("hit", [66, -70, 60], [10, -5, 10], [0, 0, 35]),
             up("again", [52, -54, 120], [0, 0, 35], [8, -5, 8]), up("second", [66, -70, 60], [8, -5, 8], [0, 0, 35]),
             up("clear", [36, -36, 105], [0, 0, 35], [10, -10, 5]), up("down", [15, -10, 0], [-8, 20, -5], [0, 0, 45]), ("home", "planted")]
    return move(marks, body, [("LF", True, spans)])


def sway(shift, ms, lean=LEVEL, timing=""):
    """The body goes to a place on all feet and back, ms each way."""
    return move([("there", ms), ("home", 2 * ms)], [("there", shift, lean), ("home", LEVEL, LEVEL)], timing=timing)


def lift(legs, shift, height=40, act=None, to=None):
    """The body goes to shift, the legs rise; with act (ms) it then goes to the
    place `to` and back at that pace; the legs go down, the body home."""
    marks, body = [("away", 700), ("up", 1200)], [("away", shift, LEVEL)]
    t = 1200
    if act:
        body += [("up", shift, LEVEL), ("there", to, LEVEL), ("returned", shift, LEVEL)]
        marks += [("there", t + act), ("returned", t + 2 * act)]
        t += 2 * act
    marks += [("stay", t + 500), ("down", t + 1000), ("home", t + 1600)]
    body += [("down", shift, LEVEL), ("home", LEVEL, LEVEL)]
    feet = []
    for name, pair in legs:
        spans = [("away", "planted"), ("up", "ground", ("end_mm", [0, 0, height]), ("out_mm", [0, 0, 25])),
                 ("stay", "ground", ("end_mm", [0, 0, height])),
                 ("down", "ground", ("end_mm", [0, 0, 0]), ("in_mm", [0, 0, 25])), ("home", "planted")]
        feet.append((name, pair, spans))
    return move(marks, body, feet)


def greet(x):
    """One front foot waves, the body leans away from it by x both ways."""
    marks = [("away", 600), ("lifted", 1100), ("left", 1400), ("right", 1700), ("down", 2300), ("home", 2900)]
    body = [("away", (x, x, 0), LEVEL), ("down", (x, x, 0), LEVEL), ("home", LEVEL, LEVEL)]
    spans = [("away", "planted"), ("lifted", "body", ("end_mm", [8, 8, 65]), ("out_mm", [0, 0, 40]), ("in_mm", [0, 0, -20])),
             ("left", "body", ("end_mm", [-15, 30, 65])), ("right", "body", ("end_mm", [30, -15, 65])),
             ("down", "ground", ("end_mm", [0, 0, 0]), ("out_mm", [0, 0, 5]), ("in_mm", [0, 0, 40])), ("home", "planted")]
    return move(marks, body, [("LF", False, spans)])


def grid():
    """Yields name, robot, friction, motion."""
    drummer, usher = robot_of("drummer.toml"), robot_of("usher.toml")
    # The drummer strikes: weight back from plenty to none, at the drawn speed; then ever faster.
    for x in (-45, -30, -20, -15, -10, -5, 0, 10):
        yield f"drummer-strike-x{x}", drummer, 0.6, strike(x) + play()
    for x, speeds in ((-45, (1.5, 2, 3, 4)), (-20, (1.5, 2))):
        for s in speeds:
            yield f"drummer-strike-x{x}-speed{s}", drummer, 0.6, strike(x) + play(s)
    # All feet down, ever quicker; then on a slippery floor.
    for ms in (300, 200, 150):
        yield f"drummer-sway-forward-{ms}", drummer, 0.6, sway((60, 0, 0), ms) + play()
    for ms in (400, 300, 200):
        yield f"drummer-sway-left-{ms}-slippery", drummer, 0.2, sway((0, 50, 0), ms) + play()
    # Feet up, the body at different places.
    tripod = [("LF", False), ("RM", False), ("LR", False)]
    for y in (0, -15, 15, 30):
        yield f"drummer-tripod-up-y{y}", drummer, 0.6, lift(tripod, (0, y, 0)) + play()
    for ms in (400, 200, 130):
        yield f"drummer-fronts-up-forward-{ms}", drummer, 0.6, lift([("LF", True)], (-60, 0, 0), act=ms, to=[-35, 0, 0]) + play()
    for period, speed in ((1000, 80), (500, 160), (350, 220)):
        yield f"drummer-tripod-{period}", drummer, 0.6, gait("g", period, 0.5, 30, TRIPOD) + walk("g", 3, speed)
    yield "drummer-ripple-700", drummer, 0.6, gait("g", 700, 0.75, 30, RIPPLE) + walk("g", 3, 100)

    # The usher on four legs.
    for x in (-28, -18, -12, -6, 0):
        yield f"usher-greet-x{x}", usher, 0.6, greet(x) + play()
    for s in (1.5, 2, 3):
        yield f"usher-greet-x-28-speed{s}", usher, 0.6, greet(-28) + play(s)
    for ms in (300, 180):
        yield f"usher-sway-left-{ms}", usher, 0.6, sway((0, 45, 0), ms) + play()
    yield "usher-sway-left-300-slippery", usher, 0.2, sway((0, 45, 0), 300) + play()
    yield "usher-diagonal-up", usher, 0.6, lift([("LF", False), ("RR", False)], LEVEL) + play()
    yield "usher-crawl-2800-sway42", usher, 0.6, gait("g", 2800, 0.86, 28, CRAWL, 42) + walk("g", 1, 14)
    yield "usher-crawl-1600-sway42", usher, 0.6, gait("g", 1600, 0.86, 28, CRAWL, 42) + walk("g", 1, 20)
    yield "usher-crawl-1600-sway20", usher, 0.6, gait("g", 1600, 0.86, 28, CRAWL, 20) + walk("g", 1, 20)
    yield "usher-crawl-2800-sway0", usher, 0.6, gait("g", 2800, 0.86, 28, CRAWL) + walk("g", 1, 14)
    for period in (800, 400, 250):
        yield f"usher-diagonal-{period}", usher, 0.6, gait("g", period, 0.5, 20, DIAGONAL) + walk("g", 4, 40)

    # The lamp stand: tall, its feet close together.
    high = lamp(100)
    for ms in (500, 300, 250, 220, 190, 160):
        yield f"lamp-sway-left-{ms}", high, 0.8, sway((0, 45, 0), ms) + play()
    for z in (40, 140):
        yield f"lamp-sway-left-220-z{z}", lamp(z), 0.8, sway((0, 45, 0), 220) + play()
    for ms in (300, 200):
        yield f"lamp-sway-forward-{ms}-slippery", high, 0.25, sway((45, 0, 0), ms) + play()
    for ms in (300, 200, 140):
        yield f"lamp-roll-{ms}", high, 0.8, sway((0, 0, 0), ms, (10, 0, 0)) + play()
    for y in (0, -20, 15, 30):
        yield f"lamp-tripod-up-y{y}", high, 0.8, lift(tripod, (0, y, 0), 30) + play()
    for ms in (400, 250, 180):
        yield f"lamp-front-up-across-{ms}", high, 0.8, lift([("LF", False)], (-20, -20, 0), 30, act=ms, to=[-20, 20, 0]) + play()
    for period, speed in ((900, 50), (450, 100)):
        yield f"lamp-tripod-{period}", high, 0.8, gait("g", period, 0.5, 25, TRIPOD) + walk("g", 3, speed)

    # Added after the first run, whose bad motions were too few (see README.md).
    for s in (1.25, 1.5, 2, 3):
        yield f"drummer-strike-x-30-speed{s}", drummer, 0.6, strike(-30) + play(s)
    yield "drummer-fronts-up-forward-160", drummer, 0.6, lift([("LF", True)], (-60, 0, 0), act=160, to=[-35, 0, 0]) + play()
    yield "drummer-sway-forward-250-slippery", drummer, 0.2, sway((60, 0, 0), 250) + play()
    for s in (1.5, 2, 3):
        yield f"usher-greet-x-6-speed{s}", usher, 0.6, greet(-6) + play(s)
    yield "usher-left-feet-up", usher, 0.6, lift([("LF", False), ("LR", False)], (0, -30, 0)) + play()
    yield "usher-sway-left-220-slippery", usher, 0.2, sway((0, 45, 0), 220) + play()
    yield "usher-crawl-1200-sway0", usher, 0.6, gait("g", 1200, 0.86, 28, CRAWL) + walk("g", 2, 20)
    for x in (10, -5, -25):
        yield f"lamp-fronts-up-x{x}", high, 0.8, lift([("LF", True)], (x, 0, 0), 30) + play()
    yield "lamp-front-up-across-140", high, 0.8, lift([("LF", False)], (-20, -20, 0), 30, act=140, to=[-20, 20, 0]) + play()
    for ms in (240, 180):
        yield f"lamp-sway-forward-{ms}", high, 0.8, sway((45, 0, 0), ms) + play()
    yield "lamp-sway-left-280", high, 0.8, sway((0, 45, 0), 280) + play()

    # Added later: starts and stops all at once, which have a step of speed and
    # no acceleration to speak of.
    for shift, way, times in (((0, 45, 0), "left", (900, 450, 300, 220)), ((45, 0, 0), "forward", (700, 350, 250))):
        for ms in times:
            yield f"lamp-dead-start-{way}-{ms}", high, 0.8, sway(shift, ms, timing="linear") + play()
    for ms in (800, 300, 150):
        yield f"drummer-dead-start-forward-{ms}", drummer, 0.6, sway((60, 0, 0), ms, timing="linear") + play()
    for ms in (600, 250):
        yield f"usher-dead-start-left-{ms}", usher, 0.6, sway((0, 45, 0), ms, timing="linear") + play()


def main():
    out = os.path.join(HERE, "motions")
    os.makedirs(out, exist_ok=True)
    with open(os.path.join(HERE, "motions.csv"), "w", newline="", encoding="utf-8") as f:
        w = csv.writer(f, lineterminator="\n")
        w.writerow(["motion", "friction"])
        for name, robot, friction, motion in grid():
            text = f"# Written by motions.py.\n{robot.rstrip()}\n\n[ground]\nfriction = {friction}\n{motion}"
            with open(os.path.join(out, name + ".toml"), "w", encoding="utf-8") as g:
                g.write(text)
            w.writerow([name, friction])


if __name__ == "__main__":
    main()
