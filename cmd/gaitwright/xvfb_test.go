// SPDX-License-Identifier: MIT

//go:build linux && !headless

package main

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"gioui.org/f32"

	"gaitwright/app"
	"gaitwright/app/drive"
	"gaitwright/assets"
	"gaitwright/motion/workfile"
)

// displayWait is how long anything on the display may take: a loaded machine
// without a graphics card is slow.
const displayWait = 60 * time.Second

// screen is a display of its own with the window on it. Beside it runs a model
// of the window without a display, which says where things are.
type screen struct {
	t       *testing.T
	env     []string
	built   string // path of the program
	window  string // id
	model   *drive.Tester
	bench   *app.Workbench
	program *exec.Cmd
	ended   chan error
}

// The window once as a real one: opened on a display, played, scrubbed, a
// point dragged, undone, dragged again and saved.
func TestRealWindow(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "drummer.toml")
	if err := os.WriteFile(file, assets.Demo, 0o600); err != nil {
		t.Fatal(err)
	}
	s := newScreen(t, dir)
	s.start(file)
	// With -artifacts the last picture is kept for looking at.
	defer func() { s.shoot(filepath.Join(t.ArtifactDir(), "window.png")) }()

	s.until("the window shows a picture", func() bool { return colours(s.picture()) > 40 })

	// Playing moves the picture, pausing stills it.
	s.click(s.model.Centre("play"))
	s.until("playing moves the picture", func() bool { return differ(s.picture(), s.picture()) > 50 })
	s.command("key", "space")
	s.until("pausing stills the picture", func() bool {
		a := s.picture()
		time.Sleep(200 * time.Millisecond)
		return differ(a, s.picture()) == 0
	})
	s.model.Press("Space", 0)

	// Scrub into the strike: the span under way there is chosen.
	line := s.model.MustFind("timeline").Desc.Bounds
	from := f32.Pt(float32(line.Min.X+line.Dx()/2), float32(line.Min.Y+8))
	s.drag(from, f32.Pt(float32(line.Min.X+line.Dx()*7/10), from.Y))
	at := s.bench.Place()
	if at.Track < 0 || s.bench.Document().File().Moves[0].Feet[0].Spans[at.Span].End == nil {
		t.Fatalf("the scrub ends at %+v", at)
	}
	point := s.centre(fmt.Sprintf("end point of span %d from the side", at.Span+1))

	s.title("drummer.toml – Gaitwright")
	s.drag(point, point.Add(f32.Pt(9, -14)))
	s.title("drummer.toml (not saved) – Gaitwright")
	s.command("key", "ctrl+z")
	s.model.Press("Z", 1)
	s.model.Settle()
	s.title("drummer.toml – Gaitwright")
	if b, err := os.ReadFile(file); err != nil || !bytes.Equal(b, assets.Demo) {
		t.Fatalf("the file changed without saving, %v", err)
	}

	point = s.centre(fmt.Sprintf("end point of span %d from the side", at.Span+1))
	s.drag(point, point.Add(f32.Pt(9, -14)))
	s.title("drummer.toml (not saved) – Gaitwright")
	s.command("key", "ctrl+s")
	s.title("drummer.toml – Gaitwright")
	s.saved(file, at.Span)
	select {
	case err := <-s.ended:
		s.ended <- err
		t.Errorf("the program ended by itself: %v", err)
	default:
	}
}

// saved checks what the window wrote: the dragged point where the model has
// it, everything else and every comment as it was.
func (s *screen) saved(file string, span int) {
	s.t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		s.t.Fatal(err)
	}
	for _, l := range bytes.Split(assets.Demo, []byte("\n")) {
		if bytes.HasPrefix(l, []byte("#")) && !bytes.Contains(text, l) {
			s.t.Errorf("the comment %q is lost", l)
		}
	}
	got, err := workfile.Read(file, text)
	if err != nil {
		s.t.Fatal(err)
	}
	was, err := workfile.Read("demo", assets.Demo)
	if err != nil {
		s.t.Fatal(err)
	}
	end := func(f *workfile.File) *[3]float64 { return f.Moves[0].Feet[0].Spans[span].End }
	if *end(got) == *end(was) {
		s.t.Error("the saved file has the point where it was")
	}
	want := *end(s.bench.Document().File())
	for i := range want {
		if d := end(got)[i] - want[i]; d > 1 || d < -1 { // a pixel is about 1 mm
			s.t.Errorf("the point is saved at %v, want about %v", *end(got), want)
		}
	}
	*end(got) = *end(was)
	if !got.Equal(was) {
		s.t.Error("more than the point changed")
	}
}

