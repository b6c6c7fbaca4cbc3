// SPDX-License-Identifier: MIT

package main

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
)

// prepare sees to it that the packages of want are installed, as far as this system allows. It fails
// where packages are missing that it could name but not install.
func (m *machine) prepare(want []systemPackage) error {
	if m.goos != "linux" {
		return nil
	}
	if !m.debianLike() {
		m.say("This Linux is not Debian or a relative of it, so nothing is installed here.")
		m.say("Needed, with Debian's names (yours may differ):")
		m.list(want)
		return nil
	}
	missing, err := m.missing(want)
	if err != nil {
		return err
	}
	if len(missing) == 0 {
		m.say("All %d system packages are there.", len(want))
		return nil
	}
	m.say("%d of %d system packages are missing:", len(missing), len(want))
	m.list(missing)
	if err := m.install(names(missing)); err != nil {
		return err
	}
	missing, err = m.missing(want)
	if err != nil {
		return err
	}
	if len(missing) > 0 {
		return fmt.Errorf("start: apt-get ended well, yet these packages are not installed: %s", strings.Join(names(missing), " "))
	}
	return nil
}

// debianLike reports whether Debian's tools manage this system. They can be present elsewhere without
// that, so os-release has the first word.
func (m *machine) debianLike() bool {
	related := false
	for line := range strings.Lines(m.osRelease) {
		key, value, _ := strings.Cut(strings.TrimSpace(line), "=")
		if key != "ID" && key != "ID_LIKE" {
			continue
		}
		for _, id := range strings.Fields(strings.Trim(value, `"'`)) {
			related = related || id == "debian" || id == "ubuntu"
		}
	}
	if !related {
		return false
	}
	for _, program := range []string{"dpkg", "dpkg-query", "apt-get"} {
		if _, err := m.find(program); err != nil {
			return false
		}
	}
	return true
}

// missing returns the packages of want that are not installed for this machine's own architecture.
// All installed packages are listed, since dpkg-query finds a package that another one provides by no
// other way.
func (m *machine) missing(want []systemPackage) ([]systemPackage, error) {
	arch, err := m.output("dpkg", "--print-architecture")
	if err != nil {
		return nil, err
	}
	arch = strings.TrimSpace(arch)
	table, err := m.output("dpkg-query", "--show", "--showformat",
		`${db:Status-Status}\t${Architecture}\t${Package}\t${Provides}\n`)
	if err != nil {
		return nil, err
	}
	have := make(map[string]bool)
	for line := range strings.Lines(table) {
		f := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		if len(f) != 4 {
			return nil, fmt.Errorf("start: cannot read this line of dpkg-query: %q", line)
		}
		if f[0] != "installed" || f[1] != arch && f[1] != "all" {
			continue
		}
		have[f[2]] = true
		for provided := range strings.SplitSeq(f[3], ",") {
			if w := strings.Fields(provided); len(w) > 0 { // "name" or "name (= version)"
				have[w[0]] = true
			}
		}
	}
	var missing []systemPackage
	for _, p := range want {
		if !have[p.name] {
			missing = append(missing, p)
		}
	}
	return missing, nil
}

// install installs the named packages with apt-get. Package lists that are absent or too old are
// fetched first.
func (m *machine) install(packages []string) error {
	prefix, err := m.rootPrefix(packages)
	if err != nil {
		return err
	}
	t0 := m.now()
	updated := false
	if err := m.run(command{argv: installArgv(nil, packages, "--simulate")}); err != nil {
		m.update(prefix)
		updated = true
	}
	m.say("This may take a few minutes.")
	err = m.apt(installArgv(prefix, packages))
	if err != nil && !updated {
		m.say("%v", err)
		m.say("The package lists may be out of date; trying once more with fresh ones.")
		m.update(prefix)
		err = m.apt(installArgv(prefix, packages))
	}
	if err != nil {
		return err
	}
	m.took(t0)
	return nil
}

// update fetches the package lists. A failure is told but not fatal: often only a list of somebody
// else's is out of order, and whether the packages can be had shows at the installation.
func (m *machine) update(prefix []string) {
	if err := m.apt(updateArgv(prefix)); err != nil {
		m.say("%v", err)
	}
}

// apt says what it runs, runs it quietly, and on failure gives everything that was printed. It gets no
// standard input, so that nothing can wait for an answer to a question nobody sees; sudo asks for its
// password on the terminal itself.
func (m *machine) apt(argv []string) error {
	m.say("Running: %s", shellLine(argv))
	var out bytes.Buffer
	err := m.run(command{argv: argv, stdout: &out, stderr: &out})
	if err != nil {
		return fmt.Errorf("%sstart: %s: %w", out.String(), shellLine(argv), err)
	}
	return nil
}

// rootPrefix returns what to put before a command so that it runs as root: nothing, or sudo. If
// neither is possible the error holds the line to run by hand.
func (m *machine) rootPrefix(packages []string) ([]string, error) {
	if m.uid == 0 {
		return nil, nil
	}
	byHand := func(prefix []string) string {
		return shellLine(updateArgv(prefix)) + " && " + shellLine(installArgv(prefix, packages))
	}
	if _, err := m.find("sudo"); err != nil {
		return nil, errors.New("start: installing takes root, and there is no sudo here. Run this line as root, then start again:\n" + byHand(nil))
	}
	sudo := []string{"sudo"}
	if m.run(command{argv: []string{"sudo", "-n", "true"}}) == nil || m.terminal() {
		return sudo, nil
	}
	return nil, errors.New("start: sudo wants a password, and there is no terminal to ask for it. Run this line, then start again:\n" + byHand(sudo))
}

// updateArgv is the command that fetches the package lists.
func updateArgv(prefix []string) []string {
	argv := append([]string(nil), prefix...)
	return append(argv, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "update", "-qq")
}

// installArgv is the command that installs packages. It waits for another installation to finish,
// such as the automatic upgrades that a fresh machine begins with. The variable goes through env
// since sudo drops it otherwise.
func installArgv(prefix, packages []string, options ...string) []string {
	argv := append([]string(nil), prefix...)
	argv = append(argv, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "install", "-qq", "-y",
		"--no-install-recommends", "-o", "DPkg::Lock::Timeout=300")
	argv = append(argv, options...)
	return append(argv, packages...)
}

// list prints one package a line, with its reason.
func (m *machine) list(packages []systemPackage) {
	for _, p := range packages {
		m.say("  %-22s %s", p.name, p.why)
	}
}

func names(packages []systemPackage) []string {
	var s []string
	for _, p := range packages {
		s = append(s, p.name)
	}
	return s
}
