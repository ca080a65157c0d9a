package club

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"driftdrill/assets"
	"driftdrill/audio"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/sim"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// flyDrill ends by its plan after two overs: as short as a drill may be.
var flyDrill = strings.NewReplacer("length_s = 75", "length_s = 40", "offset_hz = [80, 200]", "offset_hz = [80, 200]\nfound = true\nlead_s = 2",
	"talk_s = 8\nlisten_s = 6\novers = 3", "talk_s = 5\nlisten_s = 3\novers = 2").Replace(testDrill)

// builtDesk builds the desk for browsers as it stands in this tree.
var builtDesk = sync.OnceValues(func() (*deskEdition, error) {
	dir, err := os.MkdirTemp("", "driftdrill-desk")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	file := filepath.Join(dir, "desk.wasm")
	build := exec.Command("go", "build", "-trimpath", "-ldflags", "-s -w", "-o", file, "driftdrill/cmd/driftdrill/browser")
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0", "GOFLAGS=-buildvcs=false")
	if out, err := build.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("%w: %s", err, out)
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, err
	}
	runner, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return nil, err
	}
	program, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	var z bytes.Buffer
	w, _ := gzip.NewWriterLevel(&z, gzip.BestSpeed) // the level is a known one
	if _, err := w.Write(program); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return newDesk(z.Bytes(), runner, assets.FS)
})

// flyingPage is a browser on the page of the desk.
type flyingPage struct {
	*testNight
	ctx    context.Context
	faults func() []string
}

// bufferMS is the sound buffer of these flights: a machine on which everything
// is tested at once must not break up the sound.
const bufferMS = 900

// onNewPage runs before every page: it puts settings into the browser's box, as
// somebody would who had chosen a long sound buffer, and keeps what is handed
// to Web Audio.
const onNewPage = `
globalThis.pieces = [];
const start = AudioBufferSourceNode.prototype.start;
AudioBufferSourceNode.prototype.start = function (when) {
  pieces.push({ when, left: this.buffer.getChannelData(0).slice(), right: this.buffer.getChannelData(1).slice() });
  return start.call(this, when);
};
globalThis.box = () => new Promise((ok, no) => {
  const r = indexedDB.open("driftdrill", 1);
  r.onupgradeneeded = () => r.result.createObjectStore("box");
  r.onsuccess = () => ok(r.result); r.onerror = () => no(r.error);
});
globalThis.sheet = async () => {
  const db = await box();
  const parts = await new Promise((ok) => { const r = db.transaction("box").objectStore("box").getAll(IDBKeyRange.bound("sheet/", "sheet/\uffff")); r.onsuccess = () => ok(r.result); });
  db.close();
  return parts.map((b) => new TextDecoder().decode(b)).join("");
};
globalThis.runs = async () => {
  const db = await box();
  const n = await new Promise((ok) => { const r = db.transaction("box").objectStore("box").count(IDBKeyRange.bound("run/", "run/\uffff")); r.onsuccess = () => ok(r.result); });
  db.close();
  return n;
};
globalThis.choose = async (text) => {
  const db = await box();
  await new Promise((ok) => { const t = db.transaction("box", "readwrite"); t.objectStore("box").put(new TextEncoder().encode(text), "settings"); t.oncomplete = ok; });
  db.close();
};`

// openFlying opens a browser of that size, signed in as a member, on the page
// that flies, with the desk ready to begin.
func openFlying(t testing.TB, n *testNight, call string, size chromedp.Action) *flyingPage {
	t.Helper()
	return openFlyingAs(t, n, call, "no aids", size)
}

// openFlyingAs is openFlying in a class.
func openFlyingAs(t testing.TB, n *testNight, call, class string, size chromedp.Action) *flyingPage {
	t.Helper()
	ctx := browser(t, chromedp.Flag("use-gl", "angle"), chromedp.Flag("use-angle", "swiftshader"), chromedp.Flag("enable-unsafe-swiftshader", true),
		chromedp.Flag("disable-gpu", false), chromedp.Flag("disable-background-timer-throttling", true))
	d, err := builtDesk()
	if err != nil {
		t.Fatal(err)
	}
	n.desk = func() (*deskEdition, error) { return d, nil }
	n.clock.t = time.Now().UTC()
	n.open(1)
	p := &flyingPage{testNight: n, ctx: ctx, faults: listen(ctx)}
	steps(t, ctx, size, before(onNewPage+countFrames), n.signIn(n.asMember(call, class)), chromedp.Navigate(n.web.URL+"/"))
	p.await(fmt.Sprintf("choose(%q)", fmt.Sprintf("BufferMS = %d\nStepHz = 20\n", bufferMS)), nil)
	steps(t, ctx, chromedp.Click(`a[href="/fly"]`), chromedp.WaitEnabled("#go"))
	return p
}

// before runs a script before every page.
func before(script string) chromedp.Action {
	return chromedp.ActionFunc(func(ctx context.Context) error {
		_, err := page.AddScriptToEvaluateOnNewDocument(script).Do(ctx)
		return err
	})
}

