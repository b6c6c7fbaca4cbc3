// SPDX-License-Identifier: MIT

package edit

import (
	"math"

	"gaitwright/motion/workfile"
)

// Setting is a key of [limits], [ground] or [supply]: a number that may be left
// out, for a default then.
type Setting struct {
	Table, Key string
	Group      string // for headings
	Name       string // in plain words
	Unit       string // as shown
	Decimals   int    // shown
	Step       float64
	Min, Max   float64
	Means      string   // one line
	Words      []string // of the review, which it governs; all where it is empty

	at  func(*workfile.File) **float64
	or  func(*workfile.File) *float64 // for a key that is 0 when left out
	def func(*workfile.Built) float64 // in the key's unit, NaN: none
	no  string                        // in words, where there is no default
}

// Settings lists all of them by groups. Min and Max are those of the workfile;
// what is open at an end is refused there.
func Settings() []Setting {
	all := settings()
	for i := range all {
		all[i].Min, all[i].Max, _ = workfile.Range(all[i].Table, all[i].Key)
	}
	return all
}

func settings() []Setting {
	const rad = 180 / math.Pi
	none := func(*workfile.Built) float64 { return math.NaN() }
	return []Setting{
		{Table: "limits", Key: "stability_margin_mm", Group: "Balance", Name: "stability margin", Unit: "mm", Decimals: 1, Step: 1,
			Means: "Wanted from the centre of mass to the edge of the support polygon.", Words: []string{"tips-slow"},
			at:  func(f *workfile.File) **float64 { return &f.Limits.Margin },
			def: func(b *workfile.Built) float64 { return b.Limits.Margin * 1000 }},
		{Table: "limits", Key: "dynamic_margin_mm", Group: "Balance", Name: "dynamic margin", Unit: "mm", Decimals: 1, Step: 1,
			Means: "Wanted from the zero-moment point to the edge of the support polygon.", Words: []string{"tips-fast"},
			at:  func(f *workfile.File) **float64 { return &f.Limits.Dynamic },
			def: func(b *workfile.Built) float64 { return b.Limits.Dynamic * 1000 }},
		{Table: "limits", Key: "joint_speed_share", Group: "Servos", Name: "share of the no-load speed", Decimals: 2, Step: 0.01,
			Means: "Above this share of what its servo can, a joint is a caution.", Words: []string{"joint-speed"},
			at:  func(f *workfile.File) **float64 { return &f.Limits.SpeedShare },
			def: func(b *workfile.Built) float64 { return b.Limits.SpeedShare }},
		{Table: "limits", Key: "torque_derating", Group: "Servos", Name: "share of the stall torque", Decimals: 2, Step: 0.01,
			Means: "Share of a servo's stall torque that is counted on.", Words: []string{"joint-torque", "joint-speed"},
			at:  func(f *workfile.File) **float64 { return &f.Limits.Derating },
			def: func(b *workfile.Built) float64 { return b.Limits.Derating }},
		{Table: "limits", Key: "holding_share", Group: "Servos", Name: "share held for long", Decimals: 2, Step: 0.01,
			Means: "Share of the stall torque that a servo holds for long.", Words: []string{"servo-heat"},
			at:  func(f *workfile.File) **float64 { return &f.Limits.Holding },
			def: func(b *workfile.Built) float64 { return b.Limits.Holding }},
		{Table: "limits", Key: "foot_slide_mm", Group: "Feet", Name: "slide of a foot", Unit: "mm", Decimals: 1, Step: 0.5,
			Means: "How far a foot on the ground may drift.", Words: []string{"foot-slides"},
			at:  func(f *workfile.File) **float64 { return &f.Limits.Slide },
			def: func(b *workfile.Built) float64 { return b.Limits.Slide * 1000 }},
		{Table: "limits", Key: "ground_hit_mm", Group: "Feet", Name: "depth below the ground", Unit: "mm", Decimals: 1, Step: 0.5,
			Means: "How deep a foot, a knee or the body may come and is let pass.", Words: []string{"ground-hit"},
			at:  func(f *workfile.File) **float64 { return &f.Limits.GroundHit },
			def: func(b *workfile.Built) float64 { return b.Limits.GroundHit * 1000 }},
		{Table: "limits", Key: "landing_speed_mm_s", Group: "Feet", Name: "speed of touchdown", Unit: "mm/s", Step: 10,
			Means: "Greatest speed at which a foot meets the ground or its target.", Words: []string{"hard-landing"},
			at:  func(f *workfile.File) **float64 { return &f.Limits.Landing },
			def: func(b *workfile.Built) float64 { return b.Limits.Landing * 1000 }},
		{Table: "limits", Key: "contact_time_ms", Group: "Feet", Name: "contact time", Unit: "ms", Decimals: 1, Step: 1,
			Means: "In which a foot comes to rest then; the load on the joints follows from it.", Words: []string{"hard-landing"},
			at:  func(f *workfile.File) **float64 { return &f.Limits.Contact },
			def: func(b *workfile.Built) float64 { return b.Limits.Contact * 1000 }},
		{Table: "limits", Key: "clearance_mm", Group: "Legs", Name: "clearance", Unit: "mm", Decimals: 1, Step: 1,
			Means: "Wanted between two legs, and from a leg to the body.", Words: []string{"legs-touch"},
			at:  func(f *workfile.File) **float64 { return &f.Limits.Clearance },
			def: func(b *workfile.Built) float64 { return b.Limits.Clearance * 1000 }},
		{Table: "limits", Key: "lopsided_mm", Group: "Legs", Name: "difference of a pair", Unit: "mm", Decimals: 1, Step: 0.5,
			Means: "By how much the feet of a pair that should mirror may differ.", Words: []string{"lopsided"},
			at:  func(f *workfile.File) **float64 { return &f.Limits.Lopsided },
			def: func(b *workfile.Built) float64 { return b.Limits.Lopsided * 1000 }},
		{Table: "limits", Key: "jump_speed_deg_s", Group: "Motion", Name: "jump of a joint's speed", Unit: "°/s", Decimals: 1, Step: 5,
			Means: "Sudden change of a joint's speed that is let pass.", Words: []string{"jump"},
			at:  func(f *workfile.File) **float64 { return &f.Limits.JumpSpeed },
			def: func(b *workfile.Built) float64 { return b.Limits.JumpSpeed * rad }},
		{Table: "limits", Key: "review_hz", Group: "Motion", Name: "rate of the review", Unit: "Hz", Step: 50,
			Means: "How many times a second the motion is looked at.",
			at:    func(f *workfile.File) **float64 { return &f.Limits.Rate },
			def:   func(b *workfile.Built) float64 { return b.Rate }},

		{Table: "ground", Key: "friction", Group: "Ground", Name: "friction", Decimals: 2, Step: 0.05,
			Means: "Coefficient between feet and ground.", Words: []string{"foot-slides"},
			at:  func(f *workfile.File) **float64 { return &f.Ground.Friction },
			def: func(b *workfile.Built) float64 { return b.Robot.Friction }},
		{Table: "ground", Key: "tilt_roll_deg", Group: "Ground", Name: "roll of the ground", Unit: "°", Decimals: 1, Step: 1,
			Means: "A slope to the side: positive lifts the left.", Words: slope(),
			or: func(f *workfile.File) *float64 { return &f.Ground.Roll }},
		{Table: "ground", Key: "tilt_pitch_deg", Group: "Ground", Name: "pitch of the ground", Unit: "°", Decimals: 1, Step: 1,
			Means: "A slope ahead: positive leads down, negative leads up.", Words: slope(),
			or: func(f *workfile.File) *float64 { return &f.Ground.Pitch }},

		{Table: "supply", Key: "voltage_v", Group: "Supply", Name: "voltage", Unit: "V", Decimals: 2, Step: 0.1,
			Means: "Of the supply without load. Left out, it is that of the servos' datasheets.", Words: []string{"joint-speed", "joint-torque", "supply-current"},
			at: func(f *workfile.File) **float64 { return &f.Supply.Voltage },
			def: func(b *workfile.Built) float64 {
				if v := b.Robot.Supply.Voltage; v > 0 {
					return v
				}
				return math.NaN()
			}, no: "not known"},
		{Table: "supply", Key: "current_limit_a", Group: "Supply", Name: "greatest current", Unit: "A", Decimals: 1, Step: 0.5,
			Means: "What the supply gives to all servos together.", Words: []string{"supply-current"},
			at: func(f *workfile.File) **float64 { return &f.Supply.Limit }, def: none, no: "not judged"},
		{Table: "supply", Key: "resistance_mohm", Group: "Supply", Name: "resistance", Unit: "mΩ", Step: 5,
			Means: "Of battery and leads: the voltage sags by it under load.", Words: []string{"joint-speed", "joint-torque", "supply-current"},
			at:  func(f *workfile.File) **float64 { return &f.Supply.Resistance },
			def: func(b *workfile.Built) float64 { return b.Robot.Supply.Resistance * 1000 }},
	}
}

