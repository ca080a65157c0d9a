package sim

import (
	"bytes"
	"strings"
	"testing"

	"driftdrill/sim/morse"
)

// morseRun is a run of a Morse drill with its sheet, and who holds its dials true.
type morseRun struct {
	*Run
	s    State
	hold *perfectHand
}

func newMorseRun(t *testing.T, drill string, seed uint64) (*morseRun, *Recorder, *bytes.Buffer) {
	t.Helper()
	r, rec, sheet := recorded(t, prepared(t, drill, seed))
	return &morseRun{Run: r, hold: &perfectHand{setup: r.Setup(), target: -1}}, rec, sheet
}

// step goes on by so many ticks with the key as it is.
func (m *morseRun) step(ticks int) {
	for range ticks {
		m.Step(&m.s)
		if m.s.Tick%slowTicks == 0 {
			m.hold.hold(&m.s, 0, m.Post)
		}
	}
}

// send sends a text by hand.
func (m *morseRun) send(text string, wpm float64) {
	at, sent := 0.0, 0
	for _, s := range morse.Keying(text) {
		m.Post(CommandCarrier, boolValue(s.Down))
		at += morse.DotS(wpm) * TicksPerSecond * float64(s.Dots)
		m.step(int(at+0.5) - sent)
		sent = int(at + 0.5)
	}
}

// His own call, sent by hand at any of the speeds, says who he is; anything else does
// not. The over goes on between the words and ends a little over a second after the
// last sign.
func TestMorseByHandIdentifies(t *testing.T) {
	for _, wpm := range []float64{12, 18, 25, 30} {
		m, _, _ := newMorseRun(t, "cold-find-cw", 3)
		m.step(6 * TicksPerSecond)
		m.send("EEEE DE Q5HTX", wpm)
		if m.s.Identified || !m.s.ByHand || !m.s.Keyed || m.s.Over > 1 {
			t.Errorf("%.0f words per minute, another's call: identified %v, by hand %v, keyed %v, over %d", wpm, m.s.Identified, m.s.ByHand, m.s.Keyed, m.s.Over)
		}
		m.send("DE Q5HTH", wpm)
		if !m.s.Identified || !strings.HasSuffix(m.s.Sent.String(), "DE Q5HTH") {
			t.Errorf("%.0f words per minute: identified %v, sent %q", wpm, m.s.Identified, m.s.Sent.String())
		}
		m.step(TicksPerSecond * 3 / 2)
		if m.s.Keyed || m.s.ByHand || m.s.Identified {
			t.Errorf("%.0f words per minute: the over does not end", wpm)
		}
	}
}

// Where one speaks, a Morse key does nothing.
func TestMorseKeyIsForMorse(t *testing.T) {
	m, _, _ := newMorseRun(t, "slow-climb", 1)
	m.step(5 * TicksPerSecond)
	m.send("DE Q5HTH", 20)
	if m.s.Keyed || m.s.ByHand || m.s.Identified || m.s.Sent.String() != "" {
		t.Errorf("%+v", m.s)
	}
}

// A call in Morse is answered in Morse, a report completes the contact; what cannot
// be read is asked for again, and a call without the own call sign is nobody's.
func TestContactInMorse(t *testing.T) {
	contacts, again, nobody := 0, 0, 0
	for seed := uint64(1); seed <= 6; seed++ {
		m, _, _ := newMorseRun(t, "call-cq-cw", seed)
		m.step(8 * TicksPerSecond)
		m.send("EEEE EEEE EEEE", 20)
		m.step(3 * TicksPerSecond)
		answered := func(text string) bool {
			m.send(text, 20)
			m.step(3 * TicksPerSecond)
			return m.s.ContactWith >= 0
		}
		if answered("CQ CQ CQ CQ DE K") {
			nobody++
		}
		for n := 0; n < 6 && !answered("CQ CQ DE Q5HTH Q5HTH K"); n++ {
			m.step(5 * TicksPerSecond)
		}
		if m.s.ContactWith < 0 {
			continue
		}
		with := m.s.ContactWith
		if !m.Setup().Others[with].cw() {
			t.Errorf("seed %d: a station that speaks answers Morse", seed)
		}
		m.quiet(t)
		m.send("HI HI HI", 20)
		m.step(3 * TicksPerSecond)
		if strings.Contains(m.says(), "AGN") {
			again++
		}
		m.quiet(t)
		m.send("R DE Q5HTH 5NN 5NN K", 20)
		m.step(3 * TicksPerSecond)
		contacts += m.s.Contacts
		if !strings.Contains(m.says(), "73") {
			t.Errorf("seed %d: after the report %q", seed, m.says())
		}
	}
	if nobody > 0 {
		t.Errorf("a call without a call sign was answered %d times", nobody)
	}
	if contacts < 3 || again != contacts {
		t.Errorf("%d contacts, asked again %d times", contacts, again)
	}
}