// newScreen builds the program and starts a display of its own for it. Children
// die with this thread, however the test ends; it is not given back.
func newScreen(t *testing.T, dir string) *screen {
	t.Helper()
	runtime.LockOSThread()
	for _, tool := range []string{"Xvfb", "xdotool", "import"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Fatalf("%v: \"go run ./cmd/start test\" installs it", err)
		}
	}
	s := &screen{t: t, built: filepath.Join(dir, "gaitwright")}
	if out, err := exec.Command("go", "build", "-buildvcs=false", "-o", s.built, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}

	// The server picks a free display number and writes it to descriptor 3.
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	server := exec.Command("Xvfb", "-displayfd", "3", "-screen", "0", "1280x800x24", "-nolisten", "tcp", "-noreset")
	server.ExtraFiles = []*os.File{w}
	var log bytes.Buffer
	server.Stderr = &log
	server.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		server.Process.Signal(syscall.SIGTERM) // removes its socket and lock
		server.Wait()
	})
	w.Close()
	number, err := bufio.NewReader(r).ReadString('\n')
	r.Close()
	if _, bad := strconv.Atoi(strings.TrimSpace(number)); err != nil || bad != nil {
		t.Fatalf("Xvfb gives no display: %q, %v\n%s", number, err, log.String())
	}

	run := filepath.Join(dir, "run")
	if err := os.Mkdir(run, 0o700); err != nil {
		t.Fatal(err)
	}
	for _, e := range os.Environ() {
		switch name, _, _ := strings.Cut(e, "="); name {
		case "DISPLAY", "WAYLAND_DISPLAY", "XDG_RUNTIME_DIR", "DBUS_SESSION_BUS_ADDRESS", "EGL_PLATFORM", "HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME":
		default:
			s.env = append(s.env, e)
		}
	}
	s.env = append(s.env, "DISPLAY=:"+strings.TrimSpace(number), "XDG_RUNTIME_DIR="+run, "HOME="+dir, "LIBGL_ALWAYS_SOFTWARE=1")

	t.Cleanup(s.kill)
	return s
}

// kill ends the program as SIGKILL does: it has no chance to tidy up.
func (s *screen) kill() {
	if s.program == nil {
		return
	}
	s.program.Process.Kill()
	<-s.ended
	if s.t.Failed() {
		s.t.Logf("the program said:\n%s", s.program.Stderr)
	}
	s.program = nil
}

// start opens the window on a file.
func (s *screen) start(file string) {
	s.t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		s.t.Fatal(err)
	}
	said := new(bytes.Buffer)
	s.program, s.window = exec.Command(s.built, file), ""
	s.program.Env, s.program.Stdout, s.program.Stderr = s.env, said, said
	s.program.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	if err := s.program.Start(); err != nil {
		s.t.Fatal(err)
	}
	ended, program := make(chan error, 1), s.program
	s.ended = ended
	go func() { ended <- program.Wait() }()

	s.until("the window appears", func() bool {
		out, err := s.try("search", "--onlyvisible", "--name", "Gaitwright")
		if f := strings.Fields(out); err == nil && len(f) > 0 {
			s.window = f[0]
		}
		return s.window != ""
	})
	s.command("windowfocus", s.window)

	size := s.size()
	if s.bench, err = app.New(benchConfig(file, text, nil, nil)); err != nil {
		s.t.Fatal(err)
	}
	s.model = drive.For(s.t, drive.New(size, s.bench.Layout))
	s.model.Settle()
}

