package club

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"driftdrill/testdata/race"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

var shots = flag.String("shots", "", "write pictures of the pages into this folder")

// browser opens a headless Chromium of its own; the test is skipped where there is none.
func browser(t testing.TB, more ...chromedp.ExecAllocatorOption) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser takes its time")
	}
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("no chromium here")
	}
	dir, err := os.MkdirTemp("", "driftdrill-browser")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { // its last processes may still write
		for end := time.Now().Add(20 * time.Second); os.RemoveAll(dir) != nil && time.Now().Before(end); {
			time.Sleep(50 * time.Millisecond)
		}
	})
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox, chromedp.UserDataDir(dir),
		chromedp.Flag("hide-scrollbars", true))
	opts = append(opts, more...)
	ctx, stop := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(stop)
	ctx, stop = chromedp.NewContext(ctx)
	t.Cleanup(stop)
	ctx, stop = context.WithTimeout(ctx, 8*time.Minute)
	t.Cleanup(stop)
	if err := chromedp.Run(ctx); err != nil {
		t.Fatal(err)
	}
	return ctx
}

// steps runs actions in the browser and fails the test at the first that fails.
func steps(t testing.TB, ctx context.Context, actions ...chromedp.Action) {
	t.Helper()
	if err := chromedp.Run(ctx, actions...); err != nil {
		t.Fatal(err)
	}
}

// signIn gives the browser a session.
func (n *testNight) signIn(cookie string) chromedp.Action {
	name, value, _ := strings.Cut(cookie, "=")
	return network.SetCookie(name, value).WithURL(n.web.URL).WithHTTPOnly(true).WithSameSite(network.CookieSameSiteStrict)
}

// picture keeps what the browser shows, where pictures are asked for.
func picture(t testing.TB, ctx context.Context, name string) {
	t.Helper()
	if *shots == "" {
		return
	}
	var png []byte
	steps(t, ctx, chromedp.FullScreenshot(&png, 100))
	if err := os.WriteFile(filepath.Join(*shots, name+".png"), png, 0o644); err != nil {
		t.Fatal(err)
	}
}

// size is the window's.
func size(wide, high int64) chromedp.Action {
	return emulation.SetDeviceMetricsOverride(wide, high, 1, false)
}

// members are invented calls.
var members = []string{"Q1ABC", "Q2GHI", "Q3PQR", "Q4STU", "Q5JKL", "Q6VWX", "Q7DEF", "Q8YZA", "Q9MNO", "Q1BCD", "Q2EFG", "Q3HIJ"}

// The pages of an evening in a real browser: nothing in them is refused by the
// policy, the wall follows the evening without being touched, and a sheet that
// is dropped is taken.
func TestAnEveningInABrowser(t *testing.T) {
	if race.On {
		t.Skip("whole passes are marked; the race detector sees other tests in browsers")
	}
	ctx := browser(t)
	const apart = 23 * time.Second // a whole pass: birds are in the air long enough for any machine
	drill := strings.NewReplacer(`part = "top"`, `part = "whole"`, "length_s = 75\n", "", "overs = 3", "overs = 0", "A short hold", "Come back",
		"LARK-1", "DIPPER-2").Replace(testDrill)
	n := newNightOf(t, strings.Replace(nightText, `["no aids", "all aids", "one hand", "ears only"]`, `["no aids", "ears only"]`, 1), drill)
	n.clock.t = time.Now().UTC() // the wall's clock runs by itself
	faults := listen(ctx)
	phone := size(390, 844)
	steps(t, ctx, phone, chromedp.Navigate(n.web.URL+"/?code=heron42"), chromedp.WaitVisible("button"))
	picture(t, ctx, "join")
	steps(t, ctx, chromedp.SendKeys("input[name=call]", "q1abc"), chromedp.Click("button"), chromedp.WaitVisible("main h1"), chromedp.WaitVisible(".drop"))
	picture(t, ctx, "member-waiting")
	for _, call := range members[1:] {
		if err := n.evening.join(ctx, call, "no aids"); err != nil {
			t.Fatal(err)
		}
	}
	wall := size(1920, 1080)
	steps(t, ctx, n.signIn(n.asTrainer()), wall, chromedp.Navigate(n.web.URL+"/wall"), chromedp.WaitVisible(".hill"))
	picture(t, ctx, "wall-before")
	if err := n.evening.openHeat(1); err != nil {
		t.Fatal(err)
	}
	n.clock.pass(70 * time.Second)
	for i, call := range members[:9] {
		if _, _, err := n.evening.begin(call, false); err != nil {
			t.Fatal(err)
		}
		n.clock.pass(apart + time.Duration(i%3)*apart/2)
	}
	steps(t, ctx, chromedp.WaitVisible(".flyers .flying"), chromedp.WaitVisible(".hill .up"), chromedp.Sleep(700*time.Millisecond))
	picture(t, ctx, "wall-flying")
	n.clock.pass(time.Hour)
	setup := n.setup(1, "no aids")
	for i, call := range members {
		for try := range 2 {
			hand := []string{"level:0.1", "level:0.4", "level:0.6", "regular", "expert"}[(i+2*try)%5]
			if a := n.send(call, sheetOf(t, setup, hand, uint64(20+2*i+try))); a.status != 201 {
				t.Fatal(call, a.status, a.body)
			}
		}
	}
	waitFor(t, func() bool { return len(n.evening.unrated()) == 0 })
	n.close(1)
	steps(t, ctx, chromedp.WaitReady(".page.results"), chromedp.Sleep(1200*time.Millisecond))
	for i := range len(n.resultPagesLocked()) {
		picture(t, ctx, fmt.Sprintf("wall-results-%d", i+1))
		steps(t, ctx, chromedp.KeyEvent("\ue014"), chromedp.Evaluate(`dispatchEvent(new KeyboardEvent("keydown",{key:"ArrowRight"}))`, nil), chromedp.Sleep(700*time.Millisecond))
	}
	steps(t, ctx, size(1280, 900), chromedp.Navigate(n.web.URL+"/trainer"), chromedp.WaitVisible(".heats"))
	picture(t, ctx, "trainer")
	steps(t, ctx, chromedp.Navigate(n.web.URL+"/results"), chromedp.WaitVisible("table"))
	picture(t, ctx, "results")
	n.open(2)
	sheet := filepath.Join(t.TempDir(), "run.jsonl")
	if err := os.WriteFile(sheet, sheetOf(t, n.setup(2, "no aids"), "regular", 99), 0o644); err != nil {
		t.Fatal(err)
	}
	steps(t, ctx, n.signIn(n.asMember("Q1ABC", "no aids")), phone, chromedp.Navigate(n.web.URL+"/"), chromedp.WaitVisible(".drop"),
		chromedp.SetUploadFiles("input[type=file]", []string{sheet}), chromedp.WaitVisible(".runs li:nth-child(3)"))
	picture(t, ctx, "member")
	for _, f := range faults() {
		t.Error(f)
	}
}

// resultPagesLocked counts the pages that the wall turns.
func (n *testNight) resultPagesLocked() []wallPage {
	v, err := n.wallOf(context.Background(), false)
	if err != nil {
		n.t.Fatal(err)
	}
	return v.Pages
}
