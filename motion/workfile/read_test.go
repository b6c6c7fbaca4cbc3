// SPDX-License-Identifier: MIT

package workfile

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// here marks the place that a problem must point at; it is taken out before
// reading.
const here = "¦"

const leg1 = "[[leg]]\nname = \"LF\"\n"

func TestReadRefuses(t *testing.T) {
	tests := []struct {
		desc string
		edit []string // of base, with one mark
		key  string
		text string // part of it
	}{
		// TOML.
		{"value missing", []string{"femur_mm = 75\ntibia_mm = 110.5\nlateral", "femur_mm =¦\ntibia_mm = 110.5\nlateral"}, "", "not TOML"},
		{"list not closed", []string{"swing_handles = [0, 1, 0.9, 1.2]", "swing_handles = [0, 1, 0.9, 1.2\n¦name2 = 3"}, "", "not TOML"},
		{"key twice", []string{"name = \"walker\"\n", "name = \"walker\"\n¦name = \"again\"\n"}, "name", "already defined"},
		{"table twice", []string{"[limits]\n", "[limits]\n[¦ground]\n"}, "ground", "already exists"},
		{"number past a double", []string{"body_mass_g = 900", "body_mass_g = ¦1e400"}, "robot.body_mass_g", "too great for a number"},
		{"number past a double, in a list of tables", []string{"at_ms = 900 }", "at_ms = ¦-1e999 }"}, "move[1].mark[2].at_ms", "too great for a number"},
		{"whole number past 64 bits", []string{"body_mass_g = 900", "body_mass_g = ¦99999999999999999999"}, "robot.body_mass_g", "too large"},
		{"not UTF-8", []string{"\"walker\"", "\"¦\xff\""}, "", "UTF-8"},

		// Format.
		{"format missing", []string{"format = 1\n\n[robot]", "¦[robot]"}, "format", "missing"},
		{"format newer", []string{"format = 1\n", "¦format = 3\nmuch = \"new\"\n"}, "format",
			"this file is format 3; this program reads up to 1: use a newer program"},
		{"format zero", []string{"format = 1\n", "¦format = 0\n"}, "format", "use 1"},
		{"format a text", []string{"format = 1\n", "¦format = \"1\"\n"}, "format", "a whole number is wanted"},

		// Keys.
		{"unknown key, close", []string{"step_height_mm = 25\nphase = { LF = 0, LR = 0.75", "¦step_hieght_mm = 25\nphase = { LF = 0, LR = 0.75"},
			"gait[crawl].step_hieght_mm", `unknown key "step_hieght_mm"; did you mean "step_height_mm"?`},
		{"unknown key, far", []string{"[ground]\n", "[ground]\n¦colour = 0.5\n"}, "ground.colour", "known here are friction, tilt_roll_deg, tilt_pitch_deg"},
		{"unknown key, at the top", []string{"format = 1\n", "format = 1\n¦colour = \"red\"\n"}, "colour", "unknown key"},
		{"unknown table", []string{"[ground]", "¦[grounds]"}, "grounds", `did you mean "ground"?`},
		{"unknown key in a joint", []string{"trim_deg = 1 }", "¦trim = 1 }"}, "leg[LF].coxa.trim", `did you mean "trim_deg"?`},
		{"unknown key in a span", []string{"in_mm = [0, 0, 20]", "¦inn_mm = [0, 0, 20]"}, "move[bow].foot[LF].span[3].inn_mm", `"in_mm"`},
		{"unknown key that is no bare one", []string{"[ground]\n", "[ground]\n¦\"a b\\n\" = 1\n"}, `ground."a b\n"`, "unknown key"},
		{"missing key", []string{"body_mass_g = 900\n", "", "[robot]", "¦[robot]"}, "robot.body_mass_g", "missing; add body_mass_g = ..., a number from 1 to 100000 g"},
		{"missing table", []string{base[strings.Index(base, "[robot]"):strings.Index(base, "[ground]")], "", "format", "¦format"}, "robot", "add a table [robot]"},
		{"missing list", []string{"phase = { LF = 0, LR = 0.5, RF = 0.5, RR = 0 }", "", "[[gait]]\nname = \"trot\"", "¦[[gait]]\nname = \"trot\""}, "gait[trot].phase", "missing"},
		{"missing key of a leg", []string{leg1, "¦" + leg1, "heading_deg = 45\n", ""}, "leg[LF].heading_deg", "missing; measure it"},
		{"missing joint", []string{leg1, "¦" + leg1, base[strings.Index(base, "coxa = {"):strings.Index(base, "femur = {")], ""}, "leg[LF].coxa", "missing"},
		{"missing key of a joint", []string{"tibia = { range_deg = [-150, 0], servo = \"standard\", mass_g = 32,", "¦tibia = { range_deg = [-150, 0], servo = \"standard\","}, "leg[LF].tibia.mass_g", "missing"},
		{"missing key of a mark", []string{"{ name = \"high\", at_ms = 900 }", "¦{ name = \"high\" }"}, "move[bow].mark[high].at_ms", "missing"},

		// Types.
		{"text for a number", []string{"body_mass_g = 900", "¦body_mass_g = \"900\""}, "robot.body_mass_g", `the text "900" where a number from 1 to 100000 g is wanted`},
		{"number for a text", []string{"name = \"walker\"", "¦name = 5"}, "robot.name", "the number 5 where a text is wanted"},
		{"text for true or false", []string{"pair = true", "¦pair = \"yes\""}, "move[bow].foot[LF].pair", "true or false"},
		{"number with a point for a whole one", []string{"channel = 3 }", "¦channel = 3.5 }"}, "leg[LR].coxa.channel", "a whole number"},
		{"number for a list", []string{"swing_handles = [0, 1, 0.9, 1.2]", "¦swing_handles = 1"}, "gait[crawl].swing_handles", "a list of 4 numbers"},
		{"number for a table", []string{"[ground]\ntilt_roll_deg = 2\n", "", "format = 1\n", "format = 1\n¦ground = 2\n"}, "ground", "a table is wanted"},
		{"number for a list of tables", []string{"coxa_mm = 40\nfemur_mm = 75\ntibia_mm = 110.5\nlateral", "coxa_mm = 40\n¦femur_mm = [75]\ntibia_mm = 110.5\nlateral"}, "leg[LF].femur_mm", "a list where a number"},
		{"list too short", []string{"body_centre_mm = [0, 0, 5]", "¦body_centre_mm = [0, 5]"}, "robot.body_centre_mm", "2 numbers; give 3"},
		{"list too long", []string{"stand_mm = [150, 130]", "¦stand_mm = [150, 130, 0]"}, "leg[LF].stand_mm", "3 numbers; give 2"},
		{"text in a list", []string{"mount_mm = [70, 50, 0]", "¦mount_mm = [70, \"50\", 0]"}, "leg[LF].mount_mm", `the text "50"`},
		{"date", []string{"voltage_v = 6\nmass_g = 58", "¦voltage_v = 2024-01-01\nmass_g = 58"}, "servo.standard.voltage_v", "a date"},
		{"empty text", []string{"knee = \"down\"", "¦knee = \"\""}, "leg[LR].knee", "empty text; give \"up\" or \"down\" or leave the key out"},
		{"empty text of a key that must be there", []string{"name = \"walker\"", "¦name = \"\""}, "robot.name", "empty text; give a text"},

		{"pulse widths that mirror to below 0", []string{"centre_us = 1450, us_per_deg = 11, range_us = [600, 2400]", "centre_us = 2600, us_per_deg = 11, range_us = [2500, 4500]",
			"tibia = { channel = 8", "¦tibia = { channel = 8"}, "leg[RF].tibia.range_us", "become -1500 to 500"},

		// Numbers.
		{"not a number", []string{"body_mass_g = 900", "¦body_mass_g = nan"}, "robot.body_mass_g", "NaN is not a finite number"},
		{"infinite", []string{"tilt_roll_deg = 2", "¦tilt_roll_deg = -inf"}, "ground.tilt_roll_deg", "-Inf is not a finite number"},
		{"not a number in a list", []string{"end_mm = [10, 5, 40]", "¦end_mm = [10, nan, 40]"}, "move[bow].foot[LF].span[2].end_mm", "finite"},
		{"zero mass", []string{"body_mass_g = 900", "¦body_mass_g = 0"}, "robot.body_mass_g", "0 is out of range; give a number from 1"},
		{"too long", []string{"coxa_mm = 40\nfemur_mm = 75\ntibia_mm = 110.5\nlateral", "coxa_mm = 40\nfemur_mm = 75\n¦tibia_mm = 2000.5\nlateral"}, "leg[LF].tibia_mm",
			"2000.5 is out of range; give a number from 1 to 2000 mm"},
		{"outline too wide", []string{"[[80, 50], [-80, 50]", "[[80, 50], [¦-2080, 50]"}, "robot.body_outline_mm[2]", "out of range"},
		{"duty factor 1", []string{"duty_factor = 0.8", "¦duty_factor = 1"}, "gait[crawl].duty_factor", "above 0 and below 1"},
		{"duty factor 0 of a leg", []string{"sway_mm = 10\n", "duty_factors = { LF = 0.7, ¦LR = 0 }\nsway_mm = 10\n"}, "gait[crawl].duty_factors.LR", "above 0 and below 1"},
		{"duty factor of no leg", []string{"sway_mm = 10\n", "duty_factors = { ¦LG = 0.7 }\nsway_mm = 10\n"}, "gait[crawl].duty_factors.LG", "there is no leg \"LG\"; use \"LF\", \"LR\", \"RF\" or \"RR\""},
		{"duty factors that are a number", []string{"sway_mm = 10\n", "¦duty_factors = 0.7\nsway_mm = 10\n"}, "gait[crawl].duty_factors", "the number 0.7 where a table of numbers"},
		{"early lift of more than half", []string{"sway_mm = 10\n", "¦early_lift = 0.6\nsway_mm = 10\n"}, "gait[crawl].early_lift", "from 0 to 0.5"},
		{"late touch negative", []string{"sway_mm = 10\n", "¦late_touch = -0.1\nsway_mm = 10\n"}, "gait[crawl].late_touch", "from 0 to 0.5"},
		{"nothing left to travel in", []string{"sway_mm = 10\n", "¦early_lift = 0.5\nlate_touch = 0.45\nsway_mm = 10\n"}, "gait[crawl].early_lift", "leave 0.05 of the swing to travel in; leave at least 0.1"},
		{"period 0", []string{"period_ms = 2000", "¦period_ms = 0"}, "gait[crawl].period_ms", "from 10 to 60000 ms"},
		{"phase 1", []string{"LR = 0.75", "¦LR = 1"}, "gait[crawl].phase.LR", "from 0 to below 1"},
		{"phase negative", []string{"LR = 0.75", "¦LR = -0.25"}, "gait[crawl].phase.LR", "from 0 to below 1"},
		{"channel negative", []string{"channel = 3 }", "¦channel = -1 }"}, "leg[LR].coxa.channel", "from 0 to 1023"},
		{"no cycles", []string{"cycles = 2.5", "¦cycles = 0"}, "sequence[3].cycles", "above 0 and at most 10000"},
		{"speed too high", []string{"speed = 1.25", "¦speed = 11"}, "sequence[4].speed", "from 0.01 to 10"},
		{"mark at 0", []string{"{ name = \"low\", at_ms = 500 }", "{ name = \"low\", ¦at_ms = 0 }"}, "move[bow].mark[low].at_ms", "from 1 to 600000 ms"},
		{"range upside down", []string{"range_deg = [-50, 60]", "¦range_deg = [60, -50]"}, "leg[LF].coxa.range_deg", "the lower end 60 is above the upper end -50; swap them"},
		{"pulse widths upside down", []string{"range_us = [600, 2400]", "¦range_us = [2400, 600]"}, "leg[LF].tibia.range_us", "swap them"},
		{"centre outside the pulse widths", []string{"centre_us = 1450", "¦centre_us = 2450"}, "leg[LF].tibia.centre_us", "outside the pulse widths 600 to 2400"},
		{"top below bottom", []string{"body_top_mm = 30", "¦body_top_mm = -30"}, "robot.body_top_mm", "must be higher"},

		// Masses and loads.
		{"link without mass", []string{"mass_g = 28, centre_mm", "¦mass_g = 0, centre_mm"}, "leg[LF].femur.mass_g", "0 is out of range; give a number from 0.001 to 100000 g"},
		{"link of negative mass", []string{"mass_g = 28, centre_mm", "¦mass_g = -28, centre_mm"}, "leg[LF].femur.mass_g", "-28 is out of range"},
		{"payload without weight", []string{"[ground]", "¦payload_mass_g = 0\n\n[ground]"}, "robot.payload_mass_g", "from 0.001 to 100000 g"},
		{"payload of no mass, with a place", []string{"[ground]", "¦payload_centre_mm = [0, 0, 40]\npayload_size_mm = [1, 1, 1]\n\n[ground]"}, "robot.payload_centre_mm",
			"missing payload_mass_g; add payload_mass_g = ..., what it weighs, or leave this key out"},
		{"payload of no mass, with a size", []string{"[ground]", "¦payload_size_mm = [1, 1, 1]\n\n[ground]"}, "robot.payload_size_mm", "missing payload_mass_g"},
		{"payload too far away", []string{"[ground]", "payload_mass_g = 1\n¦payload_centre_mm = [0, 0, 2001]\n\n[ground]"}, "robot.payload_centre_mm", "from -2000 to 2000 mm"},
		{"payload of negative size", []string{"[ground]", "payload_mass_g = 1\n¦payload_size_mm = [1, -1, 1]\n\n[ground]"}, "robot.payload_size_mm", "from 0 to 2000 mm"},
		{"inertia beyond all measure", []string{"[ground]", "¦body_inertia_kg_mm2 = [1, 1, 2e9, 0, 0, 0]\n\n[ground]"}, "robot.body_inertia_kg_mm2",
			"2000000000 is out of range; give a number from -1e9 to 1e9 kg·mm²"},
		{"inertia that is not a number", []string{"[ground]", "¦body_inertia_kg_mm2 = [1, 1, 1, 0, 0, nan]\n\n[ground]"}, "robot.body_inertia_kg_mm2", "NaN is not a finite number"},
		{"inertia of three numbers", []string{"[ground]", "¦body_inertia_kg_mm2 = [1, 1, 1]\n\n[ground]"}, "robot.body_inertia_kg_mm2", "3 numbers; give 6"},
		{"inertia negative about an axis", []string{"[ground]", "¦body_inertia_kg_mm2 = [900, -2100, 2600, 0, 0, 0]\n\n[ground]"}, "robot.body_inertia_kg_mm2",
			"a principal moment of inertia is -2100 kg·mm², and no body has a negative one; check the signs, the order (xx, yy, zz, xy, xz, yz) and the unit, or leave the key out to have it estimated"},
		// 2 ± 3: the principal moments of [[2, 3], [3, 2]].
		{"inertia with too large a product", []string{"[ground]", "¦body_inertia_kg_mm2 = [2, 2, 5, 3, 0, 0]\n\n[ground]"}, "robot.body_inertia_kg_mm2", "a principal moment of inertia is -1 kg·mm²"},
		{"inertia against the triangle", []string{"mass_g = 28, channel = 4", "mass_g = 28, ¦inertia_kg_mm2 = [10, 30.00021, 12, 0, 0, 0], channel = 4"}, "leg[LR].femur.inertia_kg_mm2",
			"the principal moment of inertia 30 kg·mm² exceeds the sum of the other two, 10 and 12, which no body has; check the signs"},
		{"inertia of a mirrored leg", []string{"channel = 7, reversed", "channel = 7, ¦inertia_kg_mm2 = [1, 1, 3, 0, 0, 0], reversed"}, "leg[RF].femur.inertia_kg_mm2", "3 kg·mm² exceeds the sum of the other two, 1 and 1,"},
		{"negative friction", []string{"[ground]\n", "[ground]\n¦friction = -0.1\n"}, "ground.friction", "from 0 to 10"},
		{"friction a text", []string{"[ground]\n", "[ground]\n¦friction = \"rubber\"\n"}, "ground.friction", "the text \"rubber\" where a number from 0 to 10 is wanted"},
		{"supply without voltage", []string{"[limits]", "[supply]\n¦voltage_v = 0\n\n[limits]"}, "supply.voltage_v", "from 0.1 to 100 V"},
		{"supply without current", []string{"[limits]", "[supply]\n¦current_limit_a = 0\n\n[limits]"}, "supply.current_limit_a", "from 0.001 to 10000 A"},
		{"supply that feeds by itself", []string{"[limits]", "[supply]\n¦resistance_mohm = -1\n\n[limits]"}, "supply.resistance_mohm", "from 0 to 1000000 mΩ"},
		{"resistance in ohms", []string{"[limits]", "[supply]\n¦resistance_ohm = 0.05\n\n[limits]"}, "supply.resistance_ohm", `did you mean "resistance_mohm"?`},
		{"sag of nobody knows what", []string{"format = 1\n", "format = 1\n[supply]\n¦resistance_mohm = 40\n", "speed_s_per_60deg = 0.12\nvoltage_v = 6", "speed_s_per_60deg = 0.12\nvoltage_v = 5"}, "supply.resistance_mohm", "add voltage_v = ..."},
		{"supply a number", []string{"format = 1\n", "format = 1\n¦supply = 7.4\n"}, "supply", "a table is wanted"},
		{"no torque, in newton metres", []string{"stall_nm = 0.5", "¦stall_nm = 0"}, "servo.small.stall_nm", "0 is out of range; give a number from 0.001 to 100 N·m"},
		{"no torque, in kilograms and centimetres", []string{"stall_kgf_cm = 20", "¦stall_kgf_cm = 0"}, "servo.standard.stall_kgf_cm", "0 is out of range; give a number from 0.01 to 1000 kgf·cm"},
		{"servo without stall current", []string{"stall_nm = 0.5\n", "stall_nm = 0.5\n¦stall_current_a = 0\n"}, "servo.small.stall_current_a", "from 0.001 to 1000 A"},
		{"negative idle current", []string{"stall_nm = 0.5\n", "stall_nm = 0.5\n¦idle_current_a = -0.1\n"}, "servo.small.idle_current_a", "from 0 to 1000 A"},
		{"idle current above the stall current", []string{"stall_nm = 0.5\n", "stall_nm = 0.5\n¦idle_current_a = 1.5\nstall_current_a = 1.2\n"}, "servo.small.idle_current_a",
			"1.5 A without load is above stall_current_a = 1.2; a servo draws most at stall"},
		// 0.5 N·m · (π/3)/0.12 s / (6 V · 0.7) = 1.0389 A.
		{"idle current above the estimated stall current", []string{"stall_nm = 0.5\n", "stall_nm = 0.5\n¦idle_current_a = 1.04\n"}, "servo.small.idle_current_a",
			"1.04 A without load is above the stall current, which torque, speed, voltage and gear efficiency put at 1.039 A; correct it, or add the stall_current_a of the datasheet"},
		{"idle current of a servo that is wrong elsewhere", []string{"stall_nm = 0.5\n", "¦stall_nm = -0.5\nidle_current_a = 0.1\n"}, "servo.small.stall_nm", "out of range"},
		{"gears that lose all", []string{"stall_nm = 0.5\n", "stall_nm = 0.5\n¦gear_efficiency = 0\n"}, "servo.small.gear_efficiency", "from 0.01 to 1"},
		{"gears that give", []string{"stall_nm = 0.5\n", "stall_nm = 0.5\n¦gear_efficiency = 1.01\n"}, "servo.small.gear_efficiency", "from 0.01 to 1"},
		{"negative dynamic margin", []string{"review_hz = 250", "review_hz = 250\n¦dynamic_margin_mm = -1"}, "limits.dynamic_margin_mm", "from 0 to 2000 mm"},
		{"no torque counted on", []string{"review_hz = 250", "review_hz = 250\n¦torque_derating = 0"}, "limits.torque_derating", "from 0.01 to 1"},
		{"holding more than all", []string{"review_hz = 250", "review_hz = 250\n¦holding_share = 30"}, "limits.holding_share", "from 0.01 to 1"},
		{"landing at no speed", []string{"review_hz = 250", "review_hz = 250\n¦landing_speed_mm_s = 0"}, "limits.landing_speed_mm_s", "above 0 and at most 100000 mm/s"},
		{"contact in no time", []string{"review_hz = 250", "review_hz = 250\n¦contact_time_ms = 0"}, "limits.contact_time_ms", "from 0.1 to 1000 ms"},

		// Names.
		{"servo does not exist", []string{"servo = \"small\", mass_g = 20, channel = 0", "¦servo = \"smal\", mass_g = 20, channel = 0"}, "leg[LF].coxa.servo",
			`there is no servo "smal"; did you mean "small"?`},
		{"mirrored leg does not exist", []string{"mirrors = \"LF\"", "¦mirrors = \"Anna\""}, "leg[RF].mirrors", `there is no leg "Anna"; use "LF", "LR", "RF" or "RR"`},
		{"leg of a phase does not exist", []string{"RR = 0.25 }", "RR = 0.25, ¦XX = 0 }"}, "gait[crawl].phase.XX", "there is no leg"},
		{"leg of a track does not exist", []string{"leg = \"LF\"", "¦leg = \"middle\""}, "move[bow].foot[middle].leg", "there is no leg"},
		{"gait does not exist", []string{"gait = \"trot\"", "¦gait = \"tort\""}, "sequence[3].gait", `did you mean "trot"?`},
		{"move does not exist", []string{"move = \"bow\"", "¦move = \"curtsey\""}, "sequence[4].move", `there is no move "curtsey"; use "bow"`},
		{"mark does not exist", []string{"{ to = \"low\"", "{ ¦to = \"lower\""}, "move[bow].foot[LF].span[1].to", "there is no mark"},
		{"mark of the body does not exist", []string{"to = \"home\"\nshift", "¦to = \"away\"\nshift"}, "move[bow].body[2].to", "there is no mark"},
		{"two gaits of one name", []string{"name = \"trot\"", "¦name = \"crawl\"", "gait = \"trot\"", "gait = \"crawl\""}, "gait[crawl].name", "is the name of number 1 already"},
		{"two moves of one name", []string{"[[sequence]]\nkind = \"stand\"", "[[move]]\n¦name = \"bow\"\nmark = [{ name = \"a\", at_ms = 1 }]\n\n[[sequence]]\nkind = \"stand\""},
			"move[bow].name", "is the name of number 1 already"},
		{"two marks of one name", []string{"{ name = \"home\"", "{ ¦name = \"high\"", "to = \"home\"\nshift", "to = \"high\"\nshift", "{ to = \"home\", hold = \"ground\", end_mm = [0, 0, 0], in_mm = [0, 0, 20], even = true },\n", ""},
			"move[bow].mark[high].name", "is the name of number 2 already"},
		{"two entries of one name", []string{"kind = \"recover\"", "¦name = \"there\"\nkind = \"recover\""}, "sequence[there].name", "is the name of number 2 already"},
		{"name with a line end", []string{"name = \"walker\"", "¦name = \"wal\\nker\""}, "robot.name", "cannot be printed"},
		{"name with a space at its end", []string{"name = \"walker\"", "¦name = \"walker \""}, "robot.name", "space"},
		{"name too long", []string{"name = \"walker\"", "¦name = \"" + strings.Repeat("w", 61) + "\""}, "robot.name", "at most 60 characters"},

		// Mirrors.
		{"mirrors itself", []string{"mirrors = \"LR\"", "¦mirrors = \"RR\""}, "leg[RR].mirrors", "cannot mirror itself"},
		{"mirrors a mirrored leg", []string{"mirrors = \"LR\"", "¦mirrors = \"RF\""}, "leg[RR].mirrors", `leg "RF" mirrors "LF" itself`},
		{"mirrored twice", []string{"mirrors = \"LR\"", "¦mirrors = \"LF\""}, "leg[RR].mirrors", `mirrored by "RF" already`},

		// Servos and channels.
		{"no stall torque", []string{"stall_nm = 0.5\n", "", "[servo.small]", "¦[servo.small]"}, "servo.small.stall_kgf_cm", "stall_nm"},
		{"both stall torques", []string{"stall_nm = 0.5\n", "stall_kgf_cm = 5\n¦stall_nm = 0.5\n"}, "servo.small.stall_nm", "given twice"},
		{"channel used twice", []string{"channel = 3 }", "¦channel = 1 }"}, "leg[LR].coxa.channel", "channel 1 is used by LF femur already"},

		// Body.
		{"outline clockwise", []string{"[[80, 50], [-80, 50], [-80, -50], [80, -50]]", "[[80, 50], [80, -50], [-80, -50], [-80, 50]]", "body_outline", "¦body_outline"}, "robot.body_outline_mm", "clockwise"},
		{"outline not convex", []string{"[-80, -50], [80, -50]]", "[-80, -50], [0, 0], [80, -50]]", "body_outline", "¦body_outline"}, "robot.body_outline_mm", "not convex"},
		// A five-pointed star turns left at each corner.
		{"outline a star", []string{"[[80, 50], [-80, 50], [-80, -50], [80, -50]]", "[[100, 0], [-81, 59], [31, -95], [31, 95], [-81, -59]]", "body_outline", "¦body_outline"}, "robot.body_outline_mm", "not convex"},
		{"outline flat", []string{"[[80, 50], [-80, 50], [-80, -50], [80, -50]]", "[[80, 0], [0, 0], [-80, 0]]", "body_outline", "¦body_outline"}, "robot.body_outline_mm", "one line"},
		{"outline with a corner twice", []string{"[-80, -50], [80, -50]]", "[-80, -50], [-80, -50]]", "body_outline", "¦body_outline"}, "robot.body_outline_mm", "corners 3 and 4 are the same"},
		{"outline of two corners", []string{"[[80, 50], [-80, 50], [-80, -50], [80, -50]]", "[[80, 50], [-80, 50]]", "body_outline", "¦body_outline"}, "robot.body_outline_mm", "only 2; give at least 3"},

		// Moves.
		{"marks not ascending", []string{"{ name = \"high\", at_ms = 900 }", "{ name = \"high\", ¦at_ms = 500 }"}, "move[bow].mark[high].at_ms", "500 is not after the mark before it"},
		{"marks closer than a millisecond", []string{"{ name = \"high\", at_ms = 900 }", "{ name = \"high\", ¦at_ms = 500.5 }"}, "move[bow].mark[high].at_ms", "at least 1 ms apart"},
		{"body spans not ascending", []string{"to = \"home\"\nshift", "¦to = \"low\"\nshift"}, "move[bow].body[2].to", "list spans by time"},
		{"foot spans not ascending", []string{"{ to = \"home\", hold", "{ ¦to = \"low\", hold"}, "move[bow].foot[LF].span[3].to", `mark "low" is not after "high"`},
		{"leg in two tracks", []string{"[[sequence]]\nkind = \"stand\"", "[[move.foot]]\n¦leg = \"RF\"\nspan = [{ to = \"low\", hold = \"planted\" }]\n\n[[sequence]]\nkind = \"stand\""},
			"move[bow].foot[RF].leg", `leg "RF" has a track in this move already`},
		{"planted with an end", []string{"hold = \"planted\" }", "hold = \"planted\", ¦end_mm = [0, 0, 0] }"}, "move[bow].foot[LF].span[1].end_mm", "a planted foot stays where it is"},
		{"planted with a handle", []string{"hold = \"planted\" }", "hold = \"planted\", ¦in_mm = [0, 0, 0] }"}, "move[bow].foot[LF].span[1].in_mm", "a planted foot stays where it is"},
		{"planted with a floor", []string{"hold = \"planted\" }", "hold = \"planted\", ¦floor_mm = 5 }"}, "move[bow].foot[LF].span[1].floor_mm", "a planted foot is on the ground"},
		{"planted with a target", []string{"hold = \"planted\" }", "hold = \"planted\", ¦target_mm = 5 }"}, "move[bow].foot[LF].span[1].target_mm",
			"a planted foot strikes nothing; leave the target out, or use hold = \"ground\" or \"body\""},
		{"target too high", []string{"floor_mm = 12", "¦target_mm = 2001, floor_mm = 12"}, "move[bow].foot[LF].span[2].target_mm", "from -2000 to 2000 mm"},
		{"target below the floor", []string{"floor_mm = 12", "¦target_mm = 11.5, floor_mm = 12"}, "move[bow].foot[LF].span[2].target_mm",
			"11.5 is below floor_mm = 12: a foot kept above the floor never gets to the target; raise the target or lower the floor"},
		{"no end", []string{"{ to = \"high\", hold = \"body\", end_mm = [10, 5, 40],", "¦{ to = \"high\", hold = \"body\","}, "move[bow].foot[LF].span[2].end_mm", "missing; say where the foot goes"},
		{"unknown hold", []string{"hold = \"ground\"", "¦hold = \"floor\""}, "move[bow].foot[LF].span[3].hold", `"floor" is not known; use "planted", "ground" or "body"`},
		{"unknown timing", []string{"timing = \"ease\"", "¦timing = \"easy\""}, "move[bow].foot[LF].span[2].timing", "use linear, hold, ease"},
		{"timing past the end", []string{"0.6, 1)", "0.6, 1.5)", "timing = \"cubic", "¦timing = \"cubic"}, "move[bow].body[2].timing", "y2 is 1.5: keep it from 0 to 1"},
		{"swing that holds", []string{"swing_timing = \"linear\"", "¦swing_timing = \"hold\""}, "gait[crawl].swing_timing", "never gets to its touchdown"},
		{"no marks", []string{"[[sequence]]\nkind = \"stand\"", "[[move]]\nname = \"nod\"\n¦mark = []\n\n[[sequence]]\nkind = \"stand\""}, "move[nod].mark", "give at least 1"},
		{"phase missing", []string{"phase = { LF = 0, LR = 0.75, RF = 0.5, RR = 0.25 }", "¦phase = { LF = 0, RF = 0.5, RR = 0.25 }"}, "gait[crawl].phase", `no phase for leg "LR"`},

		// Sequence.
		{"unknown kind", []string{"kind = \"recover\"", "¦kind = \"recovr\""}, "sequence[5].kind", `use "stand", "walk"`},
		{"key of another kind", []string{"kind = \"stand\"", "kind = \"stand\"\n¦speed = 2"}, "sequence[1].speed", `a "stand" entry does not take this key`},
		{"walk without gait", []string{"[[sequence]]\nname = \"there\"", "¦[[sequence]]\nname = \"there\"", "gait = \"crawl\"\ncycles = 3", "cycles = 3"}, "sequence[there].gait", `missing; a "walk" entry needs it`},
		{"walk without cycles", []string{"[[sequence]]\nname = \"there\"", "¦[[sequence]]\nname = \"there\"", "cycles = 3\n", ""}, "sequence[there].cycles", "missing"},
		{"wait without duration", []string{"[[sequence]]\nkind = \"wait\"\nduration_ms = 250", "¦[[sequence]]\nkind = \"wait\""}, "sequence[6].duration_ms", "missing"},
		{"move without move", []string{"[[sequence]]\nkind = \"move\"\nmove = \"bow\"", "¦[[sequence]]\nkind = \"move\""}, "sequence[4].move", "missing"},
		{"change with a command", []string{"cycles = 2.5", "cycles = 2.5\n¦turn_deg_s = 5"}, "sequence[3].turn_deg_s", "does not take"},
		{"change before any walk", []string{"kind = \"stand\"", "¦kind = \"change\"\ngait = \"trot\"\ncycles = 1"}, "sequence[1].kind", "put a walk before it"},
		{"longer than ten minutes", []string{"[[sequence]]\nkind = \"stand\"", "¦[[sequence]]\nkind = \"stand\"", "cycles = 3\n", "cycles = 300\n"}, "sequence", "600 s is the most"},

		// Sizes.
		{"too many gaits", []string{"[[move]]", manyGaits(63) + "\n[[move]]", "[[gait]]\nname = \"crawl\"", "¦[[gait]]\nname = \"crawl\""}, "gait", "65 of them; 64 is the most"},
		{"too many entries", []string{"[[sequence]]\nkind = \"stand\"\n", "¦" + strings.Repeat("[[sequence]]\nkind = \"stand\"\n", 996)}, "sequence", "1001 of them; 1000 is the most"},
	}
	for _, tt := range tests {
		t.Run(tt.desc, func(t *testing.T) {
			text := edit(t, tt.edit...)
			before, _, ok := strings.Cut(text, here)
			if !ok {
				t.Fatal("no mark")
			}
			line := strings.Count(before, "\n") + 1
			col := len([]rune(before[strings.LastIndex(before, "\n")+1:])) + 1
			want := Problem{File: "bad.toml", Line: line, Col: col, Key: tt.key, Text: tt.text}
			f, err := Read("bad.toml", []byte(strings.Replace(text, here, "", 1)))
			var got Problems
			if f != nil || !errors.As(err, &got) {
				t.Fatalf("Read gave %v, %v, want %v", f, err, want)
			}
			if len(got) != 1 {
				t.Errorf("got %d problems, want 1:\n%v", len(got), err)
			}
			g := got[0]
			if g.File != want.File || g.Line != want.Line || g.Col != want.Col || g.Key != want.Key || !strings.Contains(g.Text, want.Text) {
				t.Errorf("got  %v\nwant %v", g, want)
			}
			if strings.Contains(err.Error(), "\n") || strings.HasSuffix(err.Error(), ".") {
				t.Errorf("not one line without a full stop: %q", err)
			}
		})
	}
}

