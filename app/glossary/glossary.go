// SPDX-License-Identifier: MIT

// Package glossary says in one sentence what the trade's words mean, with the
// source of each. Hints and the search of the window read it.
package glossary

import "strings"

// Term is a word of the trade.
type Term struct {
	Word   string
	More   string // other words for it
	Means  string // a sentence without the word, capital letter and full stop to be added
	Source string // of the meaning; "common usage" where there is no one source
}

// Sources that several terms share.
const (
	siciliano = "Siciliano and Khatib (editors), Springer Handbook of Robotics, chapter on legged robots"
	common    = "common usage"
	word      = "this program's word"
)

// Terms gives all terms, in alphabetical order. The sources are cited from
// memory.
func Terms() []Term {
	return []Term{
		{"centre of mass", "centre of gravity", "the point at which the whole mass of the robot can be thought to be", "ISO 80000-4 (centre of mass)"},
		{"clearance", "", "the distance kept between parts that are not to touch", common},
		{"cost of transport", "", "the energy used over weight times distance: how dear a metre is, whatever the robot's size", "Gabrielli and von Kármán, 1950, as the specific tractive force; common usage since"},
		{"coxa", "hip joint", "the first link of a leg, from the body; its joint swings the leg to the front and the back", "insect anatomy; common usage for legged robots"},
		{"cycle", "", "one round of a gait, in which each leg steps once", common},
		{"derating", "", "counting on only a share of what a datasheet promises", common},
		{"duty factor", "", "the share of the cycle in which the foot stands", "Alexander, Principles of Animal Locomotion, Princeton 2003"},
		{"dynamic margin", "", "the distance from the zero-moment point to the edge of the support polygon", siciliano},
		{"early lift", "", "the share of a swing in which the foot only rises, before it travels", word},
		{"energy margin", "energy stability margin", "the work per weight that tips the robot over its edge: by how much the centre of mass would have to rise", "Messuri and Klein, IEEE Journal of Robotics and Automation RA-1(3), 1985"},
		{"femur", "thigh", "the second link of a leg, between coxa and tibia; its joint raises the knee", "insect anatomy; common usage for legged robots"},
		{"foot slide", "slip", "the drift of a foot that is meant to stand still", common},
		{"footfall", "", "the instant at which a foot comes down, and the place", common},
		{"friction coefficient", "", "the greatest sideways force that feet hold, as a share of the force that presses them down", "Coulomb's law of friction"},
		{"Froude number", "", "speed squared over gravity times leg length: walks with the same number are alike, whatever the size", "Alexander, Principles of Animal Locomotion, Princeton 2003"},
		{"gait", "", "a repeated pattern in which the legs step", common},
		{"gait diagram", "", "a row for each leg over time that shows when the foot stands", "Hildebrand, Science 150, 1965"},
		{"late touch", "", "the share of a swing in which the foot only comes down, at its end", word},
		{"lift-off", "", "the instant at which a foot leaves the ground", common},
		{"longitudinal margin", "longitudinal stability margin", "how far the centre of mass lies inside the support polygon along the way of travel: to its front or its rear edge, whichever is nearer", "McGhee and Frank, Mathematical Biosciences 3, 1968"},
		{"mean duty", "mean duty factor", "the mean of the legs' duty factors: which share of the feet stand, taken over the cycle", common},
		{"no-load speed", "", "how fast a servo turns with nothing to move", common},
		{"period", "", "the time of one whole cycle of a gait, in which each leg steps once", common},
		{"phase", "phase offset", "when in the cycle a leg's foot comes down, as a share of the period", "McGhee, Mathematical Biosciences 2, 1968"},
		{"pitch", "", "turning about the axis to the left: nose down is positive", "ISO 8855"},
		{"pulse width", "", "the length of the pulse that tells a hobby servo where to go, in µs", common},
		{"reach", "workspace", "where a foot can get to with its leg's lengths and joint ranges", common},
		{"roll", "", "turning about the axis to the front: the left side up is positive", "ISO 8855"},
		{"root mean square", "", "the square root of the mean of squares; what heats a motor goes with it", common},
		{"span", "", "a piece of a foot's or the body's path, from one mark to another: a shape in space and a timing", word},
		{"stability margin", "static stability margin", "the shortest distance from the centre of mass, seen from above, to the edge of the support polygon", "McGhee and Frank, Mathematical Biosciences 3, 1968"},
		{"stall torque", "", "the torque at which a servo stops turning", common},
		{"stance", "", "the part of the cycle in which the foot stands on the ground and carries", common},
		{"step height", "", "how high a foot is lifted in its swing", common},
		{"step-down reserve", "step-down", "how far below the ground, over the place where it is, a foot could still reach: a hole no deeper than that costs no contact", word},
		{"stride", "stride length", "the way that the body goes in one whole cycle of the gait", "Alexander, Principles of Animal Locomotion, Princeton 2003"},
		{"stroke", "leg stroke", "the way that a foot goes, seen from the body, while it stands", "Song and Waldron, Machines That Walk, MIT Press 1989"},
		{"support polygon", "support area", "the convex outline of the feet that stand: while the robot is still, its centre of mass must lie above it", "McGhee and Frank, Mathematical Biosciences 3, 1968"},
		{"sway", "", "a sideways movement of the body in time with the steps", common},
		{"swing", "", "the part of the cycle in which the foot is in the air", common},
		{"tibia", "shank", "the third link of a leg, from the knee to the foot", "insect anatomy; common usage for legged robots"},
		{"timing", "timing curve", "how far along its path a foot is, over the time of the span", word},
		{"touchdown", "", "the instant at which a foot meets the ground", common},
		{"trim", "", "an angle added to a servo so that its joint stands where the drawing has it", common},
		{"yaw", "", "turning about the upright axis: to the left is positive", "ISO 8855"},
		{"zero-moment point", "ZMP, centre of pressure", "the point on the ground about which the ground's forces have no tipping moment; inside the support polygon nothing tips", "Vukobratović and Borovac, International Journal of Humanoid Robotics 1(1), 2004"},
	}
}

// Find gives the term with the word, in any case of letters, also under its
// other words and in the plural.
func Find(word string) (Term, bool) {
	word = strings.ToLower(strings.TrimSpace(word))
	for _, s := range []string{word, strings.TrimSuffix(word, "s")} {
		for _, t := range Terms() {
			if strings.ToLower(t.Word) == s {
				return t, true
			}
			for _, m := range strings.Split(t.More, ", ") {
				if m != "" && strings.ToLower(m) == s {
					return t, true
				}
			}
		}
	}
	return Term{}, false
}

// Sentence gives "Duty factor: the share of …."
func (t Term) Sentence() string {
	return strings.ToUpper(t.Word[:1]) + t.Word[1:] + ": " + t.Means + "."
}

// Hint gives the sentence of a word, or "" for one that is not a term.
func Hint(word string) string {
	if t, ok := Find(word); ok {
		return t.Sentence()
	}
	return ""
}
