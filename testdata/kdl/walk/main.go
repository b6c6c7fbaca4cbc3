// SPDX-License-Identifier: MIT

// Command walk times the first 10 s of the demo at 1 kHz, sampled, loaded and
// reviewed, and writes its leg poses for walk_kdl to the file it is told. It
// prints the seconds of the fastest of some runs.
package main

import (
	"bufio"
	"fmt"
	"log"
	"os"
	"runtime"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"gaitwright/assets"
	"gaitwright/kin"
	"gaitwright/kin/mass"
	"gaitwright/motion"
	"gaitwright/motion/load"
	"gaitwright/motion/rehearsal"
	"gaitwright/motion/review"
	"gaitwright/motion/workfile"
)

const (
	seconds = 10
	rate    = 1000 // Hz
	runs    = 7
)

func main() {
	log.SetFlags(0)
	if len(os.Args) != 2 {
		log.Fatal("usage: walk FILE")
	}
	if err := run(os.Args[1]); err != nil {
		log.Fatal(err)
	}
}

func run(name string) error {
	runtime.GOMAXPROCS(1) // one core, the collector of garbage included
	f, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		return err
	}
	r, err := rehearsal.Run(f, rehearsal.Options{Rate: 100})
	if err != nil {
		return err
	}
	r.Plan.Duration = seconds
	robot, limits := &r.Built.Robot, r.Built.Limits
	s, e := motion.NewSampler(robot), load.New(robot)
	var t *motion.Trajectory
	var l *load.Loads
	best := time.Hour
	for range runs {
		from := time.Now()
		if t, err = s.Sample(r.Plan, rate, t); err != nil {
			return err
		}
		l = e.Run(t, load.Options{Contact: limits.Contact, Reuse: l})
		if found := review.Run(robot, t, l, limits); len(found) > 0 {
			return fmt.Errorf("walk: the demo is not clean: %+v", found[0])
		}
		best = min(best, time.Since(from))
	}
	if err := write(name, robot, t); err != nil {
		return err
	}
	fmt.Println(best.Seconds())
	return nil
}

// write tells the legs (a line each: name of the format and its measures, then
// the three links) and the poses, one a line: leg, foot in the hip's frame,
// angles, speeds and accelerations.
func write(name string, robot *kin.Robot, t *motion.Trajectory) error {
	out, err := os.Create(name)
	if err != nil {
		return err
	}
	w := bufio.NewWriter(out)
	links := mass.Lump(robot).Legs
	fmt.Fprintln(w, len(robot.Legs), t.N, robot.Gravity)
	for i := range robot.Legs {
		l := &robot.Legs[i]
		fmt.Fprint(w, l.Length[0], " ", l.Length[1], " ", l.Length[2], " ", l.Lateral, " ", l.Vertical)
		for _, k := range links[i] {
			m := k.Inertia
			fmt.Fprint(w, " ", k.Mass, " ", k.COM.X, " ", k.COM.Y, " ", k.COM.Z, " ", m.XX, " ", m.YY, " ", m.ZZ, " ", m.XY, " ", m.XZ, " ", m.YZ)
		}
		fmt.Fprintln(w)
	}
	row := func(v []float64) {
		for _, x := range v {
			fmt.Fprint(w, " ", x)
		}
	}
	for k := range t.N {
		for i := range t.Legs {
			x := robot.Legs[i].XBH()
			o := k*t.Legs + i
			p := x.Into(r3.Vec{X: t.Points[o*9+6], Y: t.Points[o*9+7], Z: t.Points[o*9+8]})
			row([]float64{p.X, p.Y, p.Z})
			row(t.Q[3*o : 3*o+3])
			row(t.V[3*o : 3*o+3])
			row(t.A[3*o : 3*o+3])
			fmt.Fprintln(w)
		}
	}
	if err := w.Flush(); err != nil {
		return err
	}
	return out.Close()
}
