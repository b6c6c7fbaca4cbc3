// SPDX-License-Identifier: MIT

package review

import "gaitwright/kin"

// Told is a finding as it is written into files: the one JSON shape of the
// command line and the tables. Names stand for indices, "" for none.
type Told struct {
	Word  string  `json:"word"`
	Level string  `json:"level"`
	Entry string  `json:"entry"`
	Leg   string  `json:"leg"`
	Joint string  `json:"joint"`
	From  float64 `json:"from_s"`
	To    float64 `json:"to_s"`
	Worst float64 `json:"worst_s"`
	Value float64 `json:"value"`
	Limit float64 `json:"limit"`
	Unit  string  `json:"unit"`
	Why   string  `json:"why"`
	Mend  string  `json:"mend"`
}

// Tell writes f with its leg's name.
func (f *Finding) Tell(leg string) Told {
	return Told{
		Word: f.Word, Level: f.Level.String(), Entry: f.Entry, Leg: leg, Joint: kin.JointName(f.Joint),
		From: f.From, To: f.To, Worst: f.Worst, Value: f.Value, Limit: f.Limit, Unit: f.Unit, Why: f.Why, Mend: f.Mend,
	}
}
