// SPDX-License-Identifier: MIT

//go:build !headless

package robotlink_test

import (
	"flag"
	"fmt"
	"image"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"gioui.org/layout"

	"gaitwright/app/document"
	"gaitwright/app/drive"
	"gaitwright/app/look"
	"gaitwright/app/robotlink"
	"gaitwright/app/snapshot"
	"gaitwright/assets"
	"gaitwright/kin"
)

var update = drive.UpdateFlag(flag.CommandLine)

// TestPictures draws the page with a log, and without one.
func TestPictures(t *testing.T) {
	for _, c := range []struct {
		name      string
		dark, log bool
		scale     float32
	}{{"log-dark", true, true, 1}, {"log-light", false, true, 1}, {"log-dark-2x", true, true, 2}, {"closed-light", false, false, 1}} {
		t.Run(c.name, func(t *testing.T) {
			d, err := document.Open("", "demo", assets.Walker)
			if err != nil {
				t.Fatal(err)
			}
			at := document.Place{Finding: -1}
			th := look.New(c.dark)
			p := robotlink.Panel{OpenLog: func() {}, SaveLog: func() {}, Ports: robotlink.Ports{List: func() ([]string, error) { return []string{"bench"}, nil }}}
			if c.log {
				p.Take("second try.csv", tried(d), d)
			}
			r := drive.For(t, drive.NewScaled(image.Pt(int(470*c.scale), int(880*c.scale)), c.scale, func(gtx layout.Context) layout.Dimensions {
				p.Update(gtx, d, &at)
				return p.Layout(gtx, th, d, &at)
			}))
			r.Settle()
			img, err := snapshot.Draw(r.Size, r.Ops())
			if err != nil {
				t.Fatal(err)
			}
			drive.Golden(t, filepath.Join("testdata", c.name+".png"), img, *update)
		})
	}
}

// tried is the log of a robot that is late with its right feet, misses a step,
// and whose joints lag.
func tried(d *document.Document) []byte {
	var b strings.Builder
	m, legs := d.Result().Trajectory, d.Result().Built.Robot.Legs
	b.WriteString("motion_s,X9_down")
	for i := range legs {
		fmt.Fprintf(&b, ",%s_down", legs[i].Name)
		for j := range kin.Joints {
			fmt.Fprintf(&b, ",%s_%s_deg", legs[i].Name, kin.JointName(j))
		}
	}
	b.WriteString("\n")
	for s := 0.3; s < m.Duration(); s += 0.02 {
		fmt.Fprintf(&b, "%.3f,1", s)
		for i := range legs {
			down := m.Planted[m.Index(s-0.01*float64(i))*m.Legs+i] && !(i == 1 && s < 1.5)
			fmt.Fprintf(&b, ",%d", map[bool]int{true: 1}[down])
			for j := range kin.Joints {
				fmt.Fprintf(&b, ",%.2f", m.JointsAt(m.Index(s-0.03-0.01*float64(j)), i)[j]*180/math.Pi+float64(i)/2)
			}
		}
		b.WriteString("\n")
	}
	return []byte(b.String())
}