func manyGaits(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "[[gait]]\nname = \"g%d\"\nperiod_ms = 1000\nduty_factor = 0.5\nstep_height_mm = 20\nphase = { LF = 0, LR = 0.5, RF = 0.5, RR = 0 }\n", i)
	}
	return b.String()
}

// Several slips at once are all named, in the order of the lines.
func TestReadCollects(t *testing.T) {
	tests := []struct {
		desc string
		edit []string
		want []string
	}{
		{"positions as counted by hand", []string{"walker", "Läufer", "stand_height_mm = 80", "stand_height_mm = -80\ncolour = 'ä'", "reversed = true }", "revers = true }"},
			[]string{
				`b.toml:10:1: robot.stand_height_mm: -80 is out of range; give a number from 1 to 2000 mm`,
				`b.toml:11:1: robot.colour: unknown key "colour"; known here are name, gravity_m_s2, body_mass_g, body_centre_mm, body_inertia_kg_mm2, payload_mass_g, payload_centre_mm, payload_size_mm, body_outline_mm, body_top_mm, body_bottom_mm, stand_height_mm`,
				`b.toml:66:24: leg[RF].femur.revers: unknown key "revers"; did you mean "reversed"?`,
			}},
		{"two legs of one name", []string{"name = \"LR\"", "name = \"LF\""},
			[]string{
				`b.toml:47:1: leg[LF].name: "LF" is the name of number 1 already; names must differ`,
				`b.toml:70:1: leg[RR].mirrors: there is no leg "LR"; use "LF", "RF" or "RR"`,
				`b.toml:77:19: gait[crawl].phase.LR: there is no leg "LR"; use "LF", "RF" or "RR"`,
				`b.toml:87:19: gait[trot].phase.LR: there is no leg "LR"; use "LF", "RF" or "RR"`,
			}},
		{"mirrors in a cycle of two", []string{base[strings.Index(base, "mount_mm = [-70"):strings.Index(base, "[[leg]]\nname = \"RF\"")], "mirrors = \"RR\"\n\n"},
			[]string{
				`b.toml:48:1: leg[LR].mirrors: "LR" and "RR" mirror each other in a cycle; give one of them measurements of its own`,
				`b.toml:59:1: leg[RR].mirrors: "RR" and "LR" mirror each other in a cycle; give one of them measurements of its own`,
			}},
		{"mirrors in a cycle of three", []string{base[strings.Index(base, "mount_mm = [-70"):strings.Index(base, "[[leg]]\nname = \"RF\"")], "mirrors = \"RF\"\n\n", "mirrors = \"LF\"", "mirrors = \"RR\"", "pair = true\n", ""},
			[]string{
				`b.toml:48:1: leg[LR].mirrors: leg "RF" mirrors "RR" itself; mirror a leg with measurements of its own`,
				`b.toml:52:1: leg[RF].mirrors: leg "RR" mirrors "LR" itself; mirror a leg with measurements of its own`,
				`b.toml:59:1: leg[RR].mirrors: leg "LR" mirrors "RF" itself; mirror a leg with measurements of its own`,
			}},
		{"pair without a mirror, and three legs", []string{base[strings.Index(base, "[[leg]]\nname = \"RF\""):strings.Index(base, "[[leg]]\nname = \"RR\"")], "",
			", RF = 0.5, RR = 0.25", ", RR = 0.25", ", RF = 0.5, RR = 0 ", ", RR = 0 "},
			[]string{
				`b.toml:30:1: leg: only 3; give at least 4`,
				`b.toml:107:1: move[bow].foot[LF].pair: leg "LF" has no leg that mirrors it; leave pair out, or give a leg mirrors = "LF"`,
			}},
		{"lists of the wrong make", []string{"[ground]\ntilt_roll_deg = 2\n", "", "[limits]\nreview_hz = 250\n", "", "format = 1\n", "format = 1\nground = [1]\nlimits = [[]]\n"},
			[]string{
				`b.toml:2:1: ground: a list where a table is wanted`,
				`b.toml:3:1: limits: a list where a table is wanted`,
			}},
	}
	for _, tt := range tests {
		t.Run(tt.desc, func(t *testing.T) {
			_, err := Read("b.toml", []byte(edit(t, tt.edit...)))
			if err == nil {
				t.Fatal("Read took it")
			}
			if got, want := err.Error(), strings.Join(tt.want, "\n"); got != want {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
		})
	}
}

// What is wrong with the file as a whole.
func TestReadRefusesFile(t *testing.T) {
	for _, tt := range []struct{ desc, src, text string }{
		{"empty", "", "the file is empty"},
		{"only space", " \r\n\t\n", "the file is empty"},
		{"only a byte order mark", "\ufeff", "the file is empty"},
		{"too large", strings.Repeat("#", MaxSize+1), "at most 1048576"},
	} {
		f, err := Read("x.toml", []byte(tt.src))
		var p Problem
		if f != nil || !errors.As(err, &p) || p.Line != 1 || p.Col != 1 || !strings.Contains(p.Text, tt.text) {
			t.Errorf("%s: got %v, %v", tt.desc, f, err)
		}
	}
}

// A hostile file neither floods the messages nor takes long.
func TestReadBoundsProblems(t *testing.T) {
	var b strings.Builder
	b.WriteString("format = 1\n")
	for i := range 1000 {
		fmt.Fprintf(&b, "x%d = 1\n", i)
	}
	b.WriteString(strings.Repeat("[[leg]]\n", 20000))
	_, err := Read("x.toml", []byte(b.String()))
	var ps Problems
	if !errors.As(err, &ps) || len(ps) != most {
		t.Errorf("got %d problems, want %d", len(ps), most)
	}
}

// A table with tens of thousands of keys would keep the TOML decoder busy for
// many seconds; it is refused before.
func TestReadRefusesCrowdedTables(t *testing.T) {
	lines := func(format string) string {
		var b strings.Builder
		for i := range 60_000 {
			fmt.Fprintf(&b, format, i)
		}
		return b.String()
	}
	for _, tt := range []struct{ desc, src, place string }{
		{"top", "format = 1\n" + lines("k%d = 1\n"), "x.toml:2001:1: more than 2000 keys"},
		{"headers", "format = 1\n" + lines("[servo.s%d]\n"), "x.toml:2002:1: servo: more than"},
		{"dotted", lines("a.b.k%d = 1\n"), "x.toml:2001:5: a.b: more than"},
		{"inline", "a = {" + strings.TrimSuffix(lines("k%d=1,"), ",") + "}\n", "a: more than"},
		{"in a list", "[[leg]]\n[[leg]]\n" + lines("k%d = 1\n"), "x.toml:2003:1: leg[2]: more than"},
		{"then broken", lines("k%d = 1\n") + "= =\n", "x.toml:2001:1: more than"},
	} {
		_, err := Read("x.toml", []byte(tt.src))
		var ps Problems
		if !errors.As(err, &ps) || len(ps) != 1 || !strings.Contains(ps.Error(), tt.place) {
			t.Errorf("%s: got %.200v, want %q", tt.desc, err, tt.place)
		}
	}
}

func TestReadAccepts(t *testing.T) {
	want := mustRead(t, base)
	for _, tt := range []struct {
		desc string
		text string
	}{
		{"byte order mark", "\ufeff" + base},
		{"CRLF", strings.ReplaceAll(base, "\n", "\r\n")},
		{"no line end", strings.TrimSuffix(base, "\n")},
		{"floats", edit(t, "body_mass_g = 900", "body_mass_g = 9.0e2", "body_centre_mm = [0, 0, 5]", "body_centre_mm = [0.0, -0.0, 5.0]")},
		{"other notations of TOML", edit(t, "body_mass_g = 900", "body_mass_g = 0x384", "[limits]\nreview_hz = 250\n", "", "format = 1\n", "format = +1\nlimits.review_hz = 2_50\n",
			"name = \"walker\"", "\"name\" = '''walker'''")},
		{"joint as a table", edit(t, "coxa = { channel = 6 }\n", "", "reversed = true, trim_deg = -3 }\n", "reversed = true, trim_deg = -3 }\n[leg.coxa]\nchannel = 6\n")},
		{"spans as tables", edit(t, "span = [\n  { to = \"low\", hold = \"planted\" },\n", "[[move.foot.span]]\nto = \"low\"\nhold = \"planted\"\n",
			"  { to = \"high\", hold = \"body\", end_mm = [10, 5, 40], out_mm = [0, 0, 20], timing = \"ease\", floor_mm = 12 },\n",
			"[[move.foot.span]]\nto = \"high\"\nhold = \"body\"\nend_mm = [10, 5, 40]\nout_mm = [0, 0, 20]\ntiming = \"ease\"\nfloor_mm = 12\n",
			"  { to = \"home\", hold = \"ground\", end_mm = [0, 0, 0], in_mm = [0, 0, 20], even = true },\n]\n",
			"[[move.foot.span]]\nto = \"home\"\nhold = \"ground\"\nend_mm = [0, 0, 0]\nin_mm = [0, 0, 20]\neven = true\n")},
	} {
		if got := mustRead(t, tt.text); !got.Equal(want) {
			t.Errorf("%s: got\n%s", tt.desc, mustEncode(t, got))
		}
	}
	// What is at the end of its interval, or a body all the same: a point, a
	// thin rod, a flat plate (common practice, and with nothing to spare).
	for _, pair := range [][2]string{
		{"[ground]\n", "[ground]\nfriction = 0\n"},
		{"[ground]", "body_inertia_kg_mm2 = [0, 0, 0, 0, 0, 0]\n\n[ground]"},
		{"[ground]", "body_inertia_kg_mm2 = [0, 7, 7, 0, 0, 0]\n\n[ground]"},
		{"[ground]", "body_inertia_kg_mm2 = [3, 4, 7, 0, 0, 0]\n\n[ground]"},
		{"[ground]", "payload_mass_g = 0.001\n\n[ground]"},
		{"stall_nm = 0.5\n", "stall_nm = 0.5\nidle_current_a = 1.038\n"},
		{"stall_nm = 0.5\n", "stall_nm = 0.5\nidle_current_a = 0\n"},
		{"stall_nm = 0.5\n", "stall_nm = 0.5\nidle_current_a = 2\nstall_current_a = 2\n"},
		{"floor_mm = 12", "target_mm = 12, floor_mm = 12"},
		{"floor_mm = 12", "target_mm = -5"},
	} {
		f := mustRead(t, edit(t, pair[0], pair[1]))
		if f.Equal(want) {
			t.Errorf("%q was not read", pair[1])
		}
		if err := mustBuild(t, f).Robot.Check(); err != nil {
			t.Errorf("%q: %v", pair[1], err)
		}
	}
	// A robot alone is a workfile: there is nothing to play yet.
	alone := mustRead(t, base[:strings.Index(base, "[[gait]]")])
	if len(alone.Gaits)+len(alone.Moves)+len(alone.Sequence) != 0 {
		t.Error("something to play came out of nothing")
	}
}

// Check says about a file in memory what Read says about its text, without
// the place.
func TestCheck(t *testing.T) {
	f := mustRead(t, base)
	if err := f.Check(); err != nil {
		t.Fatalf("Check: %v", err)
	}
	f.Moves[0].Feet[0].Spans[1].To = "gone"
	f.Robot.BodyMass = -1
	err := f.Check()
	want := `robot.body_mass_g: -1 is out of range; give a number from 1 to 100000 g
move[bow].foot[LF].span[2].to: there is no mark "gone"; use "low", "high" or "home"`
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	if _, berr := f.Build(); berr == nil || berr.Error() != want {
		t.Errorf("Build gave %v, want the same", berr)
	}
	if err := new(File).Check(); err == nil {
		t.Error("Check takes the zero File")
	}
	if _, err := new(File).Encode(); err != nil {
		t.Errorf("Encode of the zero File: %v", err)
	}
}
