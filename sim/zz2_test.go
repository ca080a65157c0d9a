package sim

import (
	"testing"
)

func TestBBHands(t *testing.T) {
	for seed := uint64(1); seed <= 6; seed++ {
		s := prepared(t, "low-overhead", seed)
		r, _ := NewRun(s)
		h, _ := NewHand("good", seed, r.Setup())
		var st State
		t.Log(seed, s.UnknownHz, s.Length)
		for !r.Done() {
			r.Step(&st)
			h.Act(&st, r.Post)
			if st.Found {
				break
			}
			if st.Tick%1000 == 0 && st.Tick > 8000 && st.Tick < 40000 {
				hh := h.(*humanHand)
				t.Logf("%.1f ph %d keyed %v off %.0f rate %.1f snr %.1f on %v agc %.1f got %v want %.0f did %.0f stop %d spent %.1f heard %.1f inpass %v", st.Tick.Seconds(), st.Phase, st.Keyed, st.OffsetHz, st.RateHzS, st.SNRDB, st.Own().On, st.AGCDB, hh.got, hh.want, hh.did, hh.search.stop, hh.search.spent, hh.heardS, st.InPassband)
			}
		}
	}
}
