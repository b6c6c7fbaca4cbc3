// SPDX-License-Identifier: MIT

package workfile

// Version is the format that this program writes. It reads this one and
// older ones, and refuses newer ones.
const Version = 1

// File is a workfile as it stands on disk, in people's units: what is saved
// and undone. It is plain data; Clone copies it. Keys carry their unit.
type File struct {
	Format   int              `toml:"format"`
	Robot    Robot            `toml:"robot"`
	Ground   Ground           `toml:"ground"`
	Limits   Limits           `toml:"limits"`
	Supply   Supply           `toml:"supply"`
	Servos   map[string]Servo `toml:"servo" len:"1,64"`
	Legs     []Leg            `toml:"leg" len:"4,12"`
	Gaits    []Gait           `toml:"gait,omitempty" len:"0,64"`
	Moves    []Move           `toml:"move,omitempty" len:"0,64"`
	Sequence []Entry          `toml:"sequence,omitempty" len:"0,1000"`
}

// Robot is the body and how it stands.
type Robot struct {
	Name        string       `toml:"name"`
	Gravity     *float64     `toml:"gravity_m_s2,omitempty" in:"[0.01,100]"` // 9.80665
	BodyMass    float64      `toml:"body_mass_g" in:"[1,100000]"`            // with battery and electronics, without servos
	BodyCentre  [3]float64   `toml:"body_centre_mm" in:"[-2000,2000]"`
	BodyInertia *[6]float64  `toml:"body_inertia_kg_mm2,omitempty" in:"[-1e9,1e9]"` // xx, yy, zz, xy, xz, yz about its centre; a solid box of its outline
	Payload     *float64     `toml:"payload_mass_g,omitempty" in:"[0.001,100000]"`  // what the body carries beside body_mass_g; nothing
	PayloadAt   *[3]float64  `toml:"payload_centre_mm,omitempty" in:"[-2000,2000]"` // from the body's origin
	PayloadSize *[3]float64  `toml:"payload_size_mm,omitempty" in:"[0,2000]"`       // as a solid box; a point
	Outline     [][2]float64 `toml:"body_outline_mm" in:"[-2000,2000]" len:"3,64"`  // seen from above, counter-clockwise, convex
	Top         float64      `toml:"body_top_mm" in:"[-2000,2000]"`
	Bottom      float64      `toml:"body_bottom_mm" in:"[-2000,2000]"`
	StandHeight float64      `toml:"stand_height_mm" in:"[1,2000]"` // body origin above the ground when it stands
}

// Ground is the plane that the robot stands on.
type Ground struct {
	Friction *float64 `toml:"friction,omitempty" in:"[0,10]"` // coefficient between feet and ground; 0.6
	Roll     float64  `toml:"tilt_roll_deg,omitempty" in:"[-60,60]"`
	Pitch    float64  `toml:"tilt_pitch_deg,omitempty" in:"[-60,60]"`
}

// Limits are the thresholds of the review; a key left out has its default.
type Limits struct {
	Rate       *float64 `toml:"review_hz,omitempty" in:"[20,2000]"`
	Margin     *float64 `toml:"stability_margin_mm,omitempty" in:"[0,2000]"`
	Clearance  *float64 `toml:"clearance_mm,omitempty" in:"[0,2000]"`
	SpeedShare *float64 `toml:"joint_speed_share,omitempty" in:"(0,1]"` // of no-load speed, above it a caution
	Slide      *float64 `toml:"foot_slide_mm,omitempty" in:"[0,2000]"`
	GroundHit  *float64 `toml:"ground_hit_mm,omitempty" in:"[0,2000]"`
	Lopsided   *float64 `toml:"lopsided_mm,omitempty" in:"[0,2000]"`
	JumpSpeed  *float64 `toml:"jump_speed_deg_s,omitempty" in:"(0,100000]"`
	Dynamic    *float64 `toml:"dynamic_margin_mm,omitempty" in:"[0,2000]"`
	Derating   *float64 `toml:"torque_derating,omitempty" in:"[0.01,1]"` // share of the stall torque that is counted on
	Holding    *float64 `toml:"holding_share,omitempty" in:"[0.01,1]"`   // share of the stall torque that a servo holds for long
	Landing    *float64 `toml:"landing_speed_mm_s,omitempty" in:"(0,100000]"`
	Contact    *float64 `toml:"contact_time_ms,omitempty" in:"[0.1,1000]"` // in which a foot comes to rest
}

// Supply is what feeds the servos; a key left out is not known.
type Supply struct {
	Voltage    *float64 `toml:"voltage_v,omitempty" in:"[0.1,100]"`           // without load; that of the servos' datasheets
	Limit      *float64 `toml:"current_limit_a,omitempty" in:"[0.001,10000]"` // not judged
	Resistance *float64 `toml:"resistance_mohm,omitempty" in:"[0,1000000]"`   // of battery and leads; 0
}

