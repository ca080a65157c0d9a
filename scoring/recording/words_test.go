package recording

import (
	"math"
	"math/rand/v2"
	"testing"

	"driftdrill/testdata/race"
)

// A clear word each: what is no recording of a contact on two sides, or not the one that was asked for.
func TestClearWordsMore(t *testing.T) {
	if race.On || testing.Short() {
		t.Skip("run without the race detector: nothing here runs side by side")
	}
	voice := ownVoice(t)
	rng := rand.New(rand.NewPCG(6, 6))
	floor := func() float32 { return float32(5e-5 * rng.NormFloat64()) } // -86 dB: a recorder with nothing plugged in
	carrier := func(i int) float32 { return float32(0.3*math.Cos(2*math.Pi*900*float64(i)/testRate)) + 60*floor() }
	fill := func(lengthS, channels int, of func(i, side int) float32) []float32 {
		x := make([]float32, 0, lengthS*testRate*channels)
		for i := range lengthS * testRate {
			for side := range channels {
				x = append(x, of(i, side))
			}
		}
		return x
	}
	tune := music(20 * testRate)
	contact := usual(sawtooth(30, 100))
	for _, c := range []struct {
		name     string
		x        []float32
		channels int
		opt      Options
		code     string
	}{
		{"the side named is the receiver", contact.made(voice, 3), 2, Options{Mic: Right}, NoteNoReturn},
		{"more than two minutes of silence", fill(130, 2, func(int, int) float32 { return 0 }), 2, unknown, NoteSilent},
		{"half a minute of a recorder's own noise", fill(30, 2, func(int, int) float32 { return floor() }), 2, unknown, NoteSilent},
		{"half a minute of a louder noise", fill(30, 2, func(int, int) float32 { return 200 * floor() }), 2, unknown, NoteNoSpeech},
		{"half a minute of a carrier", fill(30, 2, func(i, side int) float32 { return floor() + float32(side)*carrier(i) }), 2, unknown, NoteNoSpeech},
		{"one side, silent", fill(20, 1, func(int, int) float32 { return 0 }), 1, unknown, NoteSilent},
		{"one side, a carrier", fill(40, 1, func(i, _ int) float32 { return carrier(i) }), 1, unknown, NoteNoSpeech},
		{"one side, music", fill(20, 1, func(i, _ int) float32 { return tune[2*i] }), 1, unknown, NoteNotRadio},
	} {
		r := analysed(t, c.x, c.channels, c.opt)
		known := 0
		for _, row := range r.Rows {
			if row.Known() {
				known++
			}
		}
		if !hasNote(r, c.code) || known > 0 || len(r.Overs) > 0 {
			t.Errorf("%s: %v, %d rows told, overs %v", c.name, r.Notes, known, r.Overs)
		}
	}
}

// Two voices at once on the receiver: it cannot tell whose is whose and says so
// with everything; what it tells is the offset of the one or of the other.
func TestTwoVoicesInTheReceiver(t *testing.T) {
	if race.On || testing.Short() {
		t.Skip("run without the race detector: nothing here runs side by side")
	}
	for _, louderDB := range []float64{0, 6, 12} {
		alone := func(hz float64, seed uint64, voice string) []float32 {
			s := &scene{offsetHz: func(float64) float64 { return hz }, snrDB: 20, gain: [2]float64{1, 1}, lengthS: 30, overs: [][2]float64{{0, 30}}}
			return receiverAlone(s, spoken(t, voice, "call", "hello", "report", "thanks", "locator", "listening"), seed)
		}
		x, other := alone(70, 3, "alder"), alone(-90, 4, "rowan")
		for i, v := range other {
			x[i] += v / float32(math.Pow(10, louderDB/20))
		}
		r := analysed(t, x, 1, unknown)
		told, near := 0, 0
		for _, row := range r.Rows {
			if row.Known() {
				told++
				if math.Abs(row.OffsetHz-70) <= 25 || math.Abs(row.OffsetHz+90) <= 25 {
					near++
				}
			}
		}
		if !hasNote(r, NoteUnrated) || float64(near) < 0.95*float64(told) {
			t.Errorf("one voice %.0f dB louder: %d of %d rows told, %d near one of them", louderDB, told, len(r.Rows), near)
		}
	}
}
