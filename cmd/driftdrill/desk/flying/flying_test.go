//go:build !nodesk

package flying

import (
	"bytes"
	"errors"
	"math"
	"slices"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
)

// pilot is a seat at the desk.
type pilot struct {
	*desktest.Seat
	f *flying
}

func newPilot(t *testing.T, change func(f *desktest.Session)) *pilot {
	t.Helper()
	s := desktest.NewSeat(t, change)
	f := newFlying(s.Fake, port.RunRequest{})
	s.App.Scenes.Push(s.App, f)
	s.Update(2)
	s.Draw()
	s.Fake.Posts = nil
	return &pilot{s, f}
}

// fly puts the desk on a stage, flown by a scripted hand from a tick on for some seconds.
func fly(s *desktest.Stage, from sim.Tick, seconds int, change func(f *desktest.Session)) *flying {
	s.Fake = desktest.NewSession()
	s.Fake.State.Tick = from
	s.Fake.State.UplinkHz = 435_148_000 + int64(desktest.ShiftHz(from)) - 60
	if change != nil {
		change(s.Fake)
	}
	s.Fake.Refresh()
	f := newFlying(s.Fake, port.RunRequest{})
	f.keepPaintings(s)
	s.App.Scenes.Push(s.App, f)
	for i := 0; i < seconds*20; i++ {
		talks := s.Fake.State.Phase == sim.PhaseTalk || s.Fake.State.Phase == sim.PhaseFind
		if talks != s.Fake.State.Keyed {
			s.Fake.Post(sim.CommandKey, boolValue(talks))
		}
		if talks && i%7 == 0 && math.Abs(s.Fake.State.OffsetHz) > 15 {
			s.Fake.Post(sim.CommandKnob, int64(kit.Clamp(math.Round(s.Fake.State.OffsetHz/20), -6, 6)))
		}
		s.Fake.Advance(10)
		s.Step()
	}
	return f
}

// paintedOn is where something was painted: on a window of a size, in colours.
type paintedOn struct {
	size kit.Point
	pal  *kit.Palette
}

// painted are the desks drawn last: what was painted for them is not painted
// anew where it would be the same.
var painted = map[paintedOn]*flying{}

func (f *flying) keepPaintings(s *desktest.Stage) {
	on := paintedOn{s.App.Size, s.App.Pal}
	if k := painted[on]; k != nil {
		f.knob.base, f.knob.dimple, f.card, f.log.card, f.bench.card = k.knob.base, k.knob.dimple, k.card, k.log.card, k.bench.card
	}
	painted[on] = f
}

// quizzing makes the fake ask "hear" with some verdicts given.
func quizzing(f *desktest.Session) {
	f.Facts.Brief, f.Facts.Coach, f.Facts.DrillTitle, f.Facts.DrillNumber = "Say what you hear.", "Compare with the voice as you speak it.", "Hear the shift", 1
	f.Exercise = sim.ExerciseState{Kind: sim.ExerciseHear, Trials: 20, Trial: 1, Asking: true}
}

// firstMoving makes the fake ask for the first move, with two verdicts given.
func firstMoving(f *desktest.Session) {
	f.Facts.Brief, f.Facts.DrillTitle, f.Facts.DrillNumber = "Turn it true. The first turn counts.", "Which way round", 2
	f.Facts.Coach = "An inverting bird turns the band over."
	f.Facts.Straight = []bool{false, true, false, false, true, false, false, false, true, false}
	f.Exercise = sim.ExerciseState{Kind: sim.ExerciseFirstMove, Trials: 10, Trial: 3, Judged: 2, Correct: 1, Asking: true, Left: 1500,
		Last: sim.TrialResult{Trial: 2, ShiftHz: 180, Answer: 1, Right: 2, Took: 300}}
}

