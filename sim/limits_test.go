package sim

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// limit is a number of a file with the span that it may have: our choice, what
// a message tells its reader.
type limit struct {
	path   string
	at     *float64
	lo, hi float64
}

// checkLimits sets each number to its ends, which are taken, and a little
// beyond, which is refused by name with both ends.
func checkLimits(t *testing.T, limits []limit, check func() error) {
	t.Helper()
	if err := check(); err != nil {
		t.Fatal("as it stands: ", err)
	}
	for _, l := range limits {
		was := *l.at
		beyond := min(0.5, 0.01*(l.hi-l.lo))
		for _, c := range []struct {
			v    float64
			good bool
		}{{l.lo, true}, {l.hi, true}, {l.lo - beyond, false}, {l.hi + beyond, false}, {math.NaN(), false}, {math.Inf(1), false}} {
			*l.at = c.v
			err := check()
			if c.good && err != nil {
				t.Errorf("%s = %g: %v", l.path, c.v, err)
			}
			if want := fmt.Sprintf("%s: %g is outside %g to %g", l.path, c.v, l.lo, l.hi); !c.good && (err == nil || !strings.Contains(err.Error(), want)) {
				t.Errorf("said %v, want %q", err, want)
			}
		}
		*l.at = was
	}
}

func TestLimitsOfABird(t *testing.T) {
	b := demoBird(t, "lark-1")
	b.Spin, b.Beacon = &Spin{PeriodS: 20, DepthDB: 6}, &Beacon{FrequencyHz: 145.9e6, Kind: "cw", Text: "LARK", WPM: 12}
	b.Power.Schedule = []OnSpell{{ForMinutes: 30}}
	x := &b.Transponders[0]
	checkLimits(t, []limit{
		{"transponder 1: shoulder_hz", &x.ShoulderHz, 1, 50e3}, {"transponder 1: shoulder_db", &x.ShoulderDB, 0, 80},
		{"transponder 1: oscillator_hz", &x.OscillatorHz, -20e3, 20e3}, {"transponder 1: oscillator_spread_hz", &x.OscillatorSpreadHz, 0, 20e3},
		{"transponder 1: eclipse_hz", &x.EclipseHz, -20e3, 20e3}, {"transponder 1: thermal_s", &x.ThermalS, 1, 1e5},
		{"transponder 1: gain_db", &x.GainDB, 60, 220}, {"transponder 1: max_eirp_dbw", &x.MaxEIRPDBW, -40, 40}, {"transponder 1: noise_k", &x.NoiseK, 10, 1e5},
		{"transponder 1: agc_attack_s", &x.AGCAttackS, 0.001, 60}, {"transponder 1: agc_release_s", &x.AGCReleaseS, 0.001, 60},
		{"beacon.error_hz", &b.Beacon.ErrorHz, -20e3, 20e3}, {"beacon.eirp_dbw", &b.Beacon.EIRPDBW, -60, 30}, {"beacon.wpm", &b.Beacon.WPM, 4, 60},
		{"beacon.frequency_hz", &b.Beacon.FrequencyHz, 20e6, 25e9},
		{"spin.period_s", &b.Spin.PeriodS, 0.5, 600}, {"spin.depth_db", &b.Spin.DepthDB, 0, 30}, {"spin.axis_deg", &b.Spin.AxisDeg, 0, 90},
		{"power.schedule 1: from_minute", &b.Power.Schedule[0].FromMinute, 0, 60}, {"power.schedule 1: for_minutes", &b.Power.Schedule[0].ForMinutes, 0, 60},
	}, func() error {
		c := &checker{file: "f"}
		b.check(c)
		return c.result()
	})
	for what, spoil := range map[string]func(b *Bird){
		"catalog":      func(b *Bird) { b.Catalog = -1 },
		"999999999":    func(b *Bird) { b.Catalog = 1_000_000_000 },
		"at least one": func(b *Bird) { b.Transponders = nil },
		"65 transponders; 64": func(b *Bird) {
			for len(b.Transponders) < 65 {
				b.Transponders = append(b.Transponders, b.Transponders[0])
			}
		},
		"uplink_high_hz: the upper":   func(b *Bird) { b.Transponders[0].UplinkHighHz = b.Transponders[0].UplinkLowHz },
		"downlink_high_hz: the upper": func(b *Bird) { b.Transponders[0].DownlinkHighHz = b.Transponders[0].DownlinkLowHz },
		"they must match":             func(b *Bird) { b.Transponders[0].DownlinkHighHz++ },
		"use difference_hz":           func(b *Bird) { b.Transponders[0].Inverting = false },
		"1 Hz outside this sum":       func(b *Bird) { b.Transponders[0].SumHz-- },
		"differ by -289250000 Hz, so the downlink lies -9 Hz outside": func(b *Bird) {
			b.Transponders[0].Inverting, b.Transponders[0].SumHz, b.Transponders[0].DifferenceHz = false, 0, -289_249_991
		},
		"name: has 41 bytes; 40": func(b *Bird) { b.Name = strings.Repeat("x", 41) },
	} {
		bad := b
		bad.Transponders = append([]Transponder(nil), b.Transponders...)
		spoil(&bad)
		c := &checker{file: "f"}
		bad.check(c)
		if err := c.result(); err == nil || !strings.Contains(err.Error(), what) {
			t.Errorf("said %v, want %q", err, what)
		}
	}
	good := b
	good.Transponders = append([]Transponder(nil), b.Transponders...)
	x = &good.Transponders[0]
	x.Inverting, x.SumHz, x.DifferenceHz = false, 0, x.DownlinkLowHz-x.UplinkLowHz
	good.Catalog = 999_999_999
	c := &checker{file: "f"}
	if good.check(c); c.result() != nil {
		t.Error(c.result())
	}
}