// Servo is a class of servo, as the datasheet gives it. Either stall torque
// key may be used, one of them must be.
type Servo struct {
	StallKgfCm *float64 `toml:"stall_kgf_cm,omitempty" in:"[0.01,1000]"`
	StallNm    *float64 `toml:"stall_nm,omitempty" in:"[0.001,100]"`
	Speed      float64  `toml:"speed_s_per_60deg" in:"[0.01,10]"`
	Voltage    float64  `toml:"voltage_v" in:"[0.1,100]"`
	Mass       float64  `toml:"mass_g" in:"[0,100000]"`
	StallA     *float64 `toml:"stall_current_a,omitempty" in:"[0.001,1000]"` // stall torque x no-load speed / (voltage x gear efficiency)
	IdleA      *float64 `toml:"idle_current_a,omitempty" in:"[0,1000]"`      // 5 % of the stall current
	Efficiency *float64 `toml:"gear_efficiency,omitempty" in:"[0.01,1]"`     // 0.7
}

// Leg is one leg. A leg with Mirrors set takes every key that it leaves out
// from that leg, mirrored; then only its name and channels are needed.
type Leg struct {
	Name        string      `toml:"name"`
	Mirrors     string      `toml:"mirrors,omitempty"`
	Mount       *[3]float64 `toml:"mount_mm,omitempty" in:"[-2000,2000]"`
	Heading     *float64    `toml:"heading_deg,omitempty" in:"[-360,360]"`
	CoxaLength  *float64    `toml:"coxa_mm,omitempty" in:"[0,2000]"`
	FemurLength *float64    `toml:"femur_mm,omitempty" in:"[1,2000]"`
	TibiaLength *float64    `toml:"tibia_mm,omitempty" in:"[1,2000]"`
	Lateral     *float64    `toml:"lateral_mm,omitempty" in:"[-2000,2000]"`     // 0
	Vertical    *float64    `toml:"vertical_mm,omitempty" in:"[-2000,2000]"`    // 0
	TibiaOffset *float64    `toml:"tibia_offset_deg,omitempty" in:"[-180,180]"` // 0
	FootRadius  *float64    `toml:"foot_radius_mm,omitempty" in:"[0.1,2000]"`
	LinkRadius  *float64    `toml:"link_radius_mm,omitempty" in:"[0.1,2000]"`
	Knee        string      `toml:"knee,omitempty" one:"up down"`         // "up" (default) or "down"
	Stand       *[2]float64 `toml:"stand_mm,omitempty" in:"[-2000,2000]"` // where the foot stands, from the body origin, x and y
	Coxa        Joint       `toml:"coxa,omitempty,inline"`
	Femur       Joint       `toml:"femur,omitempty,inline"`
	Tibia       Joint       `toml:"tibia,omitempty,inline"`
}

// Joint is a joint with its servo, its output channel, and the link that it
// moves.
type Joint struct {
	Range    *[2]float64 `toml:"range_deg,omitempty" in:"[-180,180]"`
	Servo    string      `toml:"servo,omitempty"`
	Mass     *float64    `toml:"mass_g,omitempty" in:"[0.001,100000]"`     // of the link, without servos
	Centre   *[3]float64 `toml:"centre_mm,omitempty" in:"[-2000,2000]"`    // in the link's frame; halfway along when left out
	Inertia  *[6]float64 `toml:"inertia_kg_mm2,omitempty" in:"[-1e9,1e9]"` // xx, yy, zz, xy, xz, yz about its centre, in the link's frame; a solid rod
	Channel  *int        `toml:"channel,omitempty" in:"[0,1023]"`
	CentreUs *float64    `toml:"centre_us,omitempty" in:"[1,20000]"`     // pulse width at servo angle 0; 1500; mirrored about 1500 where the mirror asks for it
	PerDeg   *float64    `toml:"us_per_deg,omitempty" in:"[0.1,1000]"`   // 10
	RangeUs  *[2]float64 `toml:"range_us,omitempty" in:"[1,20000]"`      // least and greatest pulse width; 500 to 2500
	Reversed *bool       `toml:"reversed,omitempty"`                     // servo turns the other way; not mirrored
	Trim     *float64    `toml:"trim_deg,omitempty" in:"[-180,180]"`     // added to the servo angle; not mirrored
	AtDeg    *[2]float64 `toml:"measured_deg,omitempty" in:"[-180,180]"` // two joint angles at which measured_us was measured, in place of centre, us_per_deg, reversed and trim; not mirrored
	AtUs     *[2]float64 `toml:"measured_us,omitempty" in:"[1,20000]"`   // pulse widths there
	DeadBand *float64    `toml:"dead_band_us,omitempty" in:"[0,1000]"`   // change of the pulse that the servo does not answer; not known
}

