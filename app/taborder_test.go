// SPDX-License-Identifier: MIT

package app

import (
	"testing"

	"gioui.org/io/key"
	"gioui.org/widget"
)

// A field takes Tab itself where another field lies beside it, and goes on where
// Gio would.
func TestTabOrder(t *testing.T) {
	pairs := 0
	for page := range desks() {
		if page == walkLive {
			continue
		}
		r := openWith(t, Config{Name: "walker", Text: brisk(t)}, normal, 1)
		r.shapes.Value = page
		r.Settle()
		field := func(t any) bool { _, ok := t.(*widget.Editor); return ok }
		all := r.tabs.Tags()
		for i, tag := range all {
			next := all[(i+1)%len(all)]
			if !field(tag) || !field(next) {
				continue
			}
			pairs++
			r.Focus(tag)
			r.Router().MoveFocus(key.FocusForward)
			if !r.Router().Source().Focused(next) {
				t.Errorf("page %d: Tab on part %d leads to another part than Gio's", page, i)
			}
			r.Frame()
		}
	}
	if pairs < 10 {
		t.Errorf("only %d pairs of fields: what is to note them is gone", pairs)
	}
}

// Two numbers typed in one frame, with the Tab between them, and saved.
func TestTypedFastWithTab(t *testing.T) {
	path, r := opened(t)
	r.Click("y of the end point")
	r.Frame()
	r.Burst("3.5\t73.5")
	r.Frame()
	r.Press("S", key.ModShortcut)
	r.Settle()
	at := r.at
	end := reread(t, path).File().Moves[at.Move].Feet[at.Track].Spans[at.Span].End
	if end == nil || end[1] != 3.5 || end[2] != 73.5 || r.doc.Dirty() {
		t.Errorf("saved %v, dirty=%v, %v", end, r.doc.Dirty(), r.doc.Err())
	}
}

// A press on a button that shows another span takes a typed number first, for
// the span that it was typed for.
func TestTypedThenPressed(t *testing.T) {
	r := atHit(t)
	other := *r.span(hit + 1).End
	r.Click("z of the end point")
	r.Type("77")
	p := r.spot("next span")
	r.press(p)
	r.Frame()
	r.release(p)
	if r.at.Span != hit+1 || r.span(hit).End[2] != 77 || *r.span(hit + 1).End != other {
		t.Errorf("span %d shows; %v, then %v", r.at.Span, *r.span(hit).End, *r.span(hit + 1).End)
	}
}