// faultFinding makes the fake ask what is wrong; the list is that of the drill
// of the course.
func faultFinding(f *desktest.Session) {
	f.Facts.Brief, f.Facts.DrillTitle, f.Facts.DrillNumber = "One thing is wrong. Try, listen, and name it.", "Wrong in one thing", 9
	f.Facts.Coach = ""
	for i, text := range []string{"uplink sideband set wrong", "both sidebands set wrong", "uplink outside the passband", "the rig's reference is off", "the diplexer is out",
		"the transponder is off", "the elements are old", "the clock is wrong"} {
		f.Facts.Answers = append(f.Facts.Answers, sim.Choice{Value: int64(i + 1), Text: text})
	}
	f.Exercise = sim.ExerciseState{Kind: sim.ExerciseFault, Trials: 5, Trial: 2, Judged: 1, Correct: 1, Asking: true, Left: 9000,
		Last: sim.TrialResult{Trial: 1, Answer: 3, Right: 3, Correct: true, Took: 4000}}
}

// desks are the looks of the desk itself.
var desks = []desktest.View{
	{Name: "desk", Raced: true, Sun: true, Large: true, Put: func(s *desktest.Stage) { fly(s, desktest.TCA-12400, 10, nil) }},
	{Name: "desk without aids", Raced: true, Put: func(s *desktest.Stage) {
		fly(s, desktest.TCA-9200, 2, func(f *desktest.Session) { f.Facts.Aids = port.Aids{} })
	}},
	{Name: "hear", Raced: true, Put: func(s *desktest.Stage) {
		f := fly(s, 4000, 1, quizzing)
		for i, shift := range []float64{200, -50, 25, 0, -100, 50, -25, 200} {
			e := &s.Fake.Exercise
			e.Judged, e.Trial = i+1, i+2
			e.Last = sim.TrialResult{Trial: i + 1, ShiftHz: shift, Correct: i%3 != 1, Answer: 1, Right: 1, Took: 300}
			e.Correct += kit.Count(e.Last.Correct)
			s.Fake.Refresh()
			s.Step()
		}
		_ = f
	}},
	{Name: "contact log", Raced: true, Large: true, Put: func(s *desktest.Stage) {
		s.App.ReducedMotion = true
		fly(s, desktest.TCA-9200, 1, inContact)
		heardInPart(s.Fake)
		s.Step()
		s.App.Scenes.Top().(*flying).log.open = true
		s.App.Scenes.Top().(*flying).log.field = sim.NoteLocator
		s.Step()
	}},
	{Name: "antenna", Raced: true, Large: true, Put: func(s *desktest.Stage) {
		fly(s, desktest.TCA-9200, 3, func(f *desktest.Session) {
			f.Facts.AimTask, f.Facts.DrillTitle, f.Facts.DrillNumber = true, "Both hands", 13
		})
	}},
}

// others are the screens round a run.
var others = []desktest.View{
	{Name: "pause", Large: true, Put: func(s *desktest.Stage) {
		fly(s, desktest.TCA-12400, 3, nil)
		s.App.Scenes.Push(s.App, newPaused(s.App.Scenes.Top().(*flying)))
		s.Step()
	}},
	{Name: "pause halting", Large: true, Put: func(s *desktest.Stage) {
		fly(s, desktest.TCA-12400, 3, func(f *desktest.Session) { f.Halting = "the sound breaks up" })
		s.App.Scenes.Push(s.App, newPaused(s.App.Scenes.Top().(*flying)))
		s.Step()
	}},
	{Name: "first move", Large: true, Put: func(s *desktest.Stage) { fly(s, 4000, 1, firstMoving) }},
	{Name: "fault", Sun: true, Large: true, Put: func(s *desktest.Stage) { fly(s, 4000, 1, faultFinding) }},
	{Name: "trouble", Put: func(s *desktest.Stage) {
		s.Show(newTrouble("This run cannot be flown", errors.New("/home/q3fen/drills/mine.toml, line 7: there is no key \"lenght_s\"; did you mean length_s?")))
	}},
}

