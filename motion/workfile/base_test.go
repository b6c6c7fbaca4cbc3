// SPDX-License-Identifier: MIT

package workfile

import (
	"strings"
	"testing"
)

// base is a small workfile with everything in it, for tests to spoil.
const base = `format = 1

[robot]
name = "walker"
body_mass_g = 900
body_centre_mm = [0, 0, 5]
body_outline_mm = [[80, 50], [-80, 50], [-80, -50], [80, -50]]
body_top_mm = 30
body_bottom_mm = -20
stand_height_mm = 80

[ground]
tilt_roll_deg = 2

[limits]
review_hz = 250

[servo.standard]
stall_kgf_cm = 20
speed_s_per_60deg = 0.16
voltage_v = 6
mass_g = 58

[servo.small]
stall_nm = 0.5
speed_s_per_60deg = 0.12
voltage_v = 6
mass_g = 20

[[leg]]
name = "LF"
mount_mm = [70, 50, 0]
heading_deg = 45
coxa_mm = 40
femur_mm = 75
tibia_mm = 110.5
lateral_mm = 3
vertical_mm = -2
tibia_offset_deg = 10
foot_radius_mm = 8
stand_mm = [150, 130]
coxa = { range_deg = [-50, 60], servo = "small", mass_g = 20, channel = 0, trim_deg = 1 }
femur = { range_deg = [-80, 90], servo = "standard", mass_g = 28, centre_mm = [30, 4, 1], channel = 1 }
tibia = { range_deg = [-150, 0], servo = "standard", mass_g = 32, channel = 2, centre_us = 1450, us_per_deg = 11, range_us = [600, 2400] }

[[leg]]
name = "LR"
mount_mm = [-70, 50, 0]
heading_deg = 135
coxa_mm = 40
femur_mm = 75
tibia_mm = 110.5
foot_radius_mm = 8
link_radius_mm = 6
knee = "down"
stand_mm = [-150, 130]
coxa = { range_deg = [-60, 60], servo = "small", mass_g = 20, channel = 3 }
femur = { range_deg = [-80, 90], servo = "standard", mass_g = 28, channel = 4 }
tibia = { range_deg = [0, 150], servo = "standard", mass_g = 32, channel = 5 }

[[leg]]
name = "RF"
mirrors = "LF"
coxa = { channel = 6 }
femur = { channel = 7, reversed = true }
tibia = { channel = 8, reversed = true, trim_deg = -3 }

[[leg]]
name = "RR"
mirrors = "LR"

[[gait]]
name = "crawl"
period_ms = 2000
duty_factor = 0.8
step_height_mm = 25
phase = { LF = 0, LR = 0.75, RF = 0.5, RR = 0.25 }
sway_mm = 10
swing_handles = [0, 1, 0.9, 1.2]
swing_timing = "linear"

[[gait]]
name = "trot"
period_ms = 800
duty_factor = 0.5
step_height_mm = 25
phase = { LF = 0, LR = 0.5, RF = 0.5, RR = 0 }

[[move]]
name = "bow"
cool_down_ms = 200
mirrored = true
mark = [
  { name = "low", at_ms = 500 },
  { name = "high", at_ms = 900 },
  { name = "home", at_ms = 1500 },
]

[[move.body]]
to = "low"
shift_mm = [0, 0, -20]
lean_deg = [0, 5, 0]
shift_out_mm = [5, 0, 0]
even = true

[[move.body]]
to = "home"
shift_mm = [0, 0, 0]
lean_deg = [0, 0, 0]
timing = "cubic-bezier(0.3, 0, 0.6, 1)"

[[move.foot]]
leg = "LF"
pair = true
span = [
  { to = "low", hold = "planted" },
  { to = "high", hold = "body", end_mm = [10, 5, 40], out_mm = [0, 0, 20], timing = "ease", floor_mm = 12 },
  { to = "home", hold = "ground", end_mm = [0, 0, 0], in_mm = [0, 0, 20], even = true },
]

[[sequence]]
kind = "stand"

[[sequence]]
name = "there"
kind = "walk"
gait = "crawl"
cycles = 3
forward_mm_s = 30
side_mm_s = -10
turn_deg_s = 5

[[sequence]]
kind = "change"
gait = "trot"
cycles = 2.5

[[sequence]]
kind = "move"
move = "bow"
speed = 1.25

[[sequence]]
kind = "recover"
gait = "crawl"

[[sequence]]
kind = "wait"
duration_ms = 250
`

// mustRead reads a text that must be good.
func mustRead(t testing.TB, text string) *File {
	t.Helper()
	f, err := Read("base.toml", []byte(text))
	if err != nil {
		t.Fatalf("Read: %v\n%s", err, text)
	}
	return f
}

// mustEncode writes a file.
func mustEncode(t testing.TB, f *File) string {
	t.Helper()
	b, err := f.Encode()
	if err != nil {
		t.Fatalf("Encode: %v", err)
	}
	return string(b)
}

// edit replaces text in base: pairs of what is there once, and what is to be
// there.
func edit(t testing.TB, pairs ...string) string {
	t.Helper()
	text := base
	for i := 0; i < len(pairs); i += 2 {
		if strings.Count(text, pairs[i]) != 1 {
			t.Fatalf("%q is there %d times", pairs[i], strings.Count(text, pairs[i]))
		}
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	return text
}

// loaded is base with everything that loads and currents are reckoned from, and
// with what a gait may have beside.
func loaded(t testing.TB) string {
	t.Helper()
	return edit(t,
		"body_centre_mm = [0, 0, 5]\n", "body_centre_mm = [0, 0, 5]\nbody_inertia_kg_mm2 = [1000, 2100.5, 2600, 12, -30, 4]\n"+
			"payload_mass_g = 250\npayload_centre_mm = [20, -4, 45]\npayload_size_mm = [60, 40, 20]\n",
		"tilt_roll_deg = 2\n", "friction = 0.8\ntilt_roll_deg = 2\n",
		"review_hz = 250\n", "review_hz = 250\ndynamic_margin_mm = 6\ntorque_derating = 0.75\nholding_share = 0.25\nlanding_speed_mm_s = 400\ncontact_time_ms = 15\n\n"+
			"[supply]\nvoltage_v = 7.4\ncurrent_limit_a = 20\nresistance_mohm = 45\n",
		"stall_nm = 0.5\nspeed_s_per_60deg = 0.12\nvoltage_v = 6\nmass_g = 20\n", "stall_nm = 0.5\nspeed_s_per_60deg = 0.12\nvoltage_v = 6\nmass_g = 20\n"+
			"stall_current_a = 1.2\nidle_current_a = 0.09\ngear_efficiency = 0.65\n",
		"centre_mm = [30, 4, 1], channel = 1", "centre_mm = [30, 4, 1], inertia_kg_mm2 = [4, 14, 15.5, -1.5, 0.5, 0.25], channel = 1",
		"duty_factor = 0.5\n", "duty_factor = 0.5\nduty_factors = { LF = 0.55, RR = 0.45 }\n",
		"phase = { LF = 0, LR = 0.5, RF = 0.5, RR = 0 }\n", "phase = { LF = 0, LR = 0.5, RF = 0.5, RR = 0 }\nearly_lift = 0.1\nlate_touch = 0.25\n",
		"timing = \"ease\", floor_mm = 12", "timing = \"ease\", target_mm = 15, floor_mm = 12")
}
