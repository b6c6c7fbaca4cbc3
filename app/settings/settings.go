// SPDX-License-Identifier: MIT

// Package settings is what the window remembers from one start to the next: its
// size, how it is divided, its look. It is one small text file, which a person
// may edit or delete at any time. What cannot be used in it never keeps the
// window from opening: that key has its usual value, and Load says so.
package settings

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"

	"github.com/pelletier/go-toml/v2"

	"gaitwright/motion/diskfile"
)

// Settings is what is remembered. The zero value is what a first start has.
type Settings struct {
	Width  int `toml:"window_width_dp,omitempty"`  // of the window, dp; 0: the usual
	Height int `toml:"window_height_dp,omitempty"` // dp; 0: the usual

	Left  float64 `toml:"left_column_share,omitempty"`  // of the window's width, (0,1); 0: by the window's size
	Right float64 `toml:"right_column_share,omitempty"` // of the window's width, (0,1); 0: by the window's size
	Views float64 `toml:"views_share,omitempty"`        // of the height above the timeline, (0,1); 0: by what is in it

	Light         bool    `toml:"light,omitempty"`          // the light look
	Scale         float64 `toml:"scale,omitempty"`          // of everything on screen, [1,3]; 0: the display's own
	ReducedMotion bool    `toml:"reduced_motion,omitempty"` // nothing moves that was not asked to
	Folder        string  `toml:"folder,omitempty"`         // of the file last opened or saved
	Recent        Recent  `toml:"-"`                        // files that were open last; written as recent_files

	TourOffered bool `toml:"tour_offered,omitempty"` // the tour was offered once
	TourStep    int  `toml:"tour_step,omitempty"`    // the step at which the tour was left; 0: none
}

// Ranges of what a file may say.
const (
	leastSide, mostSide   = 200, 20000 // dp
	LeastScale, MostScale = 1, 3
	mostSteps             = 100 // of a tour
)

// mostBytes is more than such a file ever has.
const mostBytes = 1 << 16

// Path gives where the settings stand in a person's folder for settings, as
// os.UserConfigDir gives it.
func Path(configDir string) string { return filepath.Join(configDir, "gaitwright", "settings.toml") }

// Load reads the file at path. The settings can always be used: what the file
// does not say, or says wrongly, has its usual value, and the error then tells
// what was wrong. A file that is not there is no error.
func Load(path string) (Settings, error) {
	text, err := diskfile.Load(path, mostBytes)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return Settings{}, nil
	case err != nil:
		return Settings{}, fmt.Errorf("settings: not read, the usual ones are used: %w", err)
	case len(text) > mostBytes:
		return Settings{}, fmt.Errorf("settings: %s is too large, the usual ones are used: delete it", path)
	}
	s, err := Parse(text)
	if err != nil {
		return s, fmt.Errorf("settings: in %s: %w", path, err)
	}
	return s, nil
}

// Parse reads settings from a text, as Load does.
func Parse(text []byte) (Settings, error) {
	var keys map[string]any
	if err := toml.Unmarshal(text, &keys); err != nil {
		where := ""
		if d := new(toml.DecodeError); errors.As(err, &d) {
			row, col := d.Position()
			where = fmt.Sprintf("line %d, column %d: ", row, col)
		}
		return Settings{}, fmt.Errorf("%snot readable, the usual settings are used: %w", where, err)
	}
	var s Settings
	var wrong []error
	names := make([]string, 0, len(keys))
	for k := range keys {
		names = append(names, k)
	}
	slices.Sort(names)
	for _, k := range names {
		if err := s.set(k, keys[k]); err != nil {
			wrong = append(wrong, fmt.Errorf("%s: %w, the usual value is used", k, err))
		}
	}
	return s, errors.Join(wrong...)
}

// set takes one key of the file.
func (s *Settings) set(key string, v any) error {
	switch key {
	case "window_width_dp":
		return whole(&s.Width, v)
	case "window_height_dp":
		return whole(&s.Height, v)
	case "left_column_share":
		return share(&s.Left, v)
	case "right_column_share":
		return share(&s.Right, v)
	case "views_share":
		return share(&s.Views, v)
	case "light":
		return truth(&s.Light, v)
	case "reduced_motion":
		return truth(&s.ReducedMotion, v)
	case "tour_offered":
		return truth(&s.TourOffered, v)
	case "tour_step":
		x, ok := v.(int64)
		if !ok || x < 0 || x > mostSteps {
			return fmt.Errorf("give a whole number from 0 to %d", mostSteps)
		}
		s.TourStep = int(x)
	case "scale":
		x, ok := number(v)
		if !ok || !(x >= LeastScale && x <= MostScale) {
			return fmt.Errorf("give a number from %d to %d", LeastScale, MostScale)
		}
		s.Scale = x
	case "folder":
		t, ok := v.(string)
		if !ok {
			return errors.New("give a path in quotes")
		}
		s.Folder = t
	case "recent_files":
		return s.Recent.set(v)
	default:
		return errors.New("unknown key, left out when the settings are written again")
	}
	return nil
}

func number(v any) (float64, bool) {
	switch x := v.(type) {
	case int64:
		return float64(x), true
	case float64:
		return x, true
	}
	return 0, false
}

func whole(to *int, v any) error {
	x, ok := v.(int64)
	if !ok || x < leastSide || x > mostSide {
		return fmt.Errorf("give a whole number from %d to %d", leastSide, mostSide)
	}
	*to = int(x)
	return nil
}

func share(to *float64, v any) error {
	x, ok := number(v)
	if !ok || !(x > 0 && x < 1) {
		return errors.New("give a number between 0 and 1")
	}
	*to = x
	return nil
}

func truth(to *bool, v any) error {
	x, ok := v.(bool)
	if !ok {
		return errors.New("give true or false")
	}
	*to = x
	return nil
}

// Encode gives the text of the settings.
func (s Settings) Encode() ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("# What the window remembers. It may be edited or deleted while no window is open.\n")
	if err := toml.NewEncoder(&b).Encode(struct {
		Settings
		Files []string `toml:"recent_files,multiline,omitempty"`
	}{s, s.Recent.List()}); err != nil {
		return nil, fmt.Errorf("settings: %w", err)
	}
	return b.Bytes(), nil
}

// Save writes the settings to path, whole or not at all, and makes the folder
// for them.
func (s Settings) Save(path string) error {
	text, err := s.Encode()
	if err != nil {
		return err
	}
	if err := diskfile.MakeFolder(filepath.Dir(path)); err != nil {
		return fmt.Errorf("settings: not remembered: %w", err)
	}
	// It names the person's files: nobody else needs to read it.
	if err := diskfile.SavePrivate(path, text); err != nil {
		return fmt.Errorf("settings: not remembered: %w", err)
	}
	return nil
}
