// SPDX-License-Identifier: MIT

package rehearsal_test

import (
	"io/fs"
	"math"
	"path"
	"slices"
	"strings"
	"testing"

	"gaitwright/assets"
	"gaitwright/kin/mass"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
	"gaitwright/motion/workfile"
)

func mustRead(t testing.TB, name string, src []byte) *workfile.File {
	t.Helper()
	f, err := workfile.Read(name, src)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func mustRun(t testing.TB, f *workfile.File, o rehearsal.Options) *rehearsal.Rehearsal {
	t.Helper()
	r, err := rehearsal.Run(f, o)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// edited puts text in place of another one that must be there.
func edited(t testing.TB, src []byte, old, text string) []byte {
	t.Helper()
	if !strings.Contains(string(src), old) {
		t.Fatalf("no %q in the file", old)
	}
	return []byte(strings.ReplaceAll(string(src), old, text))
}

func words(found []review.Finding) (w []string) {
	for _, f := range found {
		w = append(w, f.Word)
	}
	slices.Sort(w)
	return slices.Compact(w)
}

// The demos have no finding, at other rates neither, and would have none if
// everything were asked to be a good deal better.
func TestDemosAreCleanWithRoomToSpare(t *testing.T) {
	for _, d := range []struct {
		name string
		src  []byte
	}{{"drummer", assets.Demo}, {"walker", assets.Walker}} {
		f := mustRead(t, d.name, d.src)
		for _, rate := range []float64{0, 200, 333, 1000} {
			for _, x := range mustRun(t, f, rehearsal.Options{Rate: rate}).Findings {
				t.Errorf("%s at %v Hz: %+v", d.name, rate, x)
			}
		}
		r := mustRun(t, f, rehearsal.Options{})
		l := r.Built.Limits
		l.Margin += 0.005
		l.Clearance += 0.012
		l.SpeedShare = 0.78
		l.JumpSpeed /= 10
		for n := range r.Built.Robot.Legs {
			for j := range r.Built.Robot.Legs[n].Limits {
				lim := &r.Built.Robot.Legs[n].Limits[j]
				lim.Lo += 8 * math.Pi / 180
				lim.Hi -= 8 * math.Pi / 180
			}
		}
		for _, x := range review.Run(&r.Built.Robot, r.Trajectory, r.Loads, l) {
			t.Errorf("%s has too little to spare: %+v", d.name, x)
		}
		for k, m := range r.Trajectory.Reach {
			if m < 0.03 {
				t.Errorf("%s: only %v m of reach left in row %d", d.name, m, k)
				break
			}
		}
	}
}

func TestDrummerIsWhatItClaims(t *testing.T) {
	r := mustRun(t, mustRead(t, "drummer", assets.Demo), rehearsal.Options{})
	if m := mass.Lump(&r.Built.Robot).Total; math.Abs(m-2.5) > 0.1 {
		t.Errorf("mass %v kg", m)
	}
	tr := r.Trajectory
	if d := tr.Duration(); d < 12 || d > 15 {
		t.Errorf("%v s long", d)
	}
	// Both front feet go up to 130 mm and hit at 60 mm together.
	lf, rf := r.Built.Robot.LegIndex("LF"), r.Built.Robot.LegIndex("RF")
	at := map[string]float64{}
	for _, m := range tr.Marks {
		at[m.Name] = m.At
	}
	for name, z := range map[string]float64{"raised": 0.130, "hit": 0.060, "second hit": 0.060} {
		s, ok := at[name]
		if !ok {
			t.Fatalf("no mark %s", name)
		}
		for _, leg := range []int{lf, rf} {
			h := tr.FootAt(tr.Index(s), leg).Z - r.Built.Robot.Legs[leg].FootRadius
			if math.Abs(h-z) > 0.0005 {
				t.Errorf("%s: underside at %v m, want %v m", name, h, z)
			}
		}
	}
}

func TestDrummerFindings(t *testing.T) {
	for _, c := range []struct {
		what      string
		old, text string
		want      []string
	}{
		{"hits dragged 8 mm down", "end_mm = [66, -70, 60]", "end_mm = [66, -70, 52]", []string{"hard-landing", "low-strike"}},
		{"weight hardly shifted back", "shift_mm = [-45, 0,", "shift_mm = [-5, 0,", []string{"tips-slow"}},
		{"strike in a third of the time", "speed = 1\n", "speed = 3\n", []string{"foot-slides", "hard-landing", "joint-speed", "tips-fast"}},
	} {
		f := mustRead(t, "drummer", edited(t, assets.Demo, c.old, c.text))
		if got := words(mustRun(t, f, rehearsal.Options{}).Findings); !slices.Equal(got, c.want) {
			t.Errorf("%s: got=%v, want=%v", c.what, got, c.want)
		}
	}
}

// mends is the edit that each faulty file's first lines tell.
func mends() map[string][2]string {
	return map[string][2]string{
		"out-of-reach":   {"end_mm = [90, 60, 40]", "end_mm = [25, 15, 40]"},
		"joint-limit":    {"end_mm = [-115, 20, 30]", "end_mm = [-75, 25, 30]"},
		"pulse-range":    {"centre_us = 1850", "centre_us = 1500"},
		"joint-speed":    {"at_ms = 790", "at_ms = 1300"},
		"tips-fast":      {"at_ms = 1420", "at_ms = 1900"},
		"joint-torque":   {"stall_kgf_cm = 2.4", "stall_kgf_cm = 20"},
		"servo-heat":     {"stall_kgf_cm = 2.6", "stall_kgf_cm = 20"},
		"supply-current": {"current_limit_a = 1.2", "current_limit_a = 6"},
		"hard-landing":   {"at_ms = 1480", "at_ms = 1900"},
		"tips-slow":      {"shift_mm = [8, 8, 0]", "shift_mm = [-25, -25, 0]"},
		"airborne":       {"phase = { LF = 0, LR = 0, RF = 0, RR = 0 }", "phase = { LF = 0, LR = 0.75, RF = 0.5, RR = 0.25 }"},
		"foot-slides":    {"end_mm = [30, 0, 0]", "end_mm = [30, 0, 0], out_mm = [0, 0, 30], in_mm = [0, 0, 30]"},
		"ground-hit":     {"shift_mm = [0, 0, -56]", "shift_mm = [0, 0, -40]"},
		"low-strike":     {"end_mm = [20, 0, 35]", "end_mm = [20, 0, 40]"},
		"legs-touch":     {"end_mm = [-18, -18, 58]", "end_mm = [0, 0, 45]"},
		"lopsided":       {"shift_mm = [10, 8, -15]", "shift_mm = [10, 0, -15]"},
		"jump":           {`timing = "linear"`, `timing = "ease-in-out"`},
	}
}

// follows lists the words that another one brings with it. A leg that is
// drawn out to its full stretch passes a singular pose: the speed of its
// joints grows without bound there.
func follows() map[string][]string {
	return map[string][]string{"out-of-reach": {"joint-speed"}}
}

func TestEachFaultyFileNamesItsWordAndCanBeMended(t *testing.T) {
	files, err := fs.Glob(assets.Faults, "faults/*.toml")
	if err != nil {
		t.Fatal(err)
	}
	var have []string
	for _, name := range files {
		have = append(have, strings.TrimSuffix(path.Base(name), ".toml"))
	}
	want := review.Words()
	slices.Sort(want)
	if !slices.Equal(have, want) {
		t.Fatalf("faulty files for %v, want one for each of %v", have, want)
	}
	for _, word := range have {
		t.Run(word, func(t *testing.T) {
			src, err := fs.ReadFile(assets.Faults, "faults/"+word+".toml")
			if err != nil {
				t.Fatal(err)
			}
			// The words that it may say, and its own must be among them.
			for _, rate := range []float64{0, 1000} {
				got := words(mustRun(t, mustRead(t, word, src), rehearsal.Options{Rate: rate}).Findings)
				if !slices.Contains(got, word) {
					t.Errorf("at %v Hz it says %v", rate, got)
				}
				for _, w := range got {
					if w != word && !slices.Contains(follows()[word], w) {
						t.Errorf("at %v Hz it also says %s", rate, w)
					}
				}
			}
			// The comment tells the mend.
			mend := mends()[word]
			head, _, _ := strings.Cut(string(src), "\nformat")
			told := strings.Join(strings.Fields(strings.ReplaceAll(head, "\n#", " ")), " ")
			if first, _, more := strings.Cut(mend[1], ", out_mm"); !strings.HasPrefix(head, "# ") || !more && !strings.Contains(told, first) {
				t.Errorf("the comment does not tell %q: %s", mend[1], told)
			}
			f := mustRead(t, word, edited(t, src, mend[0], mend[1]))
			for _, x := range mustRun(t, f, rehearsal.Options{}).Findings {
				t.Errorf("mended, but: %+v", x)
			}
		})
	}
}

// On a stand nothing is said of the ground.
func TestOnStand(t *testing.T) {
	for _, word := range []string{"tips-slow", "airborne", "foot-slides", "ground-hit"} {
		src, err := fs.ReadFile(assets.Faults, "faults/"+word+".toml")
		if err != nil {
			t.Fatal(err)
		}
		if got := words(mustRun(t, mustRead(t, word, src), rehearsal.Options{OnStand: true}).Findings); len(got) > 0 {
			t.Errorf("%s on a stand: %v", word, got)
		}
	}
}

func TestErrors(t *testing.T) {
	f := mustRead(t, "drummer", assets.Demo)
	if _, err := rehearsal.Run(f, rehearsal.Options{Rate: 1e9}); err == nil {
		t.Error("a rate of 1 GHz passes")
	}
	if _, err := rehearsal.Run(f, rehearsal.Options{Rate: -1}); err == nil {
		t.Error("a negative rate passes")
	}
	f.Legs[0].Name = ""
	if _, err := rehearsal.Run(f, rehearsal.Options{}); err == nil {
		t.Error("a leg without a name passes")
	}
}

// Arrays that are taken over give the same numbers.
func TestReuse(t *testing.T) {
	drummer, walker := mustRead(t, "drummer", assets.Demo), mustRead(t, "walker", assets.Walker)
	other := mustRun(t, walker, rehearsal.Options{})
	a := mustRun(t, drummer, rehearsal.Options{}).Trajectory
	b := mustRun(t, drummer, rehearsal.Options{Before: other, Consume: true}).Trajectory
	if !slices.Equal(a.Q, b.Q) || !slices.Equal(a.V, b.V) || !slices.Equal(a.COM, b.COM) || !slices.Equal(a.Margin, b.Margin) {
		t.Error("reused arrays differ")
	}
}