// Drawn in parts the desk must look as drawn whole.
func TestPartsMakeTheWhole(t *testing.T) {
	kittest.NeedWindow(t)
	for _, look := range []struct {
		w, h int
		text float64
	}{{1280, 720, 1}, {1280, 720, 2.5}, {390, 844, 1}, {390, 844, 1.5}} {
		s := desktest.NewStage(t, look.w, look.h, look.text, "night")
		f := fly(s, desktest.TCA-12400, 9, nil)
		resize(s, look.w, look.h, 1)
		for i := 0; i < 60; i++ {
			s.Draw() // the first fills the window, the others add parts
			s.Fake.Advance(10)
			if i%9 == 0 {
				s.Fake.Post(sim.CommandKnob, 1)
				f.knob.turn(1, &s.App.Set)
			}
			s.Step()
		}
		s.Draw()
		parted := kittest.Shrink(kittest.ReadBack(s.Image))
		s.App.Forget()
		s.Draw()
		if mean, far := kittest.Difference(parted, kittest.Shrink(kittest.ReadBack(s.Image))); mean > 0.05 || far > 0.0005 {
			kittest.WritePNG(t, "/tmp/driftdrill-parts.png", parted)
			t.Errorf("%v: parts differ from the whole: mean %.3f, %.3f %% far", look, mean, 100*far)
		}
	}
}

// resize is what the window does with each picture.
func resize(s *desktest.Stage, w, h int, d float64) {
	s.App.Resize(float64(w), float64(h), d)
	s.Step()
}

// A picture is paid for by the pixel where the processor draws it, and its time is
// the sound's: while one flies and turns, an update may not fill more than this
// share of the window's pixels on the average. Our choice, from what the desk needs.
func TestLittleIsDrawnWhileFlying(t *testing.T) {
	kittest.NeedWindow(t)
	for _, look := range []struct {
		w, h    int
		d, most float64
	}{{1280, 720, 1, 0.7}, {960, 600, 1, 0.7}, {390, 844, 0.75, 0.25}} {
		s := desktest.NewStage(t, look.w, look.h, 1, "night")
		f := fly(s, desktest.TCA-12400, 9, nil)
		resize(s, look.w, look.h, look.d)
		s.Draw()
		var filled float64
		pieces, pictures := 0, 0
		s.App.Told = func(strokes int, pixels float64) {
			pieces, pictures, filled = pieces+strokes, pictures+1, filled+pixels
		}
		const updates = 240
		for i := range updates {
			s.Fake.Advance(10 / 3)
			if i%9 == 0 {
				s.Fake.Post(sim.CommandKnob, 1)
				f.knob.turn(1, &s.App.Set)
			}
			s.Step()
			s.Draw()
		}
		px := s.App.Pixels()
		share := filled / updates / float64(px.X*px.Y)
		t.Logf("%v: %d pictures, %.1f pieces each, %.3f of the window's pixels an update", look, pictures, float64(pieces)/float64(pictures), share)
		if share > look.most || pictures < updates/8 {
			t.Errorf("%v: %.3f of the window's pixels an update, %d pictures", look, share, pictures)
		}
	}
}

// The same on screens with other pixels: the picture is laid out in dips, and
// rounding to pixels moves nothing by more than one.
func TestTextsKeepApartOnDenseScreens(t *testing.T) {
	for _, d := range []float64{1.25, 2} {
		s := desktest.NewStage(t, 960, 600, 1.4, "night")
		s.App.Resize(960, 600, d)
		s.Image = ebiten.NewImage(s.App.Pixels().X, s.App.Pixels().Y)
		desks[0].Put(s)
		desktest.CheckTexts(t, s)
		if w := float64(s.App.Pixels().X) / s.App.Scale(); math.Abs(w-960) > 1 {
			t.Errorf("scale %v: the window is %v dips wide", d, w)
		}
	}
}

func TestTextsKeepApart(t *testing.T) { desktest.DrawnApart(t, desks) }

func TestOuterTextsKeepApart(t *testing.T) { desktest.KeepApart(t, others) }

func TestGoldenPictures(t *testing.T) { desktest.GoldenPictures(t, append(others, desks...)) }

