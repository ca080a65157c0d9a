package sim

import (
	"math"
	"strings"
	"testing"
)

// callOn brings both dials to a station, by what the air itself says.
func callOn(r *Run, s *State, i int) {
	step := float64(s.StepHz)
	n := int64(math.Round(s.Signals[1+i].OffsetHz / step))
	r.Post(CommandReceive, n)
	r.Step(s)
	r.Post(CommandUplink, int64(math.Round((s.TrueHz-float64(s.UplinkHz))/step)))
	r.Step(s)
}

// over keys for so long, held true or so many hertz off, and lets go.
func over(r *Run, s *State, seconds, offHz float64) {
	r.Post(CommandKey, 1)
	for end := r.next + Tick(seconds*TicksPerSecond); r.next < end; {
		step := float64(s.StepHz)
		r.Post(CommandUplink, int64(math.Round((s.TrueHz-offHz-float64(s.UplinkHz))/step)))
		r.Step(s)
	}
	r.Post(CommandKey, 0)
	r.Step(s)
}

// until steps until something holds, for at most so many seconds.
func until(t *testing.T, r *Run, s *State, most float64, what string, f func() bool) {
	t.Helper()
	for end := r.next + Tick(most*TicksPerSecond); !f(); {
		if r.next >= end || r.Done() {
			t.Fatalf("not within %.0f s: %s", most, what)
		}
		r.Step(s)
	}
}

// says returns what a station says now.
func says(r *Run, s *State, i int) string {
	g := &s.Signals[1+i]
	if !g.On || g.Script < 0 {
		return ""
	}
	return r.Scripts()[g.Script].Text()
}

// found gets the operator of a free drill over the finding.
func found(t *testing.T, r *Run, s *State) {
	t.Helper()
	until(t, r, s, 10, "the drill begins", func() bool { return s.Phase == PhaseFind })
	for !s.Found {
		over(r, s, 2.5, 0)
		if r.Done() {
			t.Fatal("never found")
		}
	}
}

// caller returns a station that calls, by its index.
func caller(t *testing.T, r *Run) int {
	t.Helper()
	for i := range r.setup.Others {
		if r.setup.Others[i].Plan == "cq" && r.setup.Others[i].Rule == "uplink" {
			return i
		}
	}
	t.Fatal("nobody calls")
	return 0
}

// A contact from the call to the thanks, and what is asked again.
func TestContact(t *testing.T) {
	r := changedRun(t, "busy-passband", 3, nil)
	var s State
	found(t, r, &s)
	i := caller(t, r)
	call := r.setup.Others[i].Call
	hears := func(word string) func() bool {
		return func() bool { return strings.Contains(says(r, &s, i), word) }
	}
	quiet := func() bool { return !s.Signals[1+i].On }
	until(t, r, &s, 30, "his general call", hears("cq"))
	until(t, r, &s, 20, "the end of it", quiet)
	callOn(r, &s, i)
	over(r, &s, 3, 550) // in his filter, but too far off to be understood
	for end := r.next + 3*TicksPerSecond; r.next < end; {
		r.Step(&s)
		if says(r, &s, i) != "" && !hears("cq")() {
			t.Fatalf("550 Hz off he says %q", says(r, &s, i))
		}
	}
	until(t, r, &s, 30, "he is silent", quiet)
	over(r, &s, 3, 250) // partly
	until(t, r, &s, 5, "he asks again", hears("off-frequency again"))
	until(t, r, &s, 10, "the end of it", quiet)
	over(r, &s, 3, 0)
	until(t, r, &s, 5, "he answers with our call", hears(r.setup.Call))
	if !strings.Contains(says(r, &s, i), "report") || !strings.Contains(says(r, &s, i), call) {
		t.Errorf("he says %q", says(r, &s, i))
	}
	if int(s.ContactWith) != i || s.Contacts != 0 {
		t.Errorf("in contact with %d, %d contacts", s.ContactWith, s.Contacts)
	}
	until(t, r, &s, 20, "the end of it", quiet)
	callOn(r, &s, i) // two who each hold their own uplink drift apart
	over(r, &s, 4, 0)
	until(t, r, &s, 5, "he says thanks", hears("thanks"))
	until(t, r, &s, 10, "the end of it", quiet)
	r.Step(&s)
	if s.Contacts != 1 || s.ContactWith != -1 {
		t.Errorf("%d contacts, with %d", s.Contacts, s.ContactWith)
	}
}