// await runs a script and waits for its promise.
func (p *flyingPage) await(script string, into any) {
	p.t.Helper()
	err := chromedp.Run(p.ctx, chromedp.Evaluate(script, into, func(e *runtime.EvaluateParams) *runtime.EvaluateParams { return e.WithAwaitPromise(true) }))
	if err != nil {
		p.t.Fatal(err)
	}
}

// written waits until the sheet in the browser's box has so many of something.
func (p *flyingPage) written(what string, n int) string {
	p.t.Helper()
	for end := time.Now().Add(90 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		var text string
		if p.await("sheet()", &text); strings.Count(text, what) >= n {
			return text
		}
	}
	var gate string
	_ = chromedp.Run(p.ctx, chromedp.Text("#state", &gate, chromedp.ByQuery))
	p.t.Fatalf("%d of %s were never written; the page says %q; faults: %v", n, what, gate, p.faults())
	return ""
}

// key presses or releases a key, as a hand does.
func key(kind input.KeyType, code, name string, windows int64) chromedp.Action {
	return input.DispatchKeyEvent(kind).WithCode(code).WithKey(name).WithWindowsVirtualKeyCode(windows)
}

// A short drill is flown in a real browser by real keys. Its sheet arrives, the
// wall shows it, it is what the program makes of the same commands, and the
// sound is what the program's engine makes of them, as the browser renders it.
func TestFlyingInABrowser(t *testing.T) {
	n := newNightOf(t, nightText, flyDrill)
	p := openFlying(t, n, "Q1ABC", emulation.SetDeviceMetricsOverride(1280, 720, 1, false))
	steps(t, p.ctx, chromedp.Click("#go"))
	p.written(`"second"`, 1)
	if a := n.do("GET", "/wall", nil); !strings.Contains(a.body, `<li class="flying"><b>Q1ABC</b>`) {
		t.Error("the wall does not show who is in the air:", a.body)
	}
	steps(t, p.ctx, key(input.KeyDown, "Space", " ", 32))
	p.written(`"do":"key","value":1`, 1)
	for i := range 4 {
		steps(t, p.ctx, key(input.KeyDown, "ArrowUp", "ArrowUp", 38))
		p.written(`"do":"knob"`, i+1)
		steps(t, p.ctx, key(input.KeyUp, "ArrowUp", "ArrowUp", 38))
	}
	steps(t, p.ctx, key(input.KeyUp, "Space", " ", 32))
	waitFor(t, func() bool { return p.lastRun("Q1ABC") > 0 || len(p.refusals()) > 0 })
	if no := p.refusals(); len(no) > 0 {
		t.Fatal("refused:", no)
	}
	body, err := n.evening.book.sheet(t.Context(), p.lastRun("Q1ABC"))
	if err != nil {
		t.Fatal(err)
	}
	sh := p.isWhatTheProgramMakes(body)
	p.soundsLikeTheEngine(sh)
	n.close(1)
	steps(t, p.ctx, chromedp.Navigate(n.web.URL+"/wall"), chromedp.WaitReady(".page.results"))
	var rows string
	steps(t, p.ctx, chromedp.TextContent(".page.results tbody", &rows))
	if !strings.Contains(rows, "Q1ABC") {
		t.Error("the wall's results:", rows)
	}
	for _, f := range p.faults() {
		t.Error(f)
	}
}

func (p *flyingPage) refusals() (all []string) {
	p.evening.mu.Lock()
	defer p.evening.mu.Unlock()
	for _, r := range p.evening.refused {
		all = append(all, r.Reason)
	}
	return all
}

func (p *flyingPage) lastRun(call string) (id int64) {
	p.evening.mu.Lock()
	defer p.evening.mu.Unlock()
	for _, r := range p.evening.runs {
		if r.Call == call {
			id = r.ID
		}
	}
	return id
}

