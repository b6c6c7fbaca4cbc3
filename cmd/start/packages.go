// SPDX-License-Identifier: MIT

package main

// systemPackage is a Debian package and the reason why it has to be there.
type systemPackage struct {
	name string
	why  string
}

// windowPackages returns what building and showing the window takes: all that Gio asks for by name,
// even where one package brings another.
func windowPackages() []systemPackage {
	return []systemPackage{
		{"gcc", "C compiler; Gio's window code is partly C"},
		{"libc6-dev", "C library headers"},
		{"pkg-config", "tells the C compiler where the libraries below are"},
		{"libegl-dev", "EGL headers: the drawing surface"},
		{"libx11-dev", "X11 headers: the window under X11"},
		{"libx11-xcb-dev", "X11 to XCB bridge headers"},
		{"libxkbcommon-x11-dev", "keyboard layout headers"},
		{"libxcursor-dev", "X11 mouse pointer headers; brings those of Xfixes"},
		{"libwayland-dev", "Wayland headers: the window under Wayland"},
		{"libvulkan-dev", "Vulkan headers"},
		{"libegl-mesa0", "EGL library, loaded when the window opens"},
		{"libgles2", "OpenGL ES library, loaded when the window opens"},
		{"libgl1-mesa-dri", "software renderer, for a machine without a graphics card"},
	}
}

// testPackages returns what the tests need beyond windowPackages.
func testPackages() []systemPackage {
	return []systemPackage{
		{"xvfb", "X11 display without a screen, for the test of the real window"},
		{"xdotool", "moves the pointer and presses keys in that window"},
		{"imagemagick", "takes the picture of that window"},
		{"python3-pykdl", "Orocos KDL for Python: reference for the kinematics"},
		{"python3-shapely", "GEOS for Python: reference for the support polygon"},
		{"liborocos-kdl-dev", "Orocos KDL for C++: reference for the speed of a solved leg"},
		{"libeigen3-dev", "matrix headers that KDL's own headers include"},
		{"g++", "C++ compiler for the KDL program"},
		{"gcc-avr", "compiles the exported tables for an 8-bit controller"},
		{"avr-libc", "C library headers for that controller"},
		{"binutils-avr", "tells the size of what was compiled for it, and lists its symbols"},
		{"simavr", "simulates that controller, to play the tables"},
		{"libsimavr-dev", "the same as a library: what its pins do is measured, and the live link reaches it"},
		{"libelf-dev", "headers with which that library loads a program"},
		{"gcc-arm-none-eabi", "compiles the player and its example for a 32-bit Arm controller"},
	}
}