// size gives the window's size; without a window manager it lies at the
// screen's corner.
func (s *screen) size() (p image.Point) {
	s.t.Helper()
	at := image.Pt(-1, -1)
	for _, l := range strings.Fields(s.command("getwindowgeometry", "--shell", s.window)) {
		k, v, _ := strings.Cut(l, "=")
		n, err := strconv.Atoi(v)
		if err != nil {
			continue
		}
		switch k {
		case "X":
			at.X = n
		case "Y":
			at.Y = n
		case "WIDTH":
			p.X = n
		case "HEIGHT":
			p.Y = n
		}
	}
	if at != (image.Point{}) || p.X < 900 || p.Y < 600 {
		s.t.Fatalf("the window lies at %v and is %v large", at, p)
	}
	return p
}

// until polls until a condition holds. It gives up when the program ends.
func (s *screen) until(what string, ok func() bool) {
	s.t.Helper()
	for end := time.Now().Add(displayWait); ; time.Sleep(50 * time.Millisecond) {
		if ok() {
			return
		}
		select {
		case err := <-s.ended:
			s.ended <- err
			s.t.Fatalf("waiting until %s: the program ended: %v", what, err)
		default:
		}
		if time.Now().After(end) {
			s.t.Fatalf("not within %v: %s", displayWait, what)
		}
	}
}

func (s *screen) title(want string) {
	s.t.Helper()
	s.until("the title is "+want, func() bool {
		out, err := s.try("getwindowname", s.window)
		return err == nil && strings.TrimSpace(out) == want
	})
}

// try runs xdotool on the display.
func (s *screen) try(args ...string) (string, error) {
	ctx, stop := context.WithTimeout(context.Background(), displayWait)
	defer stop()
	c := exec.CommandContext(ctx, "xdotool", args...)
	c.Env = s.env
	out, err := c.Output()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		err = fmt.Errorf("%w: %s", err, exit.Stderr)
	}
	return string(out), err
}

func (s *screen) command(args ...string) string {
	s.t.Helper()
	out, err := s.try(args...)
	if err != nil {
		s.t.Fatalf("xdotool %s: %v", strings.Join(args, " "), err)
	}
	return out
}

// centre is where something stands that takes no clicks itself.
func (s *screen) centre(name string) f32.Point {
	s.t.Helper()
	b := s.model.MustFind(name).Desc.Bounds
	return f32.Pt(float32((b.Min.X+b.Max.X)/2), float32((b.Min.Y+b.Max.Y)/2))
}

func moveTo(p f32.Point) []string {
	return []string{"mousemove", strconv.Itoa(int(p.X)), strconv.Itoa(int(p.Y))}
}

// click clicks in the window and in the model.
func (s *screen) click(p f32.Point) {
	s.t.Helper()
	s.command(append(moveTo(p), "click", "1")...)
	s.model.ClickAt(p)
}

// drag drags in the window and in the model, in ten steps.
func (s *screen) drag(from, to f32.Point) {
	s.t.Helper()
	s.command(append(moveTo(from), "mousedown", "1")...)
	for i := 1; i <= 10; i++ {
		s.command(moveTo(from.Add(to.Sub(from).Mul(float32(i) / 10)))...)
	}
	s.command("mouseup", "1")
	s.model.Drag(from, to, 10)
	s.model.Settle()
}

// shoot writes a picture of the display.
func (s *screen) shoot(file string) {
	ctx, stop := context.WithTimeout(context.Background(), displayWait)
	defer stop()
	c := exec.CommandContext(ctx, "import", "-window", "root", file)
	c.Env = s.env
	if out, err := c.CombinedOutput(); err != nil {
		s.t.Errorf("import: %v\n%s", err, out)
	}
}

func (s *screen) picture() image.Image {
	s.t.Helper()
	file := filepath.Join(s.t.TempDir(), "p.png")
	s.shoot(file)
	img, err := drive.ReadPNG(file)
	if err != nil {
		s.t.Fatal(err)
	}
	return img
}

// colours counts the different colours of a picture.
func colours(img image.Image) int {
	seen := map[color.RGBA]bool{}
	b := img.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y += 2 {
		for x := b.Min.X; x < b.Max.X; x += 2 {
			seen[color.RGBAModel.Convert(img.At(x, y)).(color.RGBA)] = true
		}
	}
	return len(seen)
}

// differ counts the pixels in which two pictures differ.
func differ(a, b image.Image) int {
	n, err := drive.Compare(a, b)
	if err != nil {
		return -1
	}
	return n
}
