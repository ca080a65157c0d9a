//go:build !nodesk

package flying

import (
	"fmt"
	"math"
	"path/filepath"
	"testing"

	"driftdrill/cmd/driftdrill/desk/desktest"
	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/kittest"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// lines is a session whose spectrum is noise of 0 dB with lines of 20 dB.
type lines struct {
	*desktest.Session
	centre, span float64
	at           []int // bins
}

func (l *lines) Spectrum(dst []float32) (centre, span float64) {
	clear(dst)
	for _, i := range l.at {
		dst[i] = 20
	}
	return l.centre, l.span
}

// The strip shows the passband, 1.2 kHz more on either side, and a beacon that lies
// within 40 kHz of that, with 0.6 kHz more.
func TestEdgesOfTheStrip(t *testing.T) {
	kittest.NeedWindow(t)
	const low, high = 145_850_000, 145_880_000
	for _, c := range []struct{ beacon, low, high float64 }{
		{0, low - 1200, high + 1200},
		{145_860_000, low - 1200, high + 1200},
		{low - 1200, low - 1800, high + 1200},
		{low - 700, low - 1300, high + 1200},
		{high + 1000, low - 1200, high + 1600},
		{low - 41_190, low - 41_790, high + 1200},
		{low - 41_210, low - 1200, high + 1200},
		{high + 41_190, low - 1200, high + 41_790},
		{high + 41_210, low - 1200, high + 1200},
	} {
		ses := desktest.NewSession()
		ses.Facts.PassbandLowHz, ses.Facts.PassbandHighHz, ses.Facts.BeaconHz = low, high, int64(c.beacon)
		var s strip
		if s.update(ses, &ses.State, &kit.Night); s.low != c.low || s.hi != c.high {
			t.Errorf("beacon at %.0f: %.0f to %.0f, want %.0f to %.0f", c.beacon, s.low, s.hi, c.low, c.high)
		}
	}
}

// Each column shows the strongest of what lies in it, a quarter of its neighbours,
// rises by 45 % of what is missing and falls by 10 %.
func TestColumnsOfTheStrip(t *testing.T) {
	kittest.NeedWindow(t)
	ses := &lines{Session: desktest.NewSession(), centre: 145_865_000, span: 96_000}
	ses.Facts.BeaconHz = 0
	bin := func(hz float64) int { return int((hz - ses.centre + ses.span/2) / ses.span * spectrumBins) }
	ses.at = []int{bin(145_848_801), bin(145_865_020), bin(145_881_199)}
	var s strip
	var all []string
	tell := func(what string) {
		line := what + ":"
		for i, v := range s.smooth {
			if i > 0 && i < stripColumns-1 && math.Abs(v-s.smooth[i-1]) < 0.05 && math.Abs(v-s.smooth[i+1]) < 0.05 {
				continue // like both beside it
			}
			line += fmt.Sprintf(" %d %.2f", i, v)
		}
		all = append(all, line)
	}
	for range 2 {
		s.update(ses, &ses.State, &kit.Night)
		tell("rising")
	}
	ses.at = nil
	s.update(ses, &ses.State, &kit.Night)
	tell("falling")
	ses.span = 0
	s.update(ses, &ses.State, &kit.Night)
	tell("no spectrum")
	ses.span, ses.centre = 20_000, 145_855_000 // the receiver hears but a part of it: the rest is quiet
	s = strip{}
	s.update(ses, &ses.State, &kit.Night)
	tell("part of it, quiet beyond")
	desktest.CompareDrawn(t, filepath.Join("testdata", "drawn", "columns.txt"), all)
}

// runs are the columns by what they show.
func (t *strip) runs() (out string) {
	for i := 0; i < stripColumns; {
		j := i
		for j < stripColumns && t.kind[j] == t.kind[i] {
			j++
		}
		out += fmt.Sprintf(" %d-%d %s", i, j-1, []string{"noise", "other", "own"}[t.kind[i]])
		i = j
	}
	return out
}

// What is one's own and what is others' is marked where it lies, by the sideband
// that it is in, and what is one's own before everything else.
func TestWhoseColumnsTheyAre(t *testing.T) {
	at := func(kind sim.SignalKind, on bool, offset float64, side sim.Sideband) sim.Signal {
		return sim.Signal{Kind: kind, On: on, OffsetHz: offset, Sideband: side}
	}
	var all []string
	for _, c := range []struct {
		name    string
		yours   bool
		signals []sim.Signal
	}{
		{"nothing", true, nil},
		{"own", true, []sim.Signal{at(sim.SignalOwn, true, 0, sim.USB)}},
		{"own on the lower sideband", true, []sim.Signal{at(sim.SignalOwn, true, 0, sim.LSB)}},
		{"own without the aid", false, []sim.Signal{at(sim.SignalOwn, true, 0, sim.USB)}},
		{"own and off", true, []sim.Signal{at(sim.SignalOwn, false, 0, sim.USB)}},
		{"a station", true, []sim.Signal{at(sim.SignalStation, true, -5000, sim.USB)}},
		{"a station that is silent", true, []sim.Signal{at(sim.SignalStation, false, -5000, sim.USB)}},
		{"own over a station", true, []sim.Signal{at(sim.SignalOwn, true, 0, sim.USB), at(sim.SignalStation, true, 1000, sim.USB)}},
		{"own under a station", false, []sim.Signal{at(sim.SignalOwn, true, 0, sim.USB), at(sim.SignalStation, true, 1000, sim.USB)}},
		{"a beacon", true, []sim.Signal{at(sim.SignalBeacon, true, -9000, sim.USB)}},
		{"beyond both edges", true, []sim.Signal{at(sim.SignalStation, true, -17_000, sim.USB), at(sim.SignalStation, true, 16_900, sim.USB)}},
	} {
		s := strip{low: 145_848_800, hi: 145_881_200, yours: c.yours}
		st := sim.State{ReceiveHz: 145_864_000, NumSignals: len(c.signals)}
		copy(st.Signals[:], c.signals)
		s.classify(&st)
		all = append(all, c.name+":"+s.runs())
	}
	desktest.CompareDrawn(t, filepath.Join("testdata", "drawn", "whose.txt"), all)
}

// A row of the history stands for 0.15 s, whether the run goes on or begins anew.
func TestRowsOfTheHistory(t *testing.T) {
	kittest.NeedWindow(t)
	ses := desktest.NewSession()
	var s strip
	rows := func() int { return (2*historyRows - s.next) % historyRows }
	for _, c := range []struct {
		tick sim.Tick
		want int
	}{{5000, 1}, {5000, 1}, {5029, 1}, {5030, 2}, {5059, 2}, {5061, 3}, {5090, 3}, {5091, 4}, {90, 5}, {119, 5}, {120, 6}} {
		ses.State.Tick = c.tick
		if s.update(ses, &ses.State, &kit.Night); rows() != c.want {
			t.Errorf("at tick %d: %d rows, want %d", c.tick, rows(), c.want)
		}
	}
}

// The ribbon keeps a sample every 40 ms, begins anew where the time goes back, and
// forgets the oldest quarter once it has 3500.
func TestWhatTheRibbonKeeps(t *testing.T) {
	var b ribbon
	for _, c := range []struct {
		tick sim.Tick
		want int
	}{{1000, 1}, {1001, 1}, {1007, 1}, {1008, 2}, {1015, 2}, {1017, 3}, {1024, 3}, {1025, 4}, {1025, 4}, {900, 1}, {908, 2}} {
		if b.update(&sim.State{Tick: c.tick, OffsetHz: float64(c.tick), Keyed: true, Phase: sim.PhaseTalk}); len(b.kept) != c.want {
			t.Errorf("at tick %d: %d kept, want %d", c.tick, len(b.kept), c.want)
		}
		if last := b.kept[len(b.kept)-1]; last.tick == c.tick && (last.offset != float64(c.tick) || !last.keyed || last.phase != sim.PhaseTalk) {
			t.Errorf("at tick %d: kept %+v", c.tick, last)
		}
	}
	b = ribbon{}
	for i := range sim.Tick(3501) {
		b.update(&sim.State{Tick: 8 * i})
		if i == 3499 && len(b.kept) != 3500 || i == 3500 && (len(b.kept) != 2626 || b.kept[0].tick != 8*875 || b.kept[2625].tick != 8*3500) {
			t.Errorf("after %d samples %d are kept, from tick %d on", i+1, len(b.kept), b.kept[0].tick)
		}
	}
}

// A wider plot shows more of the past: 38 s at 1160 dips, no less, and up to two and a half times that.
func TestHowMuchOfThePast(t *testing.T) {
	for w, want := range map[float64]float64{400: 38, 1160: 38, 2320: 76, 2900: 95, 5000: 95} {
		if got := ribbonPast(kit.Box(0, 0, w, 100)); math.Abs(got-want) > 1e-9 {
			t.Errorf("%.0f dips: %g s, want %g", w, got, want)
		}
	}
}

// The hill is a line over the pass: a place on it for each tick, the ends beyond it.
func TestPlacesOnTheHill(t *testing.T) {
	var h hill
	r := kit.Box(100, 50, 400, 76)
	at := h.outline(r, []port.HillPoint{{Tick: 1000}, {Tick: 3000, ElevationDeg: 19}, {Tick: 5000, ElevationDeg: 38}, {Tick: 9000}}, 20)
	for tick, want := range map[sim.Tick]kit.Point{0: {X: 100, Y: 126}, 1000: {X: 100, Y: 126}, 2000: {X: 150, Y: 107}, 3000: {X: 200, Y: 88}, 5000: {X: 300, Y: 50}, 7000: {X: 400, Y: 88},
		9000: {X: 500, Y: 126}, 9900: {X: 500, Y: 126}} {
		if x, y := at(tick); math.Hypot(x-want.X, y-want.Y) > 1e-6 {
			t.Errorf("tick %d: %.1f, %.1f, want %.1f", tick, x, y, want)
		}
	}
	if flown := h.upTo(250, 69); len(flown) != 3 || flown[1] != kit.Pt(200, 88) || flown[2] != kit.Pt(250, 69) {
		t.Errorf("flown so far: %v", flown)
	}
	if flown := h.upTo(100, 126); len(flown) != 1 {
		t.Errorf("at the beginning: %v", flown)
	}
	at = h.outline(r, []port.HillPoint{{Tick: 0, ElevationDeg: 38}, {Tick: 100, ElevationDeg: 76}}, 76)
	if x, y := at(0); x != 100 || y != 88 || len(h.pts) != 2 {
		t.Errorf("of two points: %g, %g, %d points", x, y, len(h.pts))
	}
	at = h.outline(r, []port.HillPoint{{Tick: 500, ElevationDeg: 30}}, 20)
	if x, y := at(500); x != 100 || y != 126 || len(h.pts) != 0 {
		t.Errorf("of one point: %g, %g, %d points", x, y, len(h.pts))
	}
}

// A run of only a part of a pass is marked under the hill, from 2 s on that it leaves out.
func TestPartOfAPassIsMarked(t *testing.T) {
	kittest.NeedWindow(t)
	s := desktest.BareStage(t, 1280, 720, 1, "night")
	for _, c := range []struct {
		start, end sim.Tick
		want       bool
	}{{0, desktest.LOS, false}, {desktest.AOS + 400, desktest.LOS - 400, false}, {desktest.AOS + 401, desktest.LOS, true}, {0, desktest.LOS - 401, true}, {0, 0, false}, {5000, 5000, false}} {
		ses := desktest.NewSession()
		ses.Facts.Start, ses.Facts.End = c.start, c.end
		marks := 0
		for _, l := range s.DrawnBy(func(cv *kit.Canvas) { new(hill).drawPass(cv, kit.Box(20, 20, 500, 90), &ses.Facts, &ses.State) }) {
			var x0, y0, x1, y1 float64
			if n, _ := fmt.Sscanf(l, "rect %g,%g to %g,%g, Yours at 75.0", &x0, &y0, &x1, &y1); n == 4 && math.Abs(y1-y0-3) < 0.2 {
				marks++
			}
		}
		if marks == 1 != c.want {
			t.Errorf("from %d to %d: %d marks", c.start, c.end, marks)
		}
	}
}

// The beacon's name stands clear of every trace, however far peaks stand out of the
// noise, and within the strip.
func TestNameOfTheBeaconStandsClear(t *testing.T) {
	kittest.NeedWindow(t)
	for _, size := range []struct {
		w, h int
		text float64
	}{{1280, 720, 1}, {960, 600, 2.5}, {3840, 1080, 2.5}, {1920, 1080, 1}} {
		for _, at := range []float64{0.03, 0.5, 0.97} {
			for wide := range 12 {
				s := desktest.BareStage(t, size.w, size.h, size.text, "night")
				ses := desktest.NewSession()
				strip := &strip{low: 145_848_000, hi: 145_882_000}
				ses.Facts.BeaconHz = int64(kit.Lerp(strip.low, strip.hi, at))
				ses.State.NumSignals = 0
				peak := strip.column(float64(ses.Facts.BeaconHz))
				for i := max(peak-wide, 0); i <= min(peak+wide, stripColumns-1); i++ {
					strip.smooth[i] = 60 - 4*math.Abs(float64(i-peak)) // as it stands where the noise is 60 dB down
				}
				r := kit.Box(20, 40, float64(size.w)-40, 70*size.text)
				var word kit.Rect
				c := kit.NewCanvas(s.App.Type)
				c.Seen = func(r kit.Rect, str string) {
					if str == "beacon" {
						word = r
					}
				}
				c.Begin(s.Image, 1, s.App.Pal)
				strip.draw(c, r, &ses.Facts, &ses.State)
				_, panel := r.CutBottom(math.Min(r.H*0.36, 90))
				if r.H < c.Type.LineHeight(kit.Mono13)+62 {
					panel = r
				}
				_, plot := panel.CutBottom(c.Type.LineHeight(kit.Mono13) + 2)
				if word.W == 0 {
					if plot.H > 2.4*c.Type.LineHeight(kit.Tiny) {
						t.Fatalf("%v: the beacon has no name", size)
					}
					continue
				}
				if word.X < r.X || word.Right() > r.Right() {
					t.Errorf("%v at %g: %.1f leaves the strip", size, at, word)
				}
				for i := range stripColumns {
					p := strip.point(plot, i)
					if p.X > word.X-2 && p.X < word.Right()+2 && p.Y < word.Bottom()-2 {
						t.Fatalf("%v at %g, a peak of %d columns: the word in %.1f touches the trace at %.1f", size, at, 2*wide+1, word, p)
					}
				}
			}
		}
	}
}