// says is what is sent on the air by those on Morse now.
func (m *morseRun) says() string {
	var all []string
	for i := range m.s.Signals[:m.s.NumSignals] {
		if g := &m.s.Signals[i]; g.Kind == SignalStation && g.On && g.Script >= 0 {
			all = append(all, m.Scripts()[g.Script].Text())
		}
	}
	return strings.Join(all, "; ")
}

// quiet waits until who is in contact has finished.
func (m *morseRun) quiet(t *testing.T) {
	t.Helper()
	for range 30 * TicksPerSecond {
		m.step(1)
		if with := m.s.ContactWith; with < 0 || !m.s.Signals[1+with].On {
			break
		}
	}
	m.step(TicksPerSecond)
}

// A run that was keyed by hand replays from its sheet to the last bit, without a keyer.
func TestSheetOfMorseReplays(t *testing.T) {
	m, rec, sheet := newMorseRun(t, "call-cq-cw", 2)
	k := morse.NewKeyer(morse.IambicB, 27, TicksPerSecond)
	down := false
	for tick := 0; !m.Done(); tick++ {
		squeeze := tick%600 > 200
		if now := k.Step(squeeze && tick%7 != 0, squeeze && tick%5 != 0); now != down {
			down = now
			m.Post(CommandCarrier, boolValue(down))
		}
		m.step(1)
	}
	if err := rec.Finish(nil); err != nil {
		t.Fatal(err)
	}
	sh, err := ReadSheet(bytes.NewReader(sheet.Bytes()), "sheet")
	if err != nil {
		t.Fatal(err)
	}
	var last State
	diff, err := Replay(sh, TicksPerSecond, func(s *State) { last = *s })
	if err != nil || diff.What != "" {
		t.Fatal(err, diff)
	}
	if last.Sent != m.s.Sent || last.Sent.String() == "" {
		t.Errorf("replayed %q, sent %q", last.Sent.String(), m.s.Sent.String())
	}
}

// Morse below, voice above: practice (no published source); who answers, calls or
// talks does so in his own mode, and what is sent in Morse can be sent.
func TestMorseLiesBelowVoice(t *testing.T) {
	for seed := uint64(1); seed <= 10; seed++ {
		r, _, _ := newMorseRun(t, "call-cq-cw", seed)
		s := r.Setup()
		tr := s.transponder()
		border := tr.DownlinkLowHz + (tr.DownlinkHighHz-tr.DownlinkLowHz)/3
		if float64(s.StartReceiveHz) > border+3000 {
			t.Errorf("seed %d: the operator begins at %d, above Morse", seed, s.StartReceiveHz)
		}
		speeds := map[float64]bool{}
		for i := range s.Others {
			o := &s.Others[i]
			if o.cw() != (i < 5) || o.cw() && o.SlotHz > border || !o.cw() && o.SlotHz < border {
				t.Errorf("seed %d: station %d, Morse %v, at %.0f", seed, i, o.cw(), o.SlotHz)
			}
			if o.With >= 0 && s.Others[o.With].cw() != o.cw() {
				t.Errorf("seed %d: a pair of Morse and voice", seed)
			}
			if o.cw() {
				speeds[o.WPM] = true
			}
			if o.cw() && (o.WPM < 12 || o.WPM > 25) {
				t.Errorf("%g words per minute", o.WPM)
			}
		}
		if len(speeds) < 2 {
			t.Errorf("seed %d: all send equally fast", seed)
		}
		for _, sc := range r.Scripts() {
			if s.Others[sc.Station].cw() != (sc.Morse != "") {
				t.Errorf("%q is sent by the wrong station", sc.Text())
			}
			want := float64(morse.Dots(sc.Morse)) * 1.2 / max(1, sc.WPM)
			if sc.Morse != "" && (sc.Length.Seconds() < want-0.01 || sc.Length.Seconds() > want+0.01) {
				t.Errorf("%q lasts %.2f s, want %.2f", sc.Morse, sc.Length.Seconds(), want)
			}
		}
	}
}

// What words in Morse say, by the abbreviations of common practice.
func TestMeant(t *testing.T) {
	for word, want := range map[string]int64{"599": SayReport, "5NN": SayReport, "57": SayReport, "55N": SayReport, "JO40": SayLocator, "JO40AA": SayLocator,
		"AGN": SayAgain, "?": SayAgain, "TU": SayThanks, "73": SayThanks, "AS": SayStandBy, "": 0, "K": 0, "Q5HTH": 0, "999": 0, "ZZ99": 0, "TEST": 0} {
		if got := meant(word); got != want {
			t.Errorf("%q: %d, want %d", word, got, want)
		}
	}
}
