package scoring

import (
	"bytes"
	"encoding/json"
	"math"
	"testing"

	"driftdrill/sim"
)

// FuzzDebrief: no sheet, however bent, may crash the marks or give a figure
// outside its range.
func FuzzDebrief(f *testing.F) {
	setup := prepare(f, "come-back", 3, func(d *sim.Drill) { d.Pass.LengthS = 40 })
	text := flySheet(f, setup, "regular", 1, 0)
	f.Add(text)
	f.Add(text[:len(text)/2])
	f.Add(bytes.Replace(text, []byte(`{"end":`), []byte(`{"marks":{"formula":1,"hold_index":"x"},"end":`), 1))
	f.Add(bytes.Replace(text, []byte(`"talk_s":10`), []byte(`"talk_s":1e300`), 1))
	f.Add([]byte("{}\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		sh, err := sim.ReadSheet(bytes.NewReader(text), "fuzz")
		if err != nil || sh.Setup.Length > 100*sim.TicksPerSecond {
			return // long runs are slow, not other
		}
		d, _, err := DebriefSheet(sh)
		if err != nil {
			return
		}
		inRange(t, d)
	})
}

func inRange(t *testing.T, d Debrief) {
	t.Helper()
	if _, err := json.Marshal(d); err != nil {
		t.Errorf("cannot be written as JSON: %v", err)
	}
	m := d.Marks
	if !(m.HoldIndex >= 0 && m.HoldIndex <= 1000) {
		t.Errorf("hold index %v", m.HoldIndex)
	}
	for _, s := range []float64{m.ShareWithin25Hz, m.ShareWithin50Hz - m.ShareWithin25Hz, m.ShareWithin100Hz - m.ShareWithin50Hz, 1 - m.ShareWithin100Hz, m.HeldS, m.KeyedS, m.UnkeyedS} {
		if !(s >= -1e-9) {
			t.Errorf("shares or times out of order: %+v", m)
		}
	}
}

// FuzzMeasure builds traces from bytes: phases, keys and offsets in any order.
func FuzzMeasure(f *testing.F) {
	f.Add([]byte{1, 2, 3, 200, 100, 50, 255, 0, 9}, uint8(3))
	f.Add(bytes.Repeat([]byte{0x52, 0x93, 0x11}, 400), uint8(0xff))
	f.Fuzz(func(t *testing.T, data []byte, flags uint8) {
		tr := &Trace{HasFound: flags&1 != 0, HasTCA: flags&2 != 0, Stopped: flags&4 != 0, Plan: Plan{ListenS: float64(flags & 8), Rule: []string{"uplink", "downlink", "both", ""}[flags>>6]}}
		for i := 0; i+2 < len(data); i += 3 {
			a, b, c := data[i], data[i+1], data[i+2]
			phase := sim.Phase(a % 5)
			e := (float64(b) - 128) * math.Exp2(float64(c%12))
			tr.Samples = append(tr.Samples, Sample{Tick: tickOf(i / 3), Phase: phase, Over: int(c % 7), Assigned: phase == sim.PhaseFind || phase == sim.PhaseTalk,
				Keyed: a&8 != 0, Found: tr.HasFound, InPassband: a&16 != 0, Turned: a&32 != 0, OffsetHz: e, RateHzS: float64(c) - 100, UplinkHz: int64(b) * 20, ReceiveHz: int64(c) * 20,
				TrueHz: e, StepHz: 20, BeaconDB: float64(b) - 200, NearestHz: float64(c) * 100, Rule: sim.Rule(a >> 6)})
		}
		tr.FoundAt, tr.TCA = sim.Tick(flags)*10, sim.Tick(len(data))
		m := Measure(tr)
		d := Debrief{Marks: m, Advice: Advise(m, tr, nil), Signatures: Signatures(m, tr)}
		inRange(t, d)
		WorstMoments(m, tr, 3)
		if d.Advice.Headline == "" || d.Advice.Kind == "" {
			t.Error("no advice")
		}
	})
}
