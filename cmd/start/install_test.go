// SPDX-License-Identifier: MIT

package main

import (
	"slices"
	"strings"
	"testing"
)

func two() []systemPackage {
	return []systemPackage{{"libegl-dev", "EGL headers"}, {"xvfb", "display without a screen"}}
}

// The lines are those of dpkg-query on Debian 12; the states and architectures that occur there
// seldom are put in by hand after dpkg(1) and deb-control(5).
func TestMissing(t *testing.T) {
	tests := []struct {
		name  string
		table string
		want  []string
		miss  []string
	}{
		{"nothing installed", "", []string{"gcc", "xvfb"}, []string{"gcc", "xvfb"}},
		{
			"installed, for this architecture or for all",
			"installed\tamd64\tgcc\tc-compiler, gcc-x86-64-linux-gnu (= 4:12.2.0-3)\ninstalled\tall\tavr-libc\t\n",
			[]string{"gcc", "avr-libc", "xvfb"}, []string{"xvfb"},
		},
		{
			"removed, but its settings are left",
			"config-files\tamd64\txvfb\txserver\n", []string{"xvfb"}, []string{"xvfb"},
		},
		{
			"unpacked, but not set up",
			"half-configured\tamd64\txvfb\txserver\n", []string{"xvfb"}, []string{"xvfb"},
		},
		{
			"only for another architecture",
			"installed\ti386\tlibgles2\t\n", []string{"libgles2"}, []string{"libgles2"},
		},
		{
			"provided by another package",
			"installed\tamd64\tpkgconf\tpkg-config (= 1.8.1-1)\n", []string{"pkg-config"}, nil,
		},
		{
			"a name is not its own beginning",
			"installed\tamd64\tlibegl-dev-extra\t\n", []string{"libegl-dev"}, []string{"libegl-dev"},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := newFake(t)
			f.run = func(c command) error {
				text := tt.table
				if c.argv[0] == "dpkg" {
					text = "amd64\n"
				}
				_, err := c.stdout.Write([]byte(text))
				return err
			}
			var want []systemPackage
			for _, name := range tt.want {
				want = append(want, systemPackage{name: name})
			}
			got, err := f.missing(want)
			if err != nil {
				t.Fatal(err)
			}
			if !slices.Equal(names(got), tt.miss) {
				t.Errorf("missing %q, want %q", names(got), tt.miss)
			}
		})
	}
}

func TestMissingRefusesUnknownTable(t *testing.T) {
	f := newFake(t)
	f.run = func(c command) error {
		_, err := c.stdout.Write([]byte("installed gcc\n"))
		return err
	}
	if _, err := f.missing(two()); err == nil || !strings.Contains(err.Error(), "installed gcc") {
		t.Errorf("error %v, want one that shows the line", err)
	}
}