func TestLimitsOfADrill(t *testing.T) {
	d := demoDrill(t, "busy-passband")
	snr := 10.0
	d.Noise.SNRDB = &snr
	d.Noise.FadeDB, d.Noise.FadeEveryS = 0, [2]float64{}
	d.Pass.LengthS, d.Plan.AsKeyedS = 300, []float64{10, 20}
	d.Exercise.ShiftsHz = []float64{100}
	d.Station = &Station{}
	d.Station.defaults()
	s := d.Station
	checkLimits(t, []limit{
		{"pass.after_s", &d.Pass.AfterS, -3600, 3600}, {"start.lead_s", &d.Start.LeadS, 0, 60},
		{"plan.talk_s", &d.Plan.TalkS, 1, 3600}, {"plan.listen_s", &d.Plan.ListenS, 0, 3600}, {"plan.last_s", &d.Plan.LastS, 0, 3600},
		{"plan.as_keyed_s 2", &d.Plan.AsKeyedS[1], 0.5, 3600}, {"aids.fade_to", &d.Aids.FadeTo, 0, 1}, {"goal.own_rating_sd", &d.Goal.OwnRatingSD, 0, 10},
		{"noise.snr_db", d.Noise.SNRDB, -20, 60}, {"traffic.within_km", &d.Traffic.WithinKm, 0, 10000}, {"traffic.spacing_hz", &d.Traffic.Spacing, 1000, 20000},
		{"exercise.shifts_hz 1", &d.Exercise.ShiftsHz[0], 0, 1000}, {"exercise.right_hz", &d.Exercise.RightHz, 0, 200},
		{"exercise.limit_s", &d.Exercise.LimitS, 0, 600}, {"exercise.pause_s", &d.Exercise.PauseS, 0, 30},
		{"station.power_w", &s.PowerW, 0.001, 1500}, {"station.uplink_gain_dbi", &s.UplinkGainDBi, -20, 30}, {"station.receive_gain_dbi", &s.ReceiveGainDBi, -20, 30},
		{"station.beam_deg", &s.BeamDeg, 5, 360}, {"station.hang_s", &s.HangS, 0, 5}, {"station.rig_delay_s", &s.RigDelayS, 0, 0.5}, {"station.receiver_k", &s.ReceiverK, 1, 1e5},
		{"station.uplink.ppm", &s.Uplink.PPM, -50, 50}, {"station.receive.cold_ppm", &s.Receive.ColdPPM, -50, 50}, {"station.receive.warm_s", &s.Receive.WarmS, 1, 1e5},
	}, func() error {
		c := &checker{file: "f"}
		d.check(c)
		return c.result()
	})
}