// Gait is a way of walking.
type Gait struct {
	Name       string             `toml:"name"`
	Period     float64            `toml:"period_ms" in:"[10,60000]"`
	Duty       float64            `toml:"duty_factor" in:"(0,1)"`
	Duties     map[string]float64 `toml:"duty_factors,omitempty,inline" in:"(0,1)" len:"0,12"` // of legs with one of their own; duty_factor
	StepHeight float64            `toml:"step_height_mm" in:"[0.1,2000]"`
	Phase      map[string]float64 `toml:"phase,inline" in:"[0,1)" len:"0,12"` // touch-down lag of each leg, share of the period, [0,1)
	Sway       float64            `toml:"sway_mm,omitempty" in:"[0,2000]"`
	Swing      *[4]float64        `toml:"swing_handles,omitempty" in:"[-5,5]"` // along and up of the lift-off handle, then of the touchdown handle; [0, 1, 1, 1]
	Timing     string             `toml:"swing_timing,omitempty"`              // ease-in-out
	EarlyLift  float64            `toml:"early_lift,omitempty" in:"[0,0.5]"`   // share of the swing in which the foot rises before it travels
	LateTouch  float64            `toml:"late_touch,omitempty" in:"[0,0.5]"`   // share of the swing in which it comes straight down at the end
}

// Move is a scripted motion: marks in time and tracks that end on them.
type Move struct {
	Name     string      `toml:"name"`
	CoolDown float64     `toml:"cool_down_ms,omitempty" in:"[0,600000]"`
	Mirrored bool        `toml:"mirrored,omitempty"` // all pairs of legs are meant to mirror
	Marks    []Mark      `toml:"mark,inline,multiline" len:"1,1000"`
	Body     []BodySpan  `toml:"body,omitempty" len:"0,1000"`
	Feet     []FootTrack `toml:"foot,omitempty" len:"0,12"`
}

// Mark is a named instant of a move. The first span begins at 0.
type Mark struct {
	Name string  `toml:"name"`
	At   float64 `toml:"at_ms" in:"[1,600000]"`
}

// BodySpan moves the body to an offset from its stand pose.
type BodySpan struct {
	To       string      `toml:"to"` // mark on which it ends
	Shift    [3]float64  `toml:"shift_mm" in:"[-2000,2000]"`
	Lean     [3]float64  `toml:"lean_deg" in:"[-180,180]"`                 // roll, pitch, yaw
	ShiftOut *[3]float64 `toml:"shift_out_mm,omitempty" in:"[-2000,2000]"` // handle at the start, from the start
	ShiftIn  *[3]float64 `toml:"shift_in_mm,omitempty" in:"[-2000,2000]"`  // handle at the end, from the end
	LeanOut  *[3]float64 `toml:"lean_out_deg,omitempty" in:"[-180,180]"`
	LeanIn   *[3]float64 `toml:"lean_in_deg,omitempty" in:"[-180,180]"`
	Timing   string      `toml:"timing,omitempty"` // ease-in-out
	Even     bool        `toml:"even,omitempty"`   // progress by arc length of the shift
}

// FootTrack is the chain of spans of one foot, or of a leg and its mirror.
type FootTrack struct {
	Leg   string     `toml:"leg"`
	Pair  bool       `toml:"pair,omitempty"`
	Spans []FootSpan `toml:"span,inline,multiline" len:"1,1000"`
}

// FootSpan is one piece of a foot track. End and handles are measured from
// the leg's own standing point: x forward, y left (right for the mirrored
// leg), z up.
type FootSpan struct {
	To     string      `toml:"to"`
	Hold   string      `toml:"hold" one:"planted ground body"`        // "planted", "ground" or "body"
	End    *[3]float64 `toml:"end_mm,omitempty" in:"[-2000,2000]"`    // not for planted
	Out    *[3]float64 `toml:"out_mm,omitempty" in:"[-2000,2000]"`    // handle at the start, from the start
	In     *[3]float64 `toml:"in_mm,omitempty" in:"[-2000,2000]"`     // handle at the end, from the end
	Timing string      `toml:"timing,omitempty"`                      // ease-in-out
	Even   bool        `toml:"even,omitempty"`                        // progress by arc length
	Target *float64    `toml:"target_mm,omitempty" in:"[-2000,2000]"` // height over the ground of what the foot strikes, not below floor_mm; not for planted
	Floor  *float64    `toml:"floor_mm,omitempty" in:"[-2000,2000]"`  // while the span runs, the foot's underside stays this high over the ground; not for planted
}

// Entry is one entry of the sequence. Which keys it takes depends on Kind.
type Entry struct {
	Name     string   `toml:"name,omitempty"`
	Kind     string   `toml:"kind" one:"stand walk change move recover wait"` // stand, walk, change, move, recover, wait
	Duration *float64 `toml:"duration_ms,omitempty" in:"[1,600000]"`          // stand, wait
	Gait     string   `toml:"gait,omitempty"`                                 // walk, change, recover
	Cycles   *float64 `toml:"cycles,omitempty" in:"(0,10000]"`                // walk, change
	Forward  *float64 `toml:"forward_mm_s,omitempty" in:"[-2000,2000]"`       // walk
	Side     *float64 `toml:"side_mm_s,omitempty" in:"[-2000,2000]"`          // walk, to the left
	Turn     *float64 `toml:"turn_deg_s,omitempty" in:"[-720,720]"`           // walk, counter-clockwise
	Move     string   `toml:"move,omitempty"`                                 // move
	Speed    *float64 `toml:"speed,omitempty" in:"[0.01,10]"`                 // move, 1 as drawn
}