func TestPrepare(t *testing.T) {
	const (
		simulate = "APT install --simulate libegl-dev xvfb"
		update   = "APT update -qq"
		install  = "APT install libegl-dev xvfb"
	)
	tests := []struct {
		name  string
		set   func(f *fakeMachine)
		calls []string
		out   []string
		err   []string // pieces of the error; none: no error
	}{
		{
			name: "nothing missing",
			set:  func(f *fakeMachine) { f.installed = []string{"libegl-dev", "xvfb"} },
			out:  []string{"All 2 system packages are there."},
		},
		{
			name:  "one missing",
			set:   func(f *fakeMachine) { f.installed = []string{"libegl-dev"} },
			calls: []string{"APT install --simulate xvfb", "APT install xvfb"},
			out:   []string{"1 of 2 system packages are missing:\n  xvfb                   display without a screen\n"},
		},
		{
			name:  "root",
			set:   func(f *fakeMachine) {},
			calls: []string{simulate, install},
			out: []string{
				"2 of 2 system packages are missing",
				"Running: env DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends -o DPkg::Lock::Timeout=300 libegl-dev xvfb\n",
				"Done in 7 s.",
			},
		},
		{
			name:  "root, no package lists yet",
			set:   func(f *fakeMachine) { f.hasLists = false },
			calls: []string{simulate, update, install},
			out:   []string{"Running: env DEBIAN_FRONTEND=noninteractive apt-get update -qq\n"},
		},
		{
			name:  "root, package lists out of date",
			set:   func(f *fakeMachine) { f.staleLists = true },
			calls: []string{simulate, install, update, install},
			out:   []string{"404  Not Found", "trying once more with fresh ones"},
		},
		{
			name: "a list of somebody else's is broken",
			set: func(f *fakeMachine) {
				f.staleLists = true
				run := f.run
				f.run = func(c command) error {
					err := run(c)
					if strings.Contains(shellLine(c.argv), "update") {
						return exitStatus(100)
					}
					return err
				}
			},
			calls: []string{simulate, install, update, install},
			out:   []string{"apt-get update -qq: ended with status 100"},
		},
		{
			name: "installation fails",
			set: func(f *fakeMachine) {
				f.prints["env DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends -o DPkg::Lock::Timeout=300 libegl-dev"] = "E: no space left\n"
				f.fails["env DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends -o DPkg::Lock::Timeout=300 libegl-dev"] = 100
			},
			calls: []string{simulate, install, update, install},
			err:   []string{"E: no space left\n", "ended with status 100"},
		},
		{
			name: "apt-get is content but installs nothing",
			set: func(f *fakeMachine) {
				f.fails["env"] = 0
				f.run = func(c command) error {
					if err := f.answer(c); err != exitStatus(0) {
						return err
					}
					return nil
				}
			},
			calls: []string{simulate, install},
			err:   []string{"not installed: libegl-dev xvfb"},
		},
		{
			name: "sudo without a password",
			set: func(f *fakeMachine) {
				f.uid, f.askless, f.hasLists = 1000, true, false
				f.programs = append(f.programs, "sudo")
			},
			calls: []string{"sudo -n true", simulate, "sudo " + update, "sudo " + install},
			out:   []string{"Running: sudo env DEBIAN_FRONTEND=noninteractive apt-get install "},
		},
		{
			name: "sudo with a password, at a terminal",
			set: func(f *fakeMachine) {
				f.uid = 1000
				f.terminal = func() bool { return true }
				f.programs = append(f.programs, "sudo")
			},
			calls: []string{"sudo -n true", simulate, "sudo " + install},
		},
		{
			name: "sudo with a password, no terminal",
			set: func(f *fakeMachine) {
				f.uid = 1000
				f.programs = append(f.programs, "sudo")
			},
			calls: []string{"sudo -n true"},
			err: []string{"no terminal", "\nsudo env DEBIAN_FRONTEND=noninteractive apt-get update -qq && " +
				"sudo env DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends -o DPkg::Lock::Timeout=300 libegl-dev xvfb"},
		},
		{
			name: "neither root nor sudo",
			set:  func(f *fakeMachine) { f.uid = 1000 },
			err: []string{"no sudo", "\nenv DEBIAN_FRONTEND=noninteractive apt-get update -qq && " +
				"env DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends -o DPkg::Lock::Timeout=300 libegl-dev xvfb"},
		},
		{
			name:  "Ubuntu",
			set:   func(f *fakeMachine) { f.osRelease = ubuntu },
			calls: []string{simulate, install},
		},
		{
			name: "a Linux of another family, with Debian's tools",
			set:  func(f *fakeMachine) { f.osRelease = fedora },
			out:  []string{"not Debian", "  libegl-dev             EGL headers\n", "  xvfb                   display without a screen\n"},
		},
		{
			name: "a relative of Debian without apt-get",
			set:  func(f *fakeMachine) { f.programs = []string{"go", "dpkg", "dpkg-query"} },
			out:  []string{"not Debian", "libegl-dev"},
		},
		{name: "macOS", set: func(f *fakeMachine) { f.goos = "darwin" }},
		{name: "Windows", set: func(f *fakeMachine) { f.goos, f.uid = "windows", -1 }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := newFake(t)
			tt.set(f)
			err := f.prepare(two())
			if (err != nil) != (len(tt.err) > 0) {
				t.Fatalf("error %v, want pieces %q", err, tt.err)
			}
			for _, piece := range tt.err {
				if !strings.Contains(err.Error(), piece) {
					t.Errorf("error lacks %q:\n%v", piece, err)
				}
			}
			f.wantCalls(t, tt.calls...)
			wantText(t, "output", &f.out, tt.out...)
		})
	}
}

// A question of apt-get's that nobody sees must not wait for an answer.
func TestAptHasNoInput(t *testing.T) {
	f := newFake(t)
	if err := f.prepare(two()); err != nil {
		t.Fatal(err)
	}
	for _, c := range f.children {
		if c.stdin != nil {
			t.Errorf("%s has a standard input", shellLine(c.argv))
		}
	}
}

func TestPackageLists(t *testing.T) {
	all := append(windowPackages(), testPackages()...)
	seen := make(map[string]bool)
	for _, p := range all {
		if p.name == "" || p.why == "" || seen[p.name] {
			t.Errorf("package %+v: empty, without a reason, or listed twice", p)
		}
		seen[p.name] = true
		if shellLine([]string{p.name}) != p.name {
			t.Errorf("package %q is not a Debian package name", p.name)
		}
	}
}

func TestShellLine(t *testing.T) {
	// Quoting after POSIX.1-2017, Shell Command Language, section 2.2.
	tests := []struct {
		argv []string
		want string
	}{
		{[]string{"apt-get", "install", "g++"}, "apt-get install g++"},
		{[]string{"a b", ""}, "'a b' ''"},
		{[]string{"it's"}, `'it'\''s'`},
		{[]string{"$HOME"}, "'$HOME'"},
	}
	for _, tt := range tests {
		if got := shellLine(tt.argv); got != tt.want {
			t.Errorf("shellLine(%q) = %s, want %s", tt.argv, got, tt.want)
		}
	}
}
