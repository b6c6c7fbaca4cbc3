// SPDX-License-Identifier: MIT

package recovery

import (
	"os"
	"path/filepath"
	"strings"

	"gaitwright/motion/diskfile"
)

// Place says whose work is kept, and where. Token is this window's own.
type Place struct {
	Path  string // of the workfile, "" for text that is no file yet
	Name  string // how it is called on screen
	Cache string // folder for what cannot stand beside the workfile
	Token string // letters and digits, of this window alone
	Host  string // name of this machine
}

// end is how recovery files are called at the end.
const end = ".unsaved"

// none stands in the name of a copy of text that is no file yet.
const none = "new"

// file gives the workfile itself, where a link leads to it.
func (p *Place) file() string {
	abs, err := filepath.Abs(p.Path)
	if err != nil {
		abs = p.Path
	}
	return diskfile.Target(abs)
}

// beside gives what stands before and after the token in the name of a copy
// beside the workfile.
func (p *Place) beside() (dir, front string) {
	dir, name := filepath.Split(p.file())
	return dir, "." + name + "."
}

// away gives the same for a copy in the cache folder.
func (p *Place) away() (dir, front string) {
	dir = filepath.Join(p.Cache, "unsaved")
	if p.Path == "" {
		return dir, none + "."
	}
	f := p.file()
	const enough = 16 // digits to tell folders apart
	return dir, filepath.Base(f) + "." + Hash([]byte(filepath.Dir(f)))[:enough] + "."
}

// paths gives where the copy of this window may stand, the better place first.
func (p *Place) paths() []string {
	var all []string
	if p.Path != "" {
		dir, front := p.beside()
		all = append(all, filepath.Join(dir, front+p.Token+end))
	}
	if p.Cache != "" {
		dir, front := p.away()
		all = append(all, filepath.Join(dir, front+p.Token+end))
	}
	return all
}

// tokens lists the copies in a folder by their windows' tokens.
func tokens(dir, front string) map[string]string {
	all, err := os.ReadDir(dir)
	if err != nil {
		return nil // no folder, or a closed one: there is nothing to find
	}
	found := map[string]string{}
	for _, e := range all {
		t, ok := strings.CutPrefix(e.Name(), front)
		if !ok {
			continue
		}
		if t, ok = strings.CutSuffix(t, end); ok && plain(t) {
			found[filepath.Join(dir, e.Name())] = t
		}
	}
	return found
}

// plain tells whether a token is made of letters and digits alone.
func plain(t string) bool {
	return t != "" && strings.Trim(strings.ToLower(t), "0123456789abcdefghijklmnopqrstuvwxyz") == ""
}

// lockPath gives the file whose lock says that a window runs.
func lockPath(cache, token string) string {
	return filepath.Join(cache, "windows", token+".lock")
}
