// SPDX-License-Identifier: MIT

package timeline

import (
	"slices"
	"testing"

	"gioui.org/io/pointer"

	"gaitwright/motion/workfile"
)

// A press may come before the frame that draws another rehearsal: what it hits
// may be gone.
func TestPressOnWhatIsGone(t *testing.T) {
	r := open(t, faulty(t), 1, usual)
	r.Settle()
	kinds := map[kind]bool{}
	for _, s := range slices.Clone(r.panel.spots) {
		if kinds[s.kind] || s.kind == legSpot && s.index == 0 {
			continue // one of each kind
		}
		kinds[s.kind] = true
		err := r.doc.Change("stand only", func(f *workfile.File) { f.Sequence = f.Sequence[:1] })
		if err != nil || r.doc.Result().Trajectory.Parts[0].Kind != "stand" {
			t.Fatalf("%v", err)
		}
		p := middle(s.box)
		p.Y += 38 // the canvas lies below the buttons
		r.Queue(pointer.Event{
			Kind: pointer.Press, Source: pointer.Mouse, Buttons: pointer.ButtonPrimary, Position: p,
		})
		r.Frame()
		if len(r.panel.derived.marks) > 0 || len(r.panel.derived.findings) > 0 {
			t.Fatal("there still are marks or findings")
		}
		if s.kind == legSpot && r.at.Leg != s.index {
			t.Errorf("leg %d is chosen, want %d", r.at.Leg, s.index)
		}
		r.Queue(pointer.Event{Kind: pointer.Cancel})
		r.doc.Undo()
		r.Settle()
	}
	for _, k := range []kind{legSpot, markSpot, findingSpot} {
		if !kinds[k] {
			t.Errorf("no spot of kind %d was pressed", k)
		}
	}
}
