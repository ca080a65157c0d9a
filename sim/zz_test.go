package sim

import (
	"testing"
)

func TestAAHands(t *testing.T) {
	for _, d := range allDrills(t) {
		for _, h := range []string{"beginner", "regular", "good", "expert"} {
			sum, f, rms, bk, nf, w := 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
			n := 0.0
			ct := 0
			cor := 0
			j := 0
			snr := 0.0
			sn := 0
			for seed := uint64(1); seed <= 6; seed++ {
				s := prepared(t, d, seed)
				r, _, m := fly(t, s, h)
				sum += m.holdIndex()
				n++
				for _, b := range m.backs {
					bk += b / float64(len(m.backs))
				}
				if m.found {
					nf++
					f += m.foundS
					rms += m.rms
					w += float64(m.within50) / float64(m.keyed)
				}
				var st State
				r.Snapshot(&st)
				ct += st.Contacts
				cor += st.Exercise.Correct
				j += st.Exercise.Judged
				snr += m.snr
				sn++
			}
			t.Logf("%-18s %-13s hold %4.0f found %.0f/%.0f in %.1f rms %.0f in50 %.2f back %.1f contacts %d correct %d/%d snr %.1f", d, h, sum/n, nf, n, f/nf, rms/nf, w/nf, bk/n, ct, cor, j, snr/float64(sn))
		}
	}
}
