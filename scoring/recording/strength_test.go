package recording

import (
	"math"
	"testing"

	"driftdrill/testdata/race"
)

// The S/N of a row is the power of the return over that of all else in the
// receiver's voice band, over 0.6 s round the moment, pauses of speech among
// it. Here both are known: the same scene without noise is the return. A strong
// one reads a little low: what the short spectra do not explain counts as noise.
func TestStrengthAgainstTheChannelsOwn(t *testing.T) {
	if race.On || testing.Short() {
		t.Skip("run without the race detector: nothing here runs side by side")
	}
	quiet := usual(sawtooth(30, 100))
	quiet.snrDB = 90
	voice := quiet.made(ownVoice(t), 3)
	for _, c := range []struct{ snr, low, share float64 }{{-5, 1, 0.9}, {0, 1, 0.9}, {5, 1, 0.9}, {15, 1, 0.7}} {
		snr := c.snr
		s := usual(sawtooth(30, 100))
		s.snrDB = snr
		x := s.made(ownVoice(t), 3)
		r := analysed(t, x, 2, unknown)
		var off []float64
		for _, row := range r.Rows {
			if !row.Keyed || !row.Known() || math.IsNaN(row.SNRDB) {
				continue
			}
			i := int(row.TimeS * testRate)
			var signal, noise float64
			for k := max(0, i-testRate*3/10); k < min(len(x)/2, i+testRate*3/10); k++ {
				v, n := float64(voice[2*k+1]), float64(x[2*k+1]-voice[2*k+1])
				signal, noise = signal+v*v, noise+n*n
			}
			if truth := decibel(signal / noise); truth > -8 {
				off = append(off, row.SNRDB-truth)
			}
		}
		median, _ := medianAndDeviation(off)
		within := 0
		for _, d := range off {
			if math.Abs(d) <= 2 {
				within++
			}
		}
		if len(off) < 50 || median > 1 || median < -c.low || float64(within) < c.share*float64(len(off)) {
			t.Errorf("%.0f dB: %d rows, median %+.2f dB off, %.3f within 2 dB", snr, len(off), median, float64(within)/float64(len(off)))
		}
	}
}
