// SPDX-License-Identifier: MIT

package rehearsal

import (
	"crypto/sha256"
	"encoding/hex"
	"path/filepath"
	"strings"

	"gaitwright/motion"
	"gaitwright/motion/table"
)

// Table samples the rehearsed plan at rate (Hz) and makes the firmware tables
// of its moves. name and text are the workfile's, for the tables' comment; the
// judgement in it is that of the robot on the ground.
func (r *Rehearsal) Table(name string, text []byte, rate float64) (*table.Table, error) {
	return r.table(name, text, rate, false)
}

// WholeTable makes one table of everything that the sequence plays, walking
// included.
func (r *Rehearsal) WholeTable(name string, text []byte, rate float64) (*table.Table, error) {
	return r.table(name, text, rate, true)
}

func (r *Rehearsal) table(name string, text []byte, rate float64, whole bool) (*table.Table, error) {
	t, err := motion.NewSampler(&r.Built.Robot).Sample(r.Plan, rate, nil)
	if err != nil {
		return nil, err
	}
	sum := sha256.Sum256(text)
	base := filepath.Base(name)
	return table.Make(r.Built, t, table.Options{
		Name:     strings.TrimSuffix(base, filepath.Ext(base)),
		Workfile: base, SHA256: hex.EncodeToString(sum[:]), Findings: r.Grounded(), Whole: whole,
	})
}