func slope() []string { return []string{"tips-slow", "tips-fast", "foot-slides", "joint-torque"} }

// Value gives what the file says, not set where it leaves the key out.
func (s *Setting) Value(f *workfile.File) (v float64, set bool) {
	if s.or != nil {
		v = *s.or(f)
		return v, v != 0
	}
	if p := *s.at(f); p != nil {
		return *p, true
	}
	return 0, false
}

// Put writes a number.
func (s *Setting) Put(f *workfile.File, v float64) {
	if s.or != nil {
		*s.or(f) = v
		return
	}
	*s.at(f) = value(v)
}

// Clear leaves the key out, so that the default holds.
func (s *Setting) Clear(f *workfile.File) {
	if s.or != nil {
		*s.or(f) = 0
		return
	}
	*s.at(f) = nil
}

// Default gives what holds where the key is left out, from what Unset builds;
// or else the words for it.
func (s *Setting) Default(b *workfile.Built) (v float64, words string) {
	if s.or != nil {
		return 0, ""
	}
	// Converted to SI and back, a default is off by rounding.
	v = math.Round(s.def(b)*1e6) / 1e6
	if math.IsNaN(v) {
		return v, s.no
	}
	return v, ""
}

// Unset builds a file with all settings left out: where defaults come from.
func Unset(f *workfile.File) (*workfile.Built, error) {
	c := f.Clone()
	all := Settings()
	for i := range all {
		all[i].Clear(c)
	}
	return c.Build()
}
