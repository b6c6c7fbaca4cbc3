module gaitwright

go 1.26.0

require (
	gioui.org v0.10.3
	gioui.org/x v0.10.2
	github.com/alecthomas/kong v1.17.0
	github.com/go-gl/mathgl v1.2.0
	github.com/google/go-cmp v0.7.0
	github.com/natefinch/atomic v1.0.1
	github.com/pelletier/go-toml/v2 v2.4.3
	go.bug.st/serial v1.8.0
	gonum.org/v1/gonum v0.17.0
	gonum.org/v1/plot v0.17.0
	pgregory.net/rapid v1.3.0
)

require (
	codeberg.org/go-fonts/liberation v0.5.0 // indirect
	codeberg.org/go-latex/latex v0.2.0 // indirect
	codeberg.org/go-pdf/fpdf v0.11.1 // indirect
	gioui.org/shader v1.0.9 // indirect
	git.sr.ht/~sbinet/gg v0.7.0 // indirect
	git.wow.st/gmp/jni v0.0.0-20210610011705-34026c7e22d0 // indirect
	github.com/ajstarks/svgo v0.0.0-20211024235047-1546f124cd8b // indirect
	github.com/go-text/typesetting v0.3.5 // indirect
	github.com/godbus/dbus/v5 v5.2.2 // indirect
	github.com/golang/freetype v0.0.0-20170609003504-e2365dfdc4a0 // indirect
	golang.org/x/exp/shiny v0.0.0-20260908205506-85c1c2202aba // indirect
	golang.org/x/image v0.46.0 // indirect
	golang.org/x/net v0.48.0 // indirect
	golang.org/x/sys v0.48.0 // indirect
	golang.org/x/text v0.42.0 // indirect
)