// Numbers that go together, counts and lists: what is taken and what is refused.
func TestWhatGoesTogetherInADrill(t *testing.T) {
	for says, c := range map[string]struct{ bad, good func(*Drill) }{
		"top_deg: 91 is outside":      {func(d *Drill) { d.Pass.TopDeg = [2]float64{20, 91} }, func(d *Drill) { d.Pass.TopDeg = [2]float64{20, 20} }},
		"runs from 30 to 20":          {func(d *Drill) { d.Pass.TopDeg = [2]float64{30, 20} }, func(d *Drill) { d.Pass.TopDeg = [2]float64{0, 90} }},
		"height_km: 149":              {func(d *Drill) { d.Pass.HeightKm = 149 }, func(d *Drill) { d.Pass.HeightKm = 150 }},
		"height_km: 40001":            {func(d *Drill) { d.Pass.HeightKm = 40001 }, func(d *Drill) { d.Pass.HeightKm = 40000 }},
		"9.5 s is too short; 10":      {func(d *Drill) { d.Pass.LengthS = 9.5 }, func(d *Drill) { d.Pass.LengthS = 10 }},
		"needs a length":              {func(d *Drill) { d.Pass.Part, d.Pass.LengthS = "top", 0 }, func(d *Drill) { d.Pass.Part, d.Pass.LengthS = "rise", 0 }},
		"age_s: -61":                  {func(d *Drill) { d.Pass.AgeS = [2]float64{-61, 0} }, func(d *Drill) { d.Pass.AgeS = [2]float64{-60, 60} }},
		"eclipse_at_s: 3601":          {func(d *Drill) { d.Pass.Eclipse = [2]float64{0, 3601} }, func(d *Drill) { d.Pass.Eclipse = [2]float64{0, 3600} }},
		"offset_hz: 20001":            {func(d *Drill) { d.Start.OffsetHz = [2]float64{0, 20001} }, func(d *Drill) { d.Start.OffsetHz = [2]float64{0, 20000} }},
		"receive_hz: 1e+06":           {func(d *Drill) { d.Start.ReceiveHz = 1e6 }, func(d *Drill) { d.Start.ReceiveHz = 20e6 }},
		"2001 turns; at most 2000":    {func(d *Drill) { d.Plan.AsKeyedS = ones(2001) }, func(d *Drill) { d.Plan.AsKeyedS = ones(2000) }},
		"overs: 1001":                 {func(d *Drill) { d.Plan.Overs = 1001 }, func(d *Drill) { d.Plan.Overs = 1000 }},
		"number: 1000":                {func(d *Drill) { d.Number = 1000 }, func(d *Drill) { d.Number = 999 }},
		"transponder: 65":             {func(d *Drill) { d.Transponder = 65 }, func(d *Drill) { d.Transponder = 64 }},
		"trials: 61":                  {func(d *Drill) { d.Exercise.Trials = 61 }, func(d *Drill) { d.Exercise.Trials = 60 }},
		"20 shifts":                   {func(d *Drill) { d.Exercise.ShiftsHz = ones(21) }, func(d *Drill) { d.Exercise.ShiftsHz = ones(20) }},
		"20 voices":                   {func(d *Drill) { d.Exercise.Voices = strings.Split(strings.Repeat("tone,", 20)+"tone", ",") }, func(d *Drill) { d.Exercise.Voices = strings.Split(strings.Repeat("tone,", 19)+"tone", ",") }},
		"needs a list of faults":      {func(d *Drill) { d.Kind = "fault" }, func(d *Drill) { d.Kind, d.Faults = "fault", []string{"old-elements"} }},
		`no fault "gremlin"`:          {func(d *Drill) { d.Faults = []string{"old-elements", "gremlin"} }, func(d *Drill) { d.Faults = []string{"old-elements", "clock-wrong"} }},
		"fade_db: 31":                 {func(d *Drill) { d.Noise.FadeDB, d.Noise.FadeEveryS = 31, [2]float64{8, 14} }, func(d *Drill) { d.Noise.FadeDB, d.Noise.FadeEveryS = 30, [2]float64{8, 14} }},
		"at least 1 s between":        {func(d *Drill) { d.Noise.FadeDB, d.Noise.FadeEveryS = 6, [2]float64{0.5, 14} }, func(d *Drill) { d.Noise.FadeDB, d.Noise.FadeEveryS = 6, [2]float64{1, 14} }},
		"12 places each at most":      {func(d *Drill) { d.Traffic.Rules = strings.Split(strings.Repeat("both,", 12)+"none", ",") }, func(d *Drill) { d.Traffic.Rules = strings.Split(strings.Repeat("both,", 11)+"none", ",") }},
		"only the first can":          {func(d *Drill) { d.Traffic.Partner, d.Traffic.Plans = true, []string{"cq", "partner"} }, func(d *Drill) { d.Traffic.Partner, d.Traffic.Plans = true, []string{"partner", "cq"} }},
		"with partner = true":         {func(d *Drill) { d.Traffic.Partner, d.Traffic.Plans = false, []string{"partner"} }, func(d *Drill) { d.Traffic.Partner, d.Traffic.Plans = true, []string{"partner"} }},
		"a partner needs stations":    {func(d *Drill) { d.Traffic.Partner, d.Traffic.Stations = true, 0 }, func(d *Drill) { d.Traffic.Partner, d.Traffic.Stations = true, 1 }},
		"9 variants; 8":               {func(d *Drill) { d.Variants = variants(9) }, func(d *Drill) { d.Variants = variants(8) }},
		"says nothing that differs":   {func(d *Drill) { d.Variants = []DrillVariant{{}} }, func(d *Drill) { d.Variants = []DrillVariant{{Rule: "both"}} }},
		"second_rule: \"sideways\"":   {func(d *Drill) { d.SecondRule = "sideways" }, func(d *Drill) { d.SecondRule = "downlink" }},
		"{ or } that is not of":       {func(d *Drill) { d.Brief = "Turn {knob}." }, func(d *Drill) { d.Brief = "Turn {dial}." }},
		"coach: has a { or }":         {func(d *Drill) { d.Coach = "One {rythm}." }, func(d *Drill) { d.Coach = "One {rhythm}." }},
		"brief: has 601 bytes":        {func(d *Drill) { d.Brief = strings.Repeat("x", 601) }, func(d *Drill) { d.Brief = strings.Repeat("x", 600) }},
		"6 marks; 5 are allowed":      {func(d *Drill) { d.Goal = goal(6) }, func(d *Drill) { d.Goal = goal(5) }},
		"rms_hz is asked for twice":   {func(d *Drill) { d.Goal = goal(2); d.Goal.Also[0].Measure = "rms_hz"; d.Goal.Measure = "rms_hz" }, func(d *Drill) { d.Goal = goal(2) }},
		`no hand "gud"`:               {func(d *Drill) { d.Goal.Hand = "gud" }, func(d *Drill) { d.Goal.Hand = "good" }},
		"701 is neither 2400 nor 500": {func(d *Drill) { d.Station.Receive.FilterHz = 701 }, func(d *Drill) { d.Station.Receive.FilterHz = 500 }},
		"diplexer: \"off\"":           {func(d *Drill) { d.Station.Diplexer = "off" }, func(d *Drill) { d.Station.Diplexer = "out" }},
		"sideband: \"FM\"":            {func(d *Drill) { d.Station.Uplink.Sideband = "FM" }, func(d *Drill) { d.Station.Uplink.Sideband = "USB" }},
	} {
		for _, good := range []bool{true, false} {
			d := demoDrill(t, "busy-passband")
			d.Station = &Station{}
			d.Station.defaults()
			if good {
				c.good(&d)
			} else {
				c.bad(&d)
			}
			check := &checker{file: "f"}
			d.check(check)
			if err := check.result(); good && err != nil || !good && (err == nil || !strings.Contains(err.Error(), says)) {
				t.Errorf("%q, as it should be: %v: said %v", says, good, err)
			}
		}
	}
}

func ones(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 1
	}
	return out
}

func variants(n int) []DrillVariant {
	var out []DrillVariant
	for range n {
		out = append(out, DrillVariant{Rule: "both"})
	}
	return out
}

// goal asks for n different marks.
func goal(n int) Goal {
	g := Goal{Measure: "travel_ratio", Pass: 1}
	for _, m := range []string{"bird_drift_hz", "found_s", "comeback_s", "top_ratio", "lead_error"}[:n-1] {
		g.Also = append(g.Also, GoalMark{Measure: m, Pass: 1})
	}
	return g
}