// Whatever the window, the knob lies within it and over nothing else, and whatever
// the text, at 1280x720 and more strip and ribbon both have their place and the card
// is no narrower than with small text.
func TestDeskHasRoomForAll(t *testing.T) {
	for _, size := range []kit.Point{{X: 960, Y: 600}, {X: 1280, Y: 720}, {X: 1920, Y: 1080}, {X: 1920, Y: 600}, {X: 2560, Y: 720}, {X: 3440, Y: 1000}, {X: 3840, Y: 1080}, {X: 1000, Y: 1400}} {
		small := 0.0
		for _, text := range []float64{1, 1.5, 2, 2.5} {
			s := desktest.BareStage(t, int(size.X), int(size.Y), text, "night")
			p := placeDesk(s.App.Size, s.App.Type, &port.About{Aids: port.Aids{Ribbon: true, Strip: true}})
			over := math.Max(p.strip.Bottom(), p.ribbon.Bottom())
			if p.radius < 30 || p.knob.Y-p.radius*1.06 < over || p.knob.Y+p.radius*1.06 > s.App.Size.Y || p.knob.X-p.radius*1.06 < p.card.Right() || p.knob.X+p.radius*1.06 > p.dials.X {
				t.Errorf("%.0fx%.0f at %.0f %%: knob of %.0f at %.0f, card %.0f, dials %.0f, ribbon ends at %.0f", size.X, size.Y, 100*text, p.radius, p.knob, p.card, p.dials, over)
			}
			if size.X >= 1280 && size.Y >= 720 && (p.strip.H < leastBand || p.ribbon.H < leastBand) {
				t.Errorf("%.0fx%.0f at %.0f %%: strip %.0f, ribbon %.0f high", size.X, size.Y, 100*text, p.strip.H, p.ribbon.H)
			}
			if wide := p.card.W * s.App.Scale(); text == 1 {
				small = wide
			} else if wide < small*0.99 && size.X/size.Y < 1.8 && size.X > 1280 {
				t.Errorf("%.0fx%.0f at %.0f %%: the card is %.0f wide, with small text %.0f", size.X, size.Y, 100*text, wide, small)
			}
		}
	}
}

// A window of 1920x1080 is used: text keeps its size, and hill, strip, ribbon and
// knob are larger than at 1280x720; a wider ribbon shows more of the past. That it
// is a third and more is our choice.
func TestALargerDeskShowsMore(t *testing.T) {
	at := func(w, h int) (deskPlaces, float64) {
		s := desktest.BareStage(t, w, h, 1, "night")
		return placeDesk(s.App.Size, s.App.Type, &port.About{Aids: port.Aids{Ribbon: true, Strip: true}}), s.App.Scale()
	}
	small, one := at(1280, 720)
	for _, size := range []struct{ w, h int }{{1920, 1080}, {2560, 1080}} {
		large, scale := at(size.w, size.h)
		if scale != one || large.hill.H < 1.33*small.hill.H || large.strip.H < 1.33*small.strip.H || large.ribbon.H < 1.33*small.ribbon.H || large.radius < 1.1*small.radius {
			t.Errorf("%dx%d at %v pixels to %v: hill %.0f to %.0f, strip %.0f to %.0f, ribbon %.0f to %.0f, knob %.0f to %.0f", size.w, size.h, scale, one,
				large.hill.H, small.hill.H, large.strip.H, small.strip.H, large.ribbon.H, small.ribbon.H, large.radius, small.radius)
		}
		if past := ribbonPast(large.ribbon); past < 1.33*ribbonPast(small.ribbon) || past/ribbonStep.Seconds() > ribbonKeep*0.75 {
			t.Errorf("%dx%d: the ribbon shows %.0f s", size.w, size.h, past)
		}
	}
}

