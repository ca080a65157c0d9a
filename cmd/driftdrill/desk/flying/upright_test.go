//go:build !nodesk

package flying

import (
	"fmt"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
)

// Nothing that is written on an upright desk lies over something else that is
// written, or leaves the window, with text of any size.
func TestUprightTextsKeepApart(t *testing.T) {
	kittest.NeedWindow(t)
	for _, v := range []desktest.View{desks[0], desks[1], desks[3]} {
		for _, text := range []float64{1, 1.5, 2, 2.5} {
			t.Run(fmt.Sprintf("%s/%.0f", v.Name, text*100), func(t *testing.T) {
				s := desktest.BareStage(t, 390, 844, text, "night")
				v.Put(s)
				s.App.Resize(390, 844, 1)
				s.Step()
				desktest.CheckTexts(t, s)
				f := s.App.Scenes.Top().(*flying)
				if got := f.places.radius * s.App.Scale(); got < 45 { // a thumb's width across: our choice
					t.Errorf("the knob's radius is %.0f pixels", got)
				}
				for _, b := range s.Texts() {
					if b.Text == "signal" && b.Rect.Bottom() > f.places.dials.Bottom()+1 {
						t.Errorf("%q at %.0f ends below the dials, %.0f", b.Text, b.Rect, f.places.dials.Bottom())
					}
				}
			})
		}
	}
}

// On telephones held upright (CSS pixels of common ones) everything lies on the
// window and apart, the key is larger than a thumb, and a wide window keeps its desk.
func TestUprightPlaces(t *testing.T) {
	kittest.NeedWindow(t)
	for _, phone := range []struct{ w, h int }{{360, 640}, {375, 667}, {390, 844}, {412, 915}, {430, 932}} {
		for _, text := range []float64{1, 1.5} {
			s := desktest.BareStage(t, phone.w, phone.h, text, "night")
			fly(s, desktest.TCA-12400, 3, nil)
			s.App.Resize(float64(phone.w), float64(phone.h), 1) // as the window does with each picture
			s.Step()
			size := s.App.Size
			p := s.App.Scenes.Top().(*flying).places
			if !p.upright || size.X < kit.UprightWidth-1 || size.X >= kit.MinWidth {
				t.Fatalf("%v: laid out as a desk on %v dips", phone, size)
			}
			knob := kit.Box(p.knob.X-p.radius, p.knob.Y-p.radius, 2*p.radius, 2*p.radius)
			parts := []kit.Rect{p.name, p.times, p.hill, p.ribbon, p.card, p.key, p.dials, knob}
			for i, r := range parts {
				if r.X < 0 || r.Y < 0 || r.Right() > size.X || r.Bottom() > size.Y {
					t.Errorf("%v at %v: part %d lies at %v, on %v", phone, text, i, r, size)
				}
				for j, q := range parts[:i] {
					if r.X < q.Right()-0.5 && q.X < r.Right()-0.5 && r.Y < q.Bottom()-0.5 && q.Y < r.Bottom()-0.5 {
						t.Errorf("%v at %v: parts %d and %d overlap: %v, %v", phone, text, j, i, q, r)
					}
				}
			}
			if k := s.App.Scale(); p.key.W*k < 90 || p.key.H*k < 90 || p.radius*k < 50/text { // large text leaves less
				t.Errorf("%v at %v: key %v and knob %.0f are too small for fingers", phone, text, p.key, p.radius)
			}
		}
	}
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	if p := placeDesk(s.App.Size, s.App.Type, &port.About{}); p.upright {
		t.Error("a wide window is laid out upright")
	}
}