// Who speaks into a station's filter at the same time is noise to it: as loud
// as the operator and on the same channel, half the power is his, 0 dB; 2.4 kHz
// aside nothing; without him the noise alone counts. (Powers add; how much of a
// voice a filter of 2400 Hz lets through aside is taken to fall in a straight
// line: our choice.)
func TestOthersDisturb(t *testing.T) {
	r := changedRun(t, "busy-passband", 3, nil)
	var s State
	found(t, r, &s)
	o, a := &r.air.others, &r.air
	st, other := &o.list[0], &o.list[1]
	for i := range o.list {
		o.list[i].on = false
	}
	within(t, "nobody else", o.disturbed(st, 9, a), 9, 1e-9)
	other.on, other.inside = true, true
	other.eirpDBW, other.edgeDB = a.ownDBW-a.edgeDB, 0
	for aside, want := range map[float64]float64{0: -0.5150, 1200: 2.0350, 2400: 9} { // -10 lg(10^-0.9 + 1 or 0.5 or 0)
		other.birdHz = (st.slotHz + aside) / (1 - st.beta)
		within(t, "another as loud", o.disturbed(st, 9, a), want, 0.001)
	}
}

// Nobody answers a call that is far from his channel, too short, or too weak.
func TestCallsThatAreNotHeard(t *testing.T) {
	for name, c := range map[string]struct{ off, seconds, power float64 }{
		"two kilohertz off": {2000, 3, 5}, "a click": {0, 0.4, 5}, "one milliwatt": {0, 3, 0.001},
	} {
		t.Run(name, func(t *testing.T) {
			r := changedRun(t, "busy-passband", 3, func(s *Setup) {
				s.Station.PowerW = c.power
				for i := range s.Others {
					if s.Others[i].Plan == "answer" {
						s.Others[i].Plan = "cq"
					}
				}
			})
			var s State
			found(t, r, &s)
			i := caller(t, r)
			until(t, r, &s, 30, "his general call", func() bool { return strings.Contains(says(r, &s, i), "cq") })
			until(t, r, &s, 20, "the end of it", func() bool { return !s.Signals[1+i].On })
			callOn(r, &s, i)
			over(r, &s, c.seconds, c.off)
			for end := r.next + 4*TicksPerSecond; r.next < end; {
				r.Step(&s)
				if text := says(r, &s, i); text != "" && !strings.HasPrefix(text, "cq") {
					t.Fatalf("he says %q", text)
				}
			}
		})
	}
}

// A call in a free place is answered there by one who waits for calls.
func TestAnsweredCall(t *testing.T) {
	r := changedRun(t, "busy-passband", 3, func(s *Setup) {
		s.Others = s.Others[:1]
		s.Others[0].Plan, s.Others[0].Group, s.Others[0].With = "answer", -1, -1
	})
	var s State
	found(t, r, &s)
	over(r, &s, 6, 0)
	until(t, r, &s, 5, "an answer", func() bool { return strings.Contains(says(r, &s, 0), "report") })
	if off := s.Signals[1].OffsetHz; math.Abs(off) > mostMissHz+50 {
		t.Errorf("he answers %.0f Hz away", off)
	}
}

// Stations of a group take turns and never talk at once; a tuner-up sends a carrier.
func TestGroupsTakeTurns(t *testing.T) {
	r := changedRun(t, "real-afternoon", 2, func(s *Setup) { s.OffAt = 0 })
	groups := map[int][]int{}
	rude := -1
	for i, o := range r.setup.Others {
		if o.Group >= 0 {
			groups[o.Group] = append(groups[o.Group], i)
		}
		if o.Plan == "rude" {
			rude = i
		}
	}
	if len(groups) != 2 || rude < 0 {
		t.Fatalf("groups %v, rude %d", groups, rude)
	}
	talked, carriers := map[int]int{}, 0
	var s State
	for !r.Done() {
		r.Step(&s)
		for _, members := range groups {
			on := 0
			for _, i := range members {
				if s.Signals[1+i].On {
					on++
					talked[i]++
				}
			}
			if on > 1 {
				t.Fatalf("tick %d: %d of one group talk at once", s.Tick, on)
			}
		}
		if g := &s.Signals[1+rude]; g.On {
			carriers++
			if !g.Carrier || g.Script >= 0 {
				t.Fatal("the tuner-up speaks")
			}
		}
	}
	if len(talked) < 4 || carriers == 0 {
		t.Errorf("%d stations of the groups talked, %d ticks of carrier", len(talked), carriers)
	}
}

