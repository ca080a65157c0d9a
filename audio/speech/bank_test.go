package speech_test

import (
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"driftdrill/assets"
	"driftdrill/audio/speech"
)

func bank(t testing.TB) *speech.Bank {
	t.Helper()
	b, err := speech.Load(assets.FS, "voices/spoken")
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// voicedRMS is the level over what lies within 15 dB of the loudest 5 ms.
func voicedRMS(x []float32) float64 {
	const frame = speech.Rate / 200
	var e []float64
	top := 0.0
	for i := 0; i+frame <= len(x); i += frame {
		s := 0.0
		for _, v := range x[i : i+frame] {
			s += float64(v) * float64(v)
		}
		e = append(e, s/frame)
		top = math.Max(top, s/frame)
	}
	sum, n := 0.0, 0
	for _, v := range e {
		if v > top*math.Pow(10, -1.5) {
			sum += v
			n++
		}
	}
	return math.Sqrt(sum / float64(n))
}

// All recordings lie at the reference level, -20 dB of full scale, within
// 1.5 dB either way: 3 dB from the softest to the loudest.
func TestRecordingsAreEven(t *testing.T) {
	b := bank(t)
	low, high, n := 0.0, 0.0, 0
	for _, text := range b.Names() {
		x := b.Utter(text).Samples()
		if strings.Contains(text, " ") || len(x) == 0 { // a phrase, or a word that is read as something else
			continue
		}
		db := 20*math.Log10(voicedRMS(x)) + 20
		low, high, n = math.Min(low, db), math.Max(high, db), n+1
		for _, v := range x {
			if math.Abs(float64(v)) > 0.9 {
				t.Errorf("%q has a peak of %.2f", text, v)
				break
			}
		}
	}
	if n < 1200 {
		t.Errorf("only %d words", n)
	}
	t.Logf("%d recordings from %.2f to %.2f dB", n, low, high)
	if low < -1.5 || high > 1.5 {
		t.Errorf("levels from %.2f to %.2f dB round the reference", low, high)
	}
}

// Where words are joined the sound must not step more than it does inside them.
func TestJoinsDoNotClick(t *testing.T) {
	b := bank(t)
	for _, text := range []string{"one seven nine two four six three", "Q5HTH JO40aa", "up down true high low zero beat left right", "the bird a tick of noise and more"} {
		inside := 0.0 // greatest second difference inside a word alone
		for _, w := range strings.Fields(text) {
			inside = math.Max(inside, sharpest(b.Utter(w).Samples()))
		}
		if got := sharpest(b.Utter(text).Samples()); got > 1.1*inside {
			t.Errorf("%q: the sharpest bend is %.3f, in its words alone %.3f", text, got, inside)
		}
	}
}

func sharpest(x []float32) float64 {
	most := 0.0
	for i := 2; i < len(x); i++ {
		most = math.Max(most, math.Abs(float64(x[i]-2*x[i-1]+x[i-2])))
	}
	return most
}

// A sentence is shorter than its words with their silences, and its pauses are there.
func TestWordsRunIntoEachOther(t *testing.T) {
	b := bank(t)
	one, seven := b.Utter("one").Seconds(), b.Utter("seven").Seconds()
	if both := b.Utter("one seven").Seconds(); both > one+seven-0.01 {
		t.Errorf("two words take %.3f s, alone %.3f and %.3f", both, one, seven)
	}
	if both := b.Utter("One. Seven.").Seconds(); both < one+seven+0.25 || both > one+seven+0.4 {
		t.Errorf("two sentences take %.3f s, alone %.3f and %.3f", both, one, seven)
	}
	if b.Utter("").Seconds() != 0 || b.Utter("...").Seconds() != 0 || b.Utter("日本").Seconds() != 0 {
		t.Error("nothing to say takes time")
	}
}

// play plays a player in blocks of 5 ms.
func play(p *speech.Player, seconds float64) []float32 {
	out := make([]float32, int(seconds*speech.OutRate)/240*240)
	for i := 0; i < len(out); i += 240 {
		p.Add(out[i:i+240], 1)
	}
	return out
}

func TestPlayerPlaysAllOfItAtThreeTimesTheRate(t *testing.T) {
	b := bank(t)
	u := b.Utter("Fly now")
	x := u.Samples()
	var p speech.Player
	p.Say(u)
	y := play(&p, u.Seconds()+0.1)
	if p.Busy() {
		t.Error("still busy after the end")
	}
	// every third sample, after the delay of the filter, is the recording again
	best, at := 0.0, 0
	for d := range 120 {
		c := 0.0
		for i := range x {
			if k := 3*i + d; k < len(y) {
				c += float64(x[i]) * float64(y[k])
			}
		}
		if c > best {
			best, at = c, d
		}
	}
	sx, sy := 0.0, 0.0
	for i, v := range x {
		sx += float64(v) * float64(v)
		sy += float64(y[3*i+at]) * float64(y[3*i+at])
	}
	if c := best / math.Sqrt(sx*sy); c < 0.99 {
		t.Errorf("correlation with the recording %.4f", c)
	}
	if r := 10 * math.Log10(sy/sx); math.Abs(r) > 0.3 {
		t.Errorf("level changed by %.2f dB", r)
	}
}

// A new utterance takes the place of the old one at once and without a click.
func TestPlayerCutsIn(t *testing.T) {
	b := bank(t)
	first, second := b.Utter("Welcome to the start page of the program"), b.Utter("Settings")
	first.Fill()
	second.Fill()
	var p speech.Player
	p.Say(first)
	y := play(&p, 0.6)
	p.Say(second)
	cut := len(y)
	y = append(y, play(&p, 1.2)...)
	inside := math.Max(sharpest(y[:cut-480]), sharpest(y[cut+960:]))
	if got := sharpest(y[cut-480 : cut+960]); got > 1.1*inside {
		t.Errorf("sharpest bend at the cut %.4f, elsewhere %.4f", got, inside)
	}
	// the second one is heard within 20 ms: 6 ms of fade, the filter, its own start
	var q speech.Player
	q.Say(b.Utter("Settings"))
	alone := b.Utter("Settings")
	alone.Fill()
	var r speech.Player
	r.Say(alone)
	want := play(&r, 0.5)
	if k := lag(want[:14400], y[cut:]); k < 0 || k > 480 {
		t.Errorf("the new one comes %d samples after the cut", k)
	}
	p.Say(nil)
	play(&p, 0.05)
	if p.Busy() {
		t.Error("nothing to say, and busy")
	}
}

// lag finds x in y: at which sample it begins.
func lag(x, y []float32) int {
	best, at := 0.0, -1
	for d := 0; d < 2400 && d+len(x) <= len(y); d++ {
		c := 0.0
		for i := 0; i < len(x); i += 3 {
			c += float64(x[i]) * float64(y[d+i])
		}
		if c > best {
			best, at = c, d
		}
	}
	return at
}

func TestPlayerDoesNotAllocate(t *testing.T) {
	b := bank(t)
	u := b.Utter("One two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen")
	u.Fill()
	var p speech.Player
	p.Say(u)
	buf := make([]float32, 240)
	if n := testing.AllocsPerRun(100, func() { p.Add(buf, 1) }); n != 0 {
		t.Errorf("%v allocations a tick", n)
	}
}

// A player may play while the decoder still works, and waits where it is behind.
func TestPlayerWaitsForTheDecoder(t *testing.T) {
	b := bank(t)
	u := b.Utter("Drills")
	var p speech.Player
	p.Say(u)
	for _, v := range play(&p, 0.2) {
		if v != 0 {
			t.Fatal("sound before anything was decoded")
		}
	}
	go u.Fill()
	sum := 0.0
	for range 5000 {
		for _, v := range play(&p, 0.02) {
			sum += float64(v) * float64(v)
		}
		if !p.Busy() {
			break
		}
	}
	if p.Busy() || sum < 1 {
		t.Errorf("busy %v, energy %.2f", p.Busy(), sum)
	}
}

func TestBanksThatCannotBeRead(t *testing.T) {
	good, err := assets.FS.ReadFile("voices/spoken/words.ogg")
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		files fstest.MapFS
		want  string
	}{
		"none":     {fstest.MapFS{}, "words.txt"},
		"no sound": {fstest.MapFS{"v/words.txt": {Data: []byte("0 1 a\n")}}, "words.ogg"},
		"no ogg":   {fstest.MapFS{"v/words.txt": {Data: []byte("0 1 a\n")}, "v/words.ogg": {Data: []byte("nothing")}}, "words.ogg"},
		"bad line": {fstest.MapFS{"v/words.txt": {Data: []byte("0 1 a\n7 x\n")}, "v/words.ogg": {Data: good}}, "line 2"},
		"beyond":   {fstest.MapFS{"v/words.txt": {Data: []byte("0 999999999 a\n")}, "v/words.ogg": {Data: good}}, "line 1"},
		"empty":    {fstest.MapFS{"v/words.txt": {Data: nil}, "v/words.ogg": {Data: good}}, "empty"},
	} {
		if _, err := speech.Load(c.files, "v"); err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func BenchmarkFirstWord(b *testing.B) {
	k := bank(b)
	for b.Loop() {
		k.Utter("Settings. sound, ears, keys, text, colours")
	}
}

// At another speed a text takes another time, at the same level, and its joins do not click.
func TestTextsAtAnotherSpeed(t *testing.T) {
	b := bank(t)
	const text = "Drill six, Come back. The bird goes on pulling"
	usual := b.Utter(text)
	level := voicedRMS(usual.Samples())
	for _, speed := range []float64{0.65, 1, 1.5, 2.16} {
		u := b.UtterAt(text, speed)
		x := u.Samples()
		if want := usual.Seconds() / speed; math.Abs(u.Seconds()/want-1) > 0.12 {
			t.Errorf("speed %v: %.2f s, want about %.2f", speed, u.Seconds(), want)
		}
		if db := 20 * math.Log10(voicedRMS(x)/level); math.Abs(db) > 1.5 {
			t.Errorf("speed %v: level %+.2f dB", speed, db)
		}
		if got, own := sharpest(x), sharpest(usual.Samples()); got > 1.3*own {
			t.Errorf("speed %v: sharpest bend %.3f, as recorded %.3f", speed, got, own)
		}
	}
	if b.UtterAt("one", math.NaN()).Seconds() <= 0 || b.UtterAt("one", 100).Seconds() < 0.1 {
		t.Error("no sound at a speed that cannot be")
	}
}
