package sim

import (
	"testing"
)

func TestBBHands(t *testing.T) {
	s := prepared(t, "busy-passband", 2)
	r, _ := NewRun(s)
	h, _ := NewHand("expert", 2, r.Setup())
	var st State
	for i, o := range s.Others {
		t.Logf("%d %s %s %s %s slot %.0f power %.0f", i, o.Call, o.Plan, o.Rule, o.Hand, o.SlotHz, o.PowerW)
	}
	lk := false
	var lon [14]bool
	for !r.Done() {
		r.Step(&st)
		h.Act(&st, r.Post)
		hh := h.(*humanHand)
		if st.Keyed != lk {
			lk = st.Keyed
			t.Logf("%.1f keyed %v off %.0f snr %.1f with %d contacts %d target %d tries %d R %d", st.Tick.Seconds(), lk, st.OffsetHz, st.SNRDB, st.ContactWith, st.Contacts, hh.task.target, hh.task.tries, st.ReceiveHz)
		}
		for i := 1; i < st.NumSignals; i++ {
			g := st.Signals[i]
			if g.Kind == SignalStation && g.On != lon[i] && s.Others[i-1].Group < 0 {
				lon[i] = g.On
				txt := ""
				if g.Script >= 0 {
					txt = r.Scripts()[g.Script].Text()
				}
				t.Logf("   %.1f st %d on %v offset %.0f lvl %.1f: %s", st.Tick.Seconds(), i-1, g.On, g.OffsetHz, g.LevelDBW-st.NoiseDBWHz-33.8, txt)
			}
		}
	}
}
