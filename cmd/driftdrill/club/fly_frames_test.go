package club

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/systeminfo"
	"github.com/chromedp/chromedp"
)

// countFrames runs before every page: it takes down how many frames the page was
// asked for, how long its program worked on them, and what it drew.
const countFrames = `
globalThis.counted = { frames: 0, drawn: 0, calls: 0, busy: 0, since: 0 };
{
  const ask = requestAnimationFrame.bind(globalThis), gl = WebGL2RenderingContext.prototype, draw = gl.drawElements;
  let calls = 0;
  gl.drawElements = function (...a) { calls++; return draw.apply(this, a); };
  globalThis.requestAnimationFrame = (f) => ask((t) => {
    const from = performance.now(), before = calls;
    f(t);
    counted.frames++; counted.calls += calls - before; counted.drawn += calls > before; counted.busy += performance.now() - from;
  });
}
globalThis.count = () => { const now = performance.now(), c = { ...counted, ms: now - counted.since }; counted = { frames: 0, drawn: 0, calls: 0, busy: 0, since: now }; return c; };`

// frameCount is what countFrames counted.
type frameCount struct{ Frames, Drawn, Calls, Busy, MS float64 }

// Where the processor draws, every picture is taken from the sound: thirty a
// second at the most, a few calls each, every pixel of it worked out once.
func (p *flyingPage) drawsLittle() {
	p.t.Helper()
	var got frameCount
	p.await("count()", nil)
	for end := time.Now().Add(time.Minute); got.Drawn < 30 && time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		p.await("({ ...counted, ms: performance.now() - counted.since })", &got)
	}
	switch a := got.Drawn / got.MS * 1000; {
	case got.Drawn < 30:
		p.t.Errorf("%v pictures in %.0f s", got.Drawn, got.MS/1000)
	case a > 34: // 30 and what one in thirty may be out
		p.t.Errorf("%.1f pictures a second", a)
	case got.Calls/got.Drawn > 10:
		p.t.Errorf("%.1f calls for a picture", got.Calls/got.Drawn)
	}
	var smooth bool
	p.await(`document.querySelector("canvas").getContext("webgl2").getContextAttributes().antialias`, &smooth)
	if smooth {
		p.t.Error("the browser smooths edges that are smooth")
	}
}

// busyDrill is a drill with all that a page can draw.
var busyDrill = strings.NewReplacer("ribbon = false\narrow = false\nmeter = false\npredict = false\n", "arrow = true\n",
	"length_s = 75", "length_s = 300", "overs = 3", "overs = 40", "[plan]", "[traffic]\nstations = 6\nplans = [\"contact\"]\nspacing_hz = 7000\n[plan]").Replace(testDrill)

// BenchmarkFramesInABrowser flies in a browser that draws in software: pictures in
// a second, what the program works on each, how often it draws for one, and what
// all of the browser takes of the processor.
func BenchmarkFramesInABrowser(b *testing.B) {
	for _, w := range []struct {
		name       string
		wide, high int64
		touch      bool
	}{{"phone", phoneWide, phoneHigh, true}, {"window", 1280, 720, false}} {
		b.Run(w.name, func(b *testing.B) {
			n := newNightOf(b, nightText, busyDrill)
			p := openFlyingAs(b, n, "Q1ABC", "all aids", chromedp.Tasks{emulation.SetDeviceMetricsOverride(w.wide, w.high, 1, w.touch), emulation.SetTouchEmulationEnabled(w.touch)})
			steps(b, p.ctx, chromedp.Click("#go"))
			p.written(`"second"`, 6)
			steps(b, p.ctx, key(input.KeyDown, "Space", " ", 32))
			p.written(`"do":"key","value":1`, 1)
			for b.Loop() {
				var got frameCount
				from := browserTook(b, p.ctx)
				p.await("count()", nil)
				time.Sleep(10 * time.Second)
				p.await("count()", &got)
				took := browserTook(b, p.ctx) - from
				b.ReportMetric(got.Drawn/got.MS*1000, "pictures/s")
				b.ReportMetric(got.Busy/got.Drawn, "program-ms/picture")
				b.ReportMetric(got.Calls/got.Drawn, "calls/picture")
				b.ReportMetric(took/got.Drawn*1000, "cpu-ms/picture")
				b.ReportMetric(took/got.MS*1000, "cores")
			}
			picture(b, p.ctx, "frames-"+w.name)
		})
	}
}

// browserTook is the time that all of the browser has taken, seconds.
func browserTook(t testing.TB, ctx context.Context) (s float64) {
	t.Helper()
	all, err := systeminfo.GetProcessInfo().Do(cdp.WithExecutor(ctx, chromedp.FromContext(ctx).Browser))
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range all {
		s += p.CPUTime
	}
	return s
}
