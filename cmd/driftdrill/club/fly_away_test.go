package club

import (
	"context"
	"fmt"
	"net"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	control "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// startAgain starts the night's server again at the address that it had, on the
// day of the night's beginning: the test's clock has been set since.
func (n *testNight) startAgain(at string, day time.Time) *testNight {
	n.t.Helper()
	now := n.clock.now()
	n.clock.pass(day.Sub(now))
	s, err := New(n.cfg)
	n.clock.pass(now.Sub(day))
	if err != nil {
		n.t.Fatal(err)
	}
	l, err := net.Listen("tcp", at)
	if err != nil {
		n.t.Fatal(err)
	}
	s.desk = n.desk
	again := &testNight{Server: s, t: n.t, clock: n.clock, cfg: n.cfg, web: httptest.NewUnstartedServer(s)}
	_ = again.web.Listener.Close() // the one that it would have had
	again.web.Listener = l
	again.web.Start()
	n.t.Cleanup(again.end)
	return again
}

// onUnsent runs before every page: unsent counts what waits in the browser's
// box, and leaveUnsent puts something there, as the desk does.
const onUnsent = `
globalThis.unsent = async () => {
  const db = await box();
  const n = await new Promise((ok) => { const r = db.transaction("box").objectStore("box").count(IDBKeyRange.bound("unsent/", "unsent/\uffff")); r.onsuccess = () => ok(r.result); });
  db.close();
  return n;
};
globalThis.leaveUnsent = async (key, text) => {
  const db = await box();
  await new Promise((ok) => { const t = db.transaction("box", "readwrite"); t.objectStore("box").put(new TextEncoder().encode(text), "unsent/" + key); t.oncomplete = ok; });
  db.close();
  dispatchEvent(new Event("unsent"));
};`

// waiting waits until so many sheets wait in the browser's box.
func (p *flyingPage) waiting(want int) {
	p.t.Helper()
	got := -1
	for end := time.Now().Add(2 * time.Minute); got != want; time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			p.t.Fatalf("%d sheets wait in the browser, wanted %d; faults: %v", got, want, p.faults())
		}
		p.await(`globalThis.unsent ? unsent() : -1`, &got)
	}
}

// The server goes away while a member flies, and comes back after the run: the
// sheet waits in the browser, can be kept as a file, and is sent without a hand.
func TestASheetWaitsForTheServer(t *testing.T) {
	n := newNightOf(t, nightText, flyDrill)
	day := n.clock.now()
	p := openFlying(t, n, "Q1ABC", chromedp.Tasks{emulation.SetDeviceMetricsOverride(phoneWide, phoneHigh, 1, true), before(onUnsent)})
	steps(t, p.ctx, chromedp.Reload(), chromedp.WaitEnabled("#go"), chromedp.Click("#go"))
	p.written(`"second"`, 1)
	at := n.web.Listener.Addr().String()
	n.end()
	steps(t, p.ctx, key(input.KeyDown, "Space", " ", 32))
	p.written(`"do":"key","value":1`, 1)
	steps(t, p.ctx, key(input.KeyDown, "ArrowUp", "ArrowUp", 38))
	p.written(`"do":"knob"`, 1)
	steps(t, p.ctx, key(input.KeyUp, "ArrowUp", "ArrowUp", 38), key(input.KeyUp, "Space", " ", 32))
	p.waiting(1)
	steps(t, p.ctx, chromedp.WaitVisible("#outbox a"))
	picture(t, p.ctx, "sheet-waits")
	file := p.download("#outbox a")
	p.waiting(1)
	p.testNight = n.startAgain(at, day)
	steps(t, p.ctx, chromedp.WaitVisible(".runs li")) // the page has sent it and gone on
	p.waiting(0)
	body, err := p.evening.book.sheet(t.Context(), p.lastRun("Q1ABC"))
	if err != nil {
		t.Fatal(err)
	}
	p.isWhatTheProgramMakes(body)
	if string(body) != file {
		t.Errorf("the file has %d bytes, the sheet that was sent %d", len(file), len(body))
	}
}

// What the server refuses is told, and sent again by a hand alone; what another
// member has left in the browser waits for him.
func TestARefusedSheetIsToldAndLeft(t *testing.T) {
	n := newNight(t, nightText)
	ctx := browser(t)
	p := &flyingPage{testNight: n, ctx: ctx, faults: listen(ctx)}
	cookie := n.asMember("Q1ABC", "no aids")
	steps(t, ctx, size(phoneWide, phoneHigh), before(onNewPage+onUnsent), n.signIn(cookie), chromedp.Navigate(n.web.URL+"/"), chromedp.WaitVisible(".drop"))
	leave := func(call string) {
		p.await(fmt.Sprintf(`leaveUnsent(%q, %q)`, call, `{"call":"`+call+`","at":"2026-11-26T19:04:05.123Z","said":""}`+"\nnothing\n"), nil)
	}
	says := func(text string) {
		t.Helper()
		var got string
		for end := time.Now().Add(time.Minute); !strings.Contains(got, text); time.Sleep(20 * time.Millisecond) {
			if steps(t, ctx, chromedp.TextContent("#outbox ul", &got)); time.Now().After(end) {
				t.Fatalf("the page says %q, wanted %q", got, text)
			}
		}
	}
	leave("Q1ABC")
	says("No heat is open")
	steps(t, ctx, chromedp.Reload(), chromedp.WaitVisible("#outbox li"))
	leave("Q2GHI")
	says("as soon as this browser has joined as Q2GHI")
	picture(t, ctx, "sheet-refused")
	if got := len(p.refusals()); got != 1 {
		t.Errorf("sent %d times, wanted once", got)
	}
	steps(t, ctx, chromedp.Click(`button[aria-label^="Send Q1ABC"]`))
	waitFor(t, func() bool { return len(p.refusals()) == 2 })
	says("No heat is open")
	n.evening.mu.Lock()
	clear(n.evening.sessions)
	n.evening.mu.Unlock()
	steps(t, ctx, chromedp.Click(`button[aria-label^="Send Q1ABC"]`))
	says("has not joined as Q1ABC any more")
	steps(t, ctx, chromedp.Click(`button[aria-label^="Forget Q1ABC"]`))
	p.waiting(1)
	steps(t, ctx, chromedp.Navigate(n.web.URL+"/"), chromedp.WaitVisible("input[name=call]"), chromedp.WaitVisible("#outbox li"))
	if got := len(p.refusals()); got != 2 {
		t.Errorf("sent %d times, wanted twice", got)
	}
}

// download follows a link to a file and returns what is in it.
func (p *flyingPage) download(link string) string {
	p.t.Helper()
	dir := p.t.TempDir()
	done := make(chan string, 1)
	chromedp.ListenTarget(p.ctx, func(ev any) {
		if e, ok := ev.(*control.EventDownloadProgress); ok && e.State == control.DownloadProgressStateCompleted {
			done <- e.GUID
		}
	})
	steps(p.t, p.ctx, control.SetDownloadBehavior(control.SetDownloadBehaviorBehaviorAllowAndName).WithDownloadPath(dir).WithEventsEnabled(true), chromedp.Click(link))
	ctx, cancel := context.WithTimeout(p.ctx, time.Minute)
	defer cancel()
	select {
	case name := <-done:
		text, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			p.t.Fatal(err)
		}
		return string(text)
	case <-ctx.Done():
		p.t.Fatal("the file never came")
	}
	return ""
}