// isWhatTheProgramMakes flies the commands of a sheet here, and finds the same
// bytes but for the first line, which names the machine.
func (p *flyingPage) isWhatTheProgramMakes(body []byte) *sim.Sheet {
	p.t.Helper()
	sh, err := sim.ReadSheet(bytes.NewReader(body), "browser.jsonl")
	if err != nil {
		p.t.Fatal(err)
	}
	if sh.OS != "js" || sh.Arch != "wasm" || sh.Setup.Call != "Q1ABC" {
		p.t.Errorf("flown on %s/%s by %s", sh.OS, sh.Arch, sh.Setup.Call)
	}
	run, err := trainer.NewReplay(sh)
	if err != nil {
		p.t.Fatal(err)
	}
	var out bytes.Buffer
	rec, err := sim.NewRecorder(&out, run.Run)
	if err != nil {
		p.t.Fatal(err)
	}
	for second := 0; !run.Done(); {
		run.Step(nil)
		if run.At()%sim.TicksPerSecond == sim.TicksPerSecond-1 && second < len(sh.WallMS) {
			if err := rec.FlushAt(time.Duration(sh.WallMS[second]) * time.Millisecond); err != nil {
				p.t.Fatal(err)
			}
			second++
		}
	}
	if err := rec.Finish(sh.Marks); err != nil {
		p.t.Fatal(err)
	}
	_, got, _ := bytes.Cut(body, []byte("\n"))
	_, want, _ := bytes.Cut(out.Bytes(), []byte("\n"))
	gotLines, wantLines := bytes.Split(got, []byte("\n")), bytes.Split(want, []byte("\n"))
	for i := range min(len(gotLines), len(wantLines)) {
		if !bytes.Equal(gotLines[i], wantLines[i]) {
			p.t.Fatalf("line %d: the browser wrote\n%.200s\nthe program writes\n%.200s", i+2, gotLines[i], wantLines[i])
		}
	}
	if len(gotLines) != len(wantLines) || len(wantLines) < 14 {
		p.t.Fatalf("the browser wrote %d lines, the program %d", len(gotLines), len(wantLines))
	}
	o, err := trainer.MarkSheet(sh)
	if err != nil {
		p.t.Fatal(err)
	}
	if marks, _ := json.Marshal(o.Marks); !bytes.Equal(marks, sh.Marks) || !o.Agrees {
		p.t.Errorf("marks here %s, in the browser %s", marks, sh.Marks)
	}
	return sh
}

// rendered lets the browser render what it was handed while the run was flown.
// The samples of piece i begin at at[i]; both ears, one after another.
func (p *flyingPage) rendered() (samples []float32, at []int) {
	p.t.Helper()
	var answer struct {
		At   []int
		Text string
	}
	p.await(`(async () => {
  const t0 = pieces[0].when, at = pieces.map((p) => Math.round((p.when - t0) * 48000));
  const off = new OfflineAudioContext(2, at[at.length - 1] + pieces[0].left.length, 48000);
  for (const p of pieces) {
    const b = off.createBuffer(2, p.left.length, 48000), s = off.createBufferSource();
    b.copyToChannel(p.left, 0); b.copyToChannel(p.right, 1);
    s.buffer = b; s.connect(off.destination); start.call(s, p.when - t0);
  }
  const out = await off.startRendering(), both = new Float32Array(2 * out.length);
  out.copyFromChannel(both.subarray(0, out.length), 0); out.copyFromChannel(both.subarray(out.length), 1);
  const blob = new Blob([both]);
  const url = await new Promise((ok) => { const r = new FileReader(); r.onload = () => ok(r.result); r.readAsDataURL(blob); });
  return { At: at, Text: url.slice(url.indexOf(",") + 1) };
})()`, &answer)
	raw, err := base64.StdEncoding.DecodeString(answer.Text)
	if err != nil {
		p.t.Fatal(err)
	}
	samples = make([]float32, len(raw)/4)
	for i := range samples {
		samples[i] = math.Float32frombits(binary.LittleEndian.Uint32(raw[4*i:]))
	}
	return samples, answer.At
}

// soundsLikeTheEngine holds what the browser rendered against the engine's own
// sound for the same sheet and the same headset: 60 dB between them, in each piece.
func (p *flyingPage) soundsLikeTheEngine(sh *sim.Sheet) {
	p.t.Helper()
	run, err := trainer.NewReplay(sh)
	if err != nil {
		p.t.Fatal(err)
	}
	voices, err := trainer.Voices()
	if err != nil {
		p.t.Fatal(err)
	}
	set := port.DefaultSettings()
	engine, err := audio.NewEngine(run, &sh.Setup, voices, audio.Config{TonePitchHz: set.ToneHz, Headset: audio.Headset{Split: set.Levels.Split}})
	if err != nil {
		p.t.Fatal(err)
	}
	const piece = 960
	got, at := p.rendered()
	ear := len(got) / 2
	loud, buf := 0.0, make([]float32, 2*piece)
	whole := int(sh.End) / 4
	if len(at) < whole {
		p.t.Fatalf("%d pieces for %d ticks", len(at), sh.End)
	}
	for i := range whole {
		if n := engine.Fill(buf); n < piece {
			p.t.Fatalf("the engine ends at piece %d of %d", i, whole)
		}
		var want, off float64
		for j := range piece {
			for side := range 2 {
				x := float64(buf[2*j+side])
				d := x - float64(got[side*ear+at[i]+j])
				want, off = want+x*x, off+d*d
			}
		}
		loud = math.Max(loud, want)
		if off > 1e-6*want+1e-9 {
			p.t.Fatalf("piece %d (tick %d): the difference is %.1f dB below the sound", i, 4*i, 10*math.Log10(want/off))
		}
	}
	if rms := math.Sqrt(loud / (2 * piece)); rms < 0.01 {
		p.t.Errorf("nothing was loud: %.4f of full scale at most", rms)
	}
}
