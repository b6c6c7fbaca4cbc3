// SPDX-License-Identifier: MIT

//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package recovery

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"gaitwright/app/document"
	"gaitwright/motion/diskfile"
	"gaitwright/motion/workfile"
)

// childDir names the folder of a child: a second process of this test that
// edits and saves there until it is killed.
const childDir, childHow = "GAITWRIGHT_KILLED_IN", "GAITWRIGHT_KILLED_HOW"

// How a child goes about it. All but the first are wrong, to see that the test
// finds that out.
const (
	asMade    = ""
	neverKept = "the copy is never written"
	inPlace   = "the file is written in place"
	staleCopy = "the copy is left behind by saves"
)

func TestMain(m *testing.M) {
	if dir := os.Getenv(childDir); dir != "" {
		if err := child(dir, os.Getenv(childHow)); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
	os.Exit(m.Run())
}

// child edits without end, and saves now and then. It tells each edit that is
// made, and that it begins to save.
func child(dir, how string) error {
	p := Place{Path: filepath.Join(dir, "robot.toml"), Name: "robot.toml", Cache: filepath.Join(dir, "cache"), Token: "child"}
	text, err := diskfile.Load(p.Path, workfile.MaxSize)
	if err != nil {
		return err
	}
	d, err := document.Open(p.Path, p.Name, text)
	if err != nil {
		return err
	}
	fl := Follower{Keeper: New(p, Options{})}
	if how == neverKept {
		fl.Keeper = nil
	}
	random := rand.New(rand.NewPCG(1, uint64(len(dir))))
	for n := 1; ; n++ {
		if err := d.Change("edit", func(f *workfile.File) { f.Robot.Name = fmt.Sprint("edit ", n) }); err != nil {
			return err
		}
		// One write of few bytes: whole or not at all in the pipe.
		fmt.Printf("edit %d %d\n", n, time.Now().UnixNano())
		if how != staleCopy || n == 1 {
			fl.Look(d)
		}
		if random.IntN(6) == 0 {
			fmt.Printf("save %d %d\n", n, time.Now().UnixNano())
			switch how {
			case inPlace:
				out, err := d.Text()
				if err != nil {
					return err
				}
				f, err := os.Create(p.Path)
				if err != nil {
					return err
				}
				for len(out) > 0 { // as slowly as a full disk does
					k := min(len(out), 200)
					f.Write(out[:k])
					out = out[k:]
					time.Sleep(time.Millisecond)
				}
				f.Close()
			case staleCopy:
				err = d.Save(p.Path)
			case neverKept:
				if n < 4 {
					err = fl.Save(d, p.Path)
				}
			default:
				err = fl.Save(d, p.Path)
			}
			if err != nil {
				return err
			}
		}
		time.Sleep(time.Duration(random.IntN(25)) * time.Millisecond)
	}
}

// edit is one line of a child.
type edit struct {
	n  int
	at time.Time
}

// kill lets a child run for a while, kills it, and says what is wrong with what
// it left.
func kill(t *testing.T, text []byte, how string, life time.Duration) (edits int, saving bool, err error) {
	dir, err := os.MkdirTemp(t.TempDir(), "k")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir)
	p := Place{Path: filepath.Join(dir, "robot.toml"), Name: "robot.toml", Cache: filepath.Join(dir, "cache"), Token: "parent"}
	if err := os.WriteFile(p.Path, text, 0o644); err != nil {
		t.Fatal(err)
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(exe)
	c.Env = append(os.Environ(), childDir+"="+dir, childHow+"="+how)
	var said bytes.Buffer
	c.Stderr = &said
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	// The life counts from the first edit, so that a slow start does not eat it.
	r := bufio.NewReader(out)
	first, err := r.ReadString('\n')
	if err != nil {
		return 0, false, fmt.Errorf("the child made no edit: %s", said.Bytes())
	}
	time.Sleep(life)
	c.Process.Signal(syscall.SIGKILL)
	end := time.Now()
	rest, err := io.ReadAll(r)
	if err != nil {
		t.Fatal(err)
	}
	c.Wait()
	if s, ok := c.ProcessState.Sys().(syscall.WaitStatus); !ok || s.Signal() != syscall.SIGKILL {
		return 0, false, fmt.Errorf("the child ended by itself: %v: %s", c.ProcessState, said.Bytes())
	}
	all, saving, err := told(first + string(rest))
	if err != nil {
		return 0, false, err
	}
	return len(all), saving, judge(p, all, end)
}

// told reads what a child said about its edits, and whether it ended in a save.
func told(s string) (all []edit, saving bool, err error) {
	for line := range strings.Lines(s) {
		var what string
		var n int
		var at int64
		if !strings.HasSuffix(line, "\n") {
			break // killed in the middle of it
		}
		if _, err := fmt.Sscanf(line, "%s %d %d", &what, &n, &at); err != nil {
			return nil, false, fmt.Errorf("the child said %q: %w", line, err)
		}
		saving = what == "save"
		if !saving {
			all = append(all, edit{n, time.Unix(0, at)})
		}
	}
	return all, saving, nil
}

// serial gives the number of the edit that a workfile holds, 0 for the first
// text.
func serial(name string, text []byte) (int, error) {
	f, err := workfile.Read(name, text)
	if err != nil {
		return 0, err
	}
	s, ok := strings.CutPrefix(f.Robot.Name, "edit ")
	if !ok {
		return 0, nil
	}
	return strconv.Atoi(s)
}

// judge looks at what is left as the next start does.
func judge(p Place, all []edit, end time.Time) error {
	src, err := os.ReadFile(p.Path)
	if err != nil {
		return err
	}
	have, err := serial("the workfile", src)
	if err != nil {
		return fmt.Errorf("the workfile does not read: %w", err)
	}
	found := Find(p)
	if len(found) > 1 {
		return fmt.Errorf("%d copies of one window", len(found))
	}
	if len(found) == 1 {
		if found[0].Err != nil {
			return fmt.Errorf("the copy does not read: %w", found[0].Err)
		}
		kept, err := serial("the copy", found[0].Copy.Text)
		if err != nil {
			return fmt.Errorf("the copy does not read: %w", err)
		}
		if kept < have {
			return fmt.Errorf("the copy of edit %d would take back the saved edit %d", kept, have)
		}
		have = kept
	}
	// Where the machine let the child stand still, its second is longer.
	limit := time.Second
	for i := 1; i < len(all); i++ {
		if gap := all[i].at.Sub(all[i-1].at); gap > 150*time.Millisecond && end.Sub(all[i].at) < 2*time.Second {
			limit += gap
		}
	}
	if n := len(all); n > 0 {
		limit += max(0, end.Sub(all[n-1].at)-150*time.Millisecond)
	}
	for _, e := range all {
		if e.n > have && end.Sub(e.at) > limit {
			return fmt.Errorf("edit %d was made %v before the end and is lost; edit %d is there", e.n, end.Sub(e.at), have)
		}
	}
	return nil
}

// kills does so many kills, some at once, and gives what was wrong.
func kills(t *testing.T, how string, n int, life func(*rand.Rand) time.Duration) (wrong []error) {
	text := small(t)
	random := rand.New(rand.NewPCG(7, 11))
	lives := make(chan time.Duration)
	var mu sync.Mutex
	var wait sync.WaitGroup
	total, inSave := 0, 0
	for range 20 { // most of the time they sleep
		wait.Go(func() {
			for l := range lives {
				edits, saving, err := kill(t, text, how, l)
				mu.Lock()
				total += edits
				if saving {
					inSave++
				}
				if err != nil {
					wrong = append(wrong, fmt.Errorf("after %v: %w", l, err))
				}
				mu.Unlock()
			}
		})
	}
	for range n {
		lives <- life(random)
	}
	close(lives)
	wait.Wait()
	t.Logf("%d kills after %d edits, %d of them while saving or just after, %d wrong", n, total, inSave, len(wrong))
	return wrong
}

func span(random *rand.Rand, from, to time.Duration) time.Duration {
	return from + time.Duration(random.Int64N(int64(to-from)))
}

// A thousand kills at random instants: the workfile reads, the copy reads or is
// not there, and no more than the last second of edits is lost.
func TestThousandKills(t *testing.T) {
	n := 1000
	if testing.Short() {
		n = 60
	}
	for i, err := range kills(t, asMade, n, func(random *rand.Rand) time.Duration {
		if random.IntN(4) == 0 { // long enough for a second to be lost
			return span(random, time.Second, 2*time.Second)
		}
		return span(random, 0, 300*time.Millisecond) // many saves and first writes
	}) {
		if i == 10 {
			t.Error("and more")
			break
		}
		t.Error(err)
	}
}

// The same test finds out what is made wrong.
func TestKillsFindFaults(t *testing.T) {
	for _, tt := range []struct{ how, says string }{
		{neverKept, "is lost"},
		{inPlace, "the workfile does not read"},
		{staleCopy, "would take back"},
	} {
		t.Run(tt.how, func(t *testing.T) {
			wrong := kills(t, tt.how, 40, func(random *rand.Rand) time.Duration {
				return span(random, 1300*time.Millisecond, 1800*time.Millisecond)
			})
			if err := errors.Join(wrong...); err == nil || !strings.Contains(err.Error(), tt.says) {
				t.Errorf("found %v", err)
			}
		})
	}
}