// The partner talks while the operator listens, and only then.
func TestPartner(t *testing.T) {
	r := changedRun(t, "low-overhead", 2, nil)
	h, err := NewHand("perfect", 1, r.Setup())
	if err != nil {
		t.Fatal(err)
	}
	var s State
	talk, listen, heard := 0, 0, 0
	for !r.Done() {
		r.Step(&s)
		h.Act(&s, r.Post)
		on := s.Signals[1+r.setup.Partner].On
		switch {
		case s.Phase == PhaseListen:
			listen++
			if on {
				heard++
			}
		case on && s.Phase == PhaseTalk:
			talk++
		}
	}
	if talk > 20 || heard*10 < listen*6 {
		t.Errorf("on for %d ticks of the operator's overs, for %d of %d while he listens", talk, heard, listen)
	}
}

// Each station holds itself by its rule: with the uplink alone it stays at its
// receive dial as well as its hand can, with both it stands still at the bird,
// with the downlink it wanders at the bird by the 70 cm leg.
func TestOthersTune(t *testing.T) {
	for rule, check := range map[string]func(t *testing.T, own, bird float64){
		"uplink": func(t *testing.T, own, bird float64) {
			if own > 60 {
				t.Errorf("an expert on the uplink is %.0f Hz off by the root mean square", own)
			}
		},
		"both": func(t *testing.T, own, bird float64) {
			if bird > 5 {
				t.Errorf("with both dials it wanders by %.0f Hz at the bird", bird)
			}
		},
		"downlink": func(t *testing.T, own, bird float64) {
			if bird < 10000 {
				t.Errorf("with a fixed uplink it wanders by %.0f Hz only", bird)
			}
		},
	} {
		t.Run(rule, func(t *testing.T) {
			d := demoDrill(t, "come-back")
			d.Pass = DrillPass{Part: "whole", TopDeg: [2]float64{60, 90}}
			d.Plan = DrillPlan{TalkS: 10}
			d.Traffic = DrillTraffic{Stations: 2, Plans: []string{"contact"}, Rules: []string{rule}, Hands: []string{"expert"}, WithinKm: 300, Spacing: 4000}
			s, err := Prepare(d, demoBird(t, d.Bird), demoElements(t, d.Bird), quernHill, demoFrom, 4)
			if err != nil {
				t.Fatal(err)
			}
			s.transponder().EclipseHz = 0
			r, err := NewRun(s)
			if err != nil {
				t.Fatal(err)
			}
			var st State
			sum, n, lo, hi := 0.0, 0, math.Inf(1), math.Inf(-1)
			for !r.Done() {
				r.Step(&st)
				one := &r.air.others.list[0]
				if st.Tick%slowTicks != 0 || !one.up || st.Tick < 30*TicksPerSecond {
					continue
				}
				lo, hi = math.Min(lo, st.Signals[1].BirdHz), math.Max(hi, st.Signals[1].BirdHz)
				if one.on && st.Tick > one.scriptAt+3*TicksPerSecond {
					sum += one.offsetHz * one.offsetHz
					n++
				}
			}
			check(t, math.Sqrt(sum/float64(max(1, n))), hi-lo)
		})
	}
}

// What stations say is spelled out and fits its clips.
func TestScripts(t *testing.T) {
	r := changedRun(t, "real-afternoon", 1, nil)
	if len(r.Scripts()) != scriptsOfOne*len(r.setup.Others) {
		t.Fatalf("%d scripts for %d stations", len(r.Scripts()), len(r.setup.Others))
	}
	s := newScript(0, "alder", "cq", "de", "Q3FEN", "Q3FEN", "over")
	if got, want := s.Text(), "cq de Q3FEN Q3FEN over"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	end := Tick(0)
	for _, c := range s.Clips {
		if c.At < end || c.Length < shortClip {
			t.Errorf("clip %q from %d for %d after %d", c.Name, c.At, c.Length, end)
		}
		end = c.At + c.Length
	}
	if s.Length != end {
		t.Errorf("length %d, the last clip ends at %d", s.Length, end)
	}
}
