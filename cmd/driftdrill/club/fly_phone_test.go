package club

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// A telephone that is held upright, dips: where its key and its knob lie, as in
// the picture of the desk on one (assets/pictures/phone.png).
const (
	phoneWide, phoneHigh = 390, 844
	keyX, keyY           = 78, 412
	keepX, keepY         = 1059, 125 // on the start page, 1280 x 720
	knobX, knobY         = 195, 672
)

// finger puts a finger down, moves it or lifts it.
func finger(kind input.TouchType, x, y float64) chromedp.Action {
	e := input.DispatchTouchEvent(kind, []*input.TouchPoint{})
	if kind != input.TouchEnd {
		e.TouchPoints = []*input.TouchPoint{{X: x, Y: y, ID: 1}}
	}
	return e
}

// A telephone held upright flies by fingers: one holds the key, one turns the
// knob. The page is loaded again in the middle of the run: what was flown up to
// the second before is in the browser, and the desk offers it.
func TestFlyingOnATelephone(t *testing.T) {
	n := newNightOf(t, nightText, strings.NewReplacer("overs = 2", "overs = 40", "length_s = 40", "length_s = 400").Replace(flyDrill)) // no end on any machine
	p := openFlying(t, n, "Q2GHI", chromedp.Tasks{emulation.SetDeviceMetricsOverride(phoneWide, phoneHigh, 1, true), emulation.SetTouchEmulationEnabled(true)})
	var box struct{ X, Y, Width, Height float64 }
	p.await(`(() => { const r = document.getElementById("go").getBoundingClientRect(); return { X: r.x, Y: r.y, Width: r.width, Height: r.height }; })()`, &box)
	if box.X < 0 || box.X+box.Width > phoneWide || box.Height < 44 {
		t.Errorf("the button to begin is not for a finger: %+v", box)
	}
	steps(t, p.ctx, finger(input.TouchStart, box.X+box.Width/2, box.Y+box.Height/2), finger(input.TouchEnd, 0, 0))
	p.written(`"second"`, 1)
	steps(t, p.ctx, finger(input.TouchStart, keyX, keyY))
	p.written(`"do":"key","value":1`, 1)
	steps(t, p.ctx, finger(input.TouchEnd, 0, 0))
	p.written(`"do":"key"`, 2) // a value of 0 is not written
	picture(t, p.ctx, "phone")
	p.drawsLittle()
	const radius = 60
	steps(t, p.ctx, finger(input.TouchStart, knobX+radius, knobY))
	for i := 1; !strings.Contains(p.written(`"second"`, 1), `"do":"knob"`); i++ { // round and round until it is written
		if i > 400 {
			t.Fatal("the knob does not turn by a finger")
		}
		s, c := math.Sincos(float64(i) * 0.25)
		steps(t, p.ctx, finger(input.TouchMove, knobX+radius*c, knobY+radius*s))
	}
	steps(t, p.ctx, finger(input.TouchEnd, 0, 0))
	before := p.written(`"second"`, 12) // shorter ones are not worth offering
	steps(t, p.ctx, chromedp.Reload(), chromedp.WaitEnabled("#go"))
	after := p.written(`"second"`, strings.Count(before, `"second"`))
	if !strings.HasPrefix(after, before) || strings.Contains(after, `"end"`) {
		t.Errorf("what stood in the browser is not there after the page was loaded again: %d bytes of %d", len(after), len(before))
	}
	p.offersTheRun()
	for _, f := range p.faults() {
		t.Error(f)
	}
}

// offersTheRun opens the desk, which offers what was cut short, and keeps it by a
// click: the run goes into the browser's logbook.
func (p *flyingPage) offersTheRun() {
	p.t.Helper()
	steps(p.t, p.ctx, chromedp.ActionFunc(func(ctx context.Context) error { return emulation.SetTouchEmulationEnabled(false).Do(ctx) }),
		emulation.SetDeviceMetricsOverride(1280, 720, 1, false), chromedp.Navigate(p.web.URL+"/desk"), chromedp.WaitEnabled("#go"))
	p.await(fmt.Sprintf("choose(%q)", "Welcomed = true\n"), nil)
	steps(p.t, p.ctx, chromedp.Click("#go"), chromedp.WaitVisible("canvas"))
	var rows int
	for end := time.Now().Add(time.Minute); rows == 0 && time.Now().Before(end); time.Sleep(200 * time.Millisecond) {
		steps(p.t, p.ctx, chromedp.MouseClickXY(keepX, keepY))
		p.await(`runs()`, &rows)
	}
	picture(p.t, p.ctx, "desk-in-a-browser")
	if rows != 1 {
		p.t.Errorf("%d runs in the browser's logbook", rows)
	}
}
