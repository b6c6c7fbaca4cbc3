// SPDX-License-Identifier: MIT

//go:build !headless

package snapshot

import (
	"fmt"
	"image"
	"os"
	"runtime"

	"gioui.org/gpu/headless"
	"gioui.org/op"
)

// Draw renders the drawing on a canvas of the given size. The drawing must
// paint an opaque background, or the picture is partly transparent. Cost: a
// rendering context is made each time, about 0.2 s.
func Draw(size image.Point, ops *op.Ops) (*image.RGBA, error) {
	c, err := Open(size)
	if err != nil {
		return nil, err
	}
	defer c.Close()
	return c.Draw(ops)
}

// Canvas draws pictures of one size, one after the other, for the cost of one
// rendering context.
type Canvas struct {
	w    *headless.Window
	size image.Point
}

// Open makes a canvas. Close it when it is no longer needed.
func Open(size image.Point) (*Canvas, error) {
	if size.X <= 0 || size.Y <= 0 || size.X > largest || size.Y > largest {
		return nil, fmt.Errorf("snapshot: size %d x %d is outside 1 to %d", size.X, size.Y, largest)
	}
	w, err := open(size)
	if err != nil {
		return nil, fmt.Errorf("snapshot: no renderer: %w (on Linux install libegl1, libgles2, libegl-mesa0 and libgl1-mesa-dri)", err)
	}
	return &Canvas{w, size}, nil
}

// Draw renders a drawing as the function Draw does.
func (c *Canvas) Draw(ops *op.Ops) (*image.RGBA, error) {
	if err := c.w.Frame(ops); err != nil {
		return nil, fmt.Errorf("snapshot: %w", err)
	}
	img := image.NewRGBA(image.Rectangle{Max: c.size})
	if err := c.w.Screenshot(img); err != nil {
		return nil, fmt.Errorf("snapshot: %w", err)
	}
	return img, nil
}

// Close gives the rendering context back.
func (c *Canvas) Close() { c.w.Release() }

// open makes an off-screen context. EGL looks for a display unless it is told
// that none is needed.
func open(size image.Point) (*headless.Window, error) {
	const platform = "EGL_PLATFORM"
	bare := os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == ""
	canSet := runtime.GOOS == "linux" && os.Getenv(platform) == ""
	if canSet && bare {
		if err := os.Setenv(platform, "surfaceless"); err != nil {
			return nil, err
		}
		canSet = false
	}
	w, err := headless.NewWindow(size.X, size.Y)
	if err == nil || !canSet {
		return w, err
	}
	// A display is named but cannot be used: do without.
	if err := os.Setenv(platform, "surfaceless"); err != nil {
		return nil, err
	}
	return headless.NewWindow(size.X, size.Y)
}
