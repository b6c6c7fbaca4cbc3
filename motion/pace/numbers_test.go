// SPDX-License-Identifier: MIT

package pace_test

import (
	"math"
	"testing"

	"gaitwright/motion"
	"gaitwright/motion/pace"
)

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-12*max(1, math.Abs(a), math.Abs(b)) }

// R = v·β·T and λ = v·T, calculated from the definitions (Song and Waldron,
// Machines That Walk, 1989, ch. 2; from memory), stroke 0.06 m.
func TestRelations(t *testing.T) {
	for _, c := range []struct{ duty, period, speed, stride float64 }{
		{1. / 2, 0.8, 0.15, 0.12}, {2. / 3, 1.2, 0.075, 0.09}, {3. / 4, 1.6, 0.05, 0.08}, {5. / 6, 2.4, 0.03, 0.072},
	} {
		g := wave(3, c.duty)
		g.Period = c.period
		p, err := pace.New(even(3), 0.1, g, pace.Limits{SpeedShare: 1})
		if err != nil {
			t.Fatal(err)
		}
		n := p.Numbers(motion.Twist{Forward: -0.6 * c.speed, Side: 0.8 * c.speed})
		if !near(n.Speed, c.speed) || !near(n.Stride, c.stride) || !near(n.Stride, n.Stroke[0]/c.duty) || n.Turn != 0 {
			t.Errorf("duty %v: got=%+v, want speed %v, stride %v", c.duty, n, c.speed, c.stride)
		}
		for i, r := range n.Stroke {
			if !near(r, 0.06) {
				t.Errorf("duty %v, leg %d: stroke got=%v, want=0.06", c.duty, i, r)
			}
		}
		if !near(n.Mean, 6*c.duty) || !near(n.Hip, 0.1) {
			t.Errorf("duty %v: %v feet down in the mean, hips at %v m", c.duty, n.Mean, n.Hip)
		}
		// With the swing time fixed, v = R(1-β)/(βτ) with τ = (1-β)·T.
		if tau := g.SwingTime(0); !near(n.Speed, 0.06*(1-c.duty)/(c.duty*tau)) {
			t.Errorf("duty %v: swing time %v s", c.duty, tau)
		}
	}
}

// Each foot of a turning robot goes round the centre: its stroke is the arc.
func TestTurningStroke(t *testing.T) {
	g := wave(3, 0.75)
	p, err := pace.New(even(3), 0.1, g, pace.Limits{SpeedShare: 1})
	if err != nil {
		t.Fatal(err)
	}
	n := p.Numbers(motion.Twist{Turn: 0.1})
	want := []float64{math.Hypot(1, 0.4), 0.4, math.Hypot(1, 0.4)}
	for i, r := range n.Stroke {
		if !near(r, want[i%3]*0.1*0.75*g.Period) {
			t.Errorf("leg %d: got=%v", i, r)
		}
	}
	if n.Speed != 0 || n.Stride != 0 || n.Froude != 0 || !near(n.Turn, 0.16) {
		t.Errorf("%+v", n)
	}
}

// Speeds at which Fr = v²/(g·h) has the values at which animals change their
// gait; calculated from the definition (Alexander, Physiological Reviews 69,
// 1989; thresholds from memory), g of NIST SP 811.
func TestFroude(t *testing.T) {
	const g = 9.80665
	for _, c := range []struct{ h, run, vault, gallop float64 }{
		{0.06, 0.5424016039799292, 0.7670717046013364, 1.212846857604042},
		{0.08, 0.6263114241333939, 0.8857381102786535, 1.400474919446971},
		{0.10, 0.7002374597234855, 0.9902853124226371, 1.5657785603334846},
		{0.12, 0.7670717046013364, 1.0848032079598584, 1.7152244751052264},
		{0.90, 2.1007123791704565, 2.970855937267911, 4.697335681000454},
	} {
		for _, k := range [][2]float64{{c.run, pace.FroudeRun}, {c.vault, pace.FroudeVault}, {c.gallop, pace.FroudeGallop}} {
			if got := pace.Froude(k[0], c.h, g); !near(got, k[1]) {
				t.Errorf("h %v, v %v: got=%v, want=%v", c.h, k[0], got, k[1])
			}
		}
	}
	for _, c := range [][3]float64{{0.2, 0.1, 0.040788648519117135}, {0.7, 0.1, 0.4996609443591848}} {
		if got := pace.Froude(c[0], c[1], g); !near(got, c[2]) {
			t.Errorf("got=%v, want=%v", got, c[2])
		}
	}
	if pace.Froude(1, 0, g) != 0 || pace.Froude(1, -1, g) != 0 || pace.Froude(1, math.NaN(), g) != 0 {
		t.Error("a number without a height")
	}
}

// From the definition P/(m·g·v): 12 W for 2 kg at 0.1 m/s.
func TestTransport(t *testing.T) {
	nan := math.NaN()
	p, ok := pace.Electrical([]float64{1, 2, nan, 3}, []float64{6, 6, 6, 6})
	if !ok || p != 12 {
		t.Errorf("electrical power: got=%v %v, want=12", p, ok)
	}
	if c, ok := pace.Transport(p, 2, 9.80665, 0.1); !ok || !near(c, 12/(2*9.80665*0.1)) {
		t.Errorf("cost of transport: got=%v %v", c, ok)
	}
	// Two joints, three samples; what is braked counts like what is driven.
	m, ok := pace.Mechanical([]float64{1, -2, nan, 1, 0.5, 0}, []float64{2, 1, 1, 1, -4, 3}, 2)
	if !ok || m != (4+2)/2. {
		t.Errorf("mechanical power: got=%v %v, want=3", m, ok)
	}
	if _, ok := pace.Transport(12, 2, 9.80665, 0); ok {
		t.Error("a robot that stands has a cost of transport")
	}
	if _, ok := pace.Electrical([]float64{nan}, []float64{1}); ok {
		t.Error("a power of nothing known")
	}
	if _, ok := pace.Mechanical(nil, nil, 0); ok {
		t.Error("a power of no joints")
	}
}