// The buttons of the pause say all that stands on them at any text, and a line that
// is said at the upper edge is not cut.
func TestPauseAndLinesHoldTheirText(t *testing.T) {
	for _, text := range []float64{1, 2.5} {
		s := desktest.BareStage(t, 1280, 720, text, "night")
		fly(s, desktest.TCA-12400, 1, nil)
		p := newPaused(s.App.Scenes.Top().(*flying))
		s.App.Scenes.Push(s.App, p)
		s.Step()
		var all []string
		for _, b := range s.Texts() {
			all = append(all, b.Text)
		}
		for _, w := range p.widgets {
			if b, ok := w.(*kit.Button); ok && (!slices.Contains(all, b.Text) || b.Hint != "" && !slices.Contains(all, b.Hint)) {
				t.Errorf("text %.0f %%: %q, %q is not written", 100*text, b.Text, b.Hint)
			}
		}
	}
}

// Where the drill has no ribbon the strip takes most of its room.
func TestStripTakesTheRibbonsRoom(t *testing.T) {
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	with := placeDesk(s.App.Size, s.App.Type, &port.About{Aids: port.Aids{Ribbon: true, Strip: true}})
	without := placeDesk(s.App.Size, s.App.Type, &port.About{Aids: port.Aids{Strip: true}})
	if without.strip.H < 1.4*with.strip.H || without.ribbon.H < 40 {
		t.Errorf("with a ribbon the strip is %.0f high, without %.0f over a ribbon of %.0f", with.strip.H, without.strip.H, without.ribbon.H)
	}
}

// Without a ribbon its place shows the overs and when one was on the air, and no
// side: neither in words nor by where anything is drawn.
func TestOversAreShownWithoutARibbon(t *testing.T) {
	kittest.NeedWindow(t)
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	f := newFlying(desktest.NewSession(), port.RunRequest{})
	plot := kit.Box(100, 100, 940, 150)
	picture := func(offset float64) (desktest.Seen, float64) {
		f.ribbon = ribbon{}
		st := sim.State{OffsetHz: offset}
		for tick := range sim.Tick(30 * sim.TicksPerSecond) {
			st.Tick, st.Phase, st.Keyed = tick+20_000, sim.PhaseListen, false
			if tick > 10*sim.TicksPerSecond {
				st.Phase, st.Keyed = sim.PhaseTalk, tick > 15*sim.TicksPerSecond
			}
			f.ribbon.update(&st)
		}
		f.about.Aids = port.Aids{}
		v := desktest.Look(s, func(c *kit.Canvas) { f.ribbon.draw(c, kit.Box(20, plot.Y, plot.Right()-20, plot.H), f.about, &st, 1) })
		v.Where(t, "your over")
		v.Where(t, "on the air")
		return v, float64(v.Yours(plot))
	}
	v, high := picture(300)
	first := kittest.ReadBack(v.Stage.Image)
	if want := 15 * plot.W / 47 * 8; high < 0.8*want || high > 1.2*want { // 15 s on the air, 8 dips high
		t.Errorf("%.0f pixels are on the air, want some %.0f", high, want)
	}
	v, _ = picture(-300)
	if !bytes.Equal(first.Pix, kittest.ReadBack(v.Stage.Image).Pix) {
		t.Error("it can be seen on which side the voice is")
	}
}

// The line of what was on the air stays clear of the names of the phases, however
// low the plot is.
func TestOversStayClearOfTheirNames(t *testing.T) {
	for _, text := range []float64{1, 1.5, 2.5} {
		s := desktest.BareStage(t, 1280, 720, text, "night")
		for h := 40.0; h < 300; h += 7 {
			plot, size := kit.Box(100, 100, 940, h), s.App.Type.Size(kit.Tiny)
			lane := overLane(s.App.Type, plot)
			top := plot.Bottom() - phaseFoot(s.App.Type) - size*0.75 // of the capitals, some three quarters of the size
			if lane.Y < plot.Y || phasesNamed(s.App.Type, plot) && lane.Bottom() > top-2 {
				t.Errorf("text %.0f %%, %.0f high: the line ends at %.0f, the names begin at %.0f", 100*text, h, lane.Bottom(), top)
			}
		}
	}
}
