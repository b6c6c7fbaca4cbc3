// SPDX-License-Identifier: MIT

package filedialog_test

import (
	"context"
	"errors"
	"fmt"

	"gaitwright/app/filedialog"
)

// system stands for a system's dialog that cannot show itself.
type system struct{}

func (system) Open(context.Context, filedialog.Filter) (string, error) {
	return "", errors.New("no desktop portal")
}

func (system) Save(context.Context, string, filedialog.Filter) (string, error) {
	return "", filedialog.ErrDeclined
}

// own stands for the dialog inside the window.
type own struct{ system }

func (own) Open(context.Context, filedialog.Filter) (string, error) { return "drummer.toml", nil }

// A system's dialog that fails is replaced; one that the person left is not.
func ExampleFallback() {
	d := filedialog.Fallback(system{}, own{})
	path, err := d.Open(context.Background(), filedialog.Filter{Name: "Workfiles", Ext: []string{".toml"}})
	fmt.Println(path, err)
	_, err = d.Save(context.Background(), "walk.toml", filedialog.Filter{})
	fmt.Println(errors.Is(err, filedialog.ErrDeclined))
	// Output:
	// drummer.toml <nil>
	// true
}
