package sim

import (
	"math"
	"strings"
	"testing"
)

// airWith is a run of the drill Busy passband with other stations.
func airWith(t *testing.T, seed uint64, traffic DrillTraffic, sits Situations) *Run {
	t.Helper()
	d := demoDrill(t, "busy-passband")
	d.Traffic, d.Situations = traffic, sits
	d.Pass.LengthS = 400
	if d.Traffic.Spacing == 0 {
		d.Traffic.Spacing = 9000
	}
	s, err := Prepare(d, demoBird(t, d.Bird), demoElements(t, d.Bird), quernHill, demoFrom, seed)
	if err != nil {
		t.Fatal(err)
	}
	r, err := NewRun(s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// waits steps for so many seconds, and says whether a station has said a word.
func waits(r *Run, s *State, seconds float64, word string) bool {
	heard := false
	for end := r.next + Tick(seconds*TicksPerSecond); r.next < end && !r.Done(); {
		r.Step(s)
		for i := range r.setup.Others {
			heard = heard || strings.Contains(says(r, s, i), word)
		}
	}
	return heard
}

// said is how many stations say a word now.
func said(r *Run, s *State, word string) (n int) {
	for i := range r.setup.Others {
		if strings.Contains(says(r, s, i), word) {
			n++
		}
	}
	return n
}

func quietAll(r *Run, s *State) bool {
	for i := range r.setup.Others {
		if s.Signals[1+i].On {
			return false
		}
	}
	return true
}

var listeners = DrillTraffic{Stations: 3, Plans: []string{"answer"}, Hands: []string{"good", "beginner", "regular"}, WithinKm: 1000}

// callCQ calls until somebody answers, at most six times; the number of calls.
func callCQ(t *testing.T, r *Run, s *State) int {
	t.Helper()
	for n := 1; n <= 6; n++ {
		over(r, s, 6, 0)
		for end := r.next + 5*TicksPerSecond; r.next < end; {
			r.Step(s)
			if said(r, s, r.setup.Call) > 0 {
				return n
			}
		}
	}
	t.Fatal("six calls and no answer")
	return 0
}

// A general call in a clear spot is answered, but never certainly, by somebody
// who is off by up to 500 Hz; a contact comes of it. A call that is short, weak, or
// slides away is not answered.
func TestOwnCallIsAnswered(t *testing.T) {
	calls, worst := 0, 0.0
	const seeds = 20
	for seed := uint64(1); seed <= seeds; seed++ {
		r := airWith(t, seed, listeners, Situations{})
		var s State
		found(t, r, &s)
		calls += callCQ(t, r, &s)
		i := int(s.ContactWith)
		worst = math.Max(worst, math.Abs(s.Signals[1+i].OffsetHz))
		until(t, r, &s, 20, "the end of his answer", func() bool { return !s.Signals[1+i].On })
		for n := 0; n < 3 && s.Contacts == 0; n++ { // who is far off may ask for it again, and tunes meanwhile
			over(r, &s, 5, 0)
			until(t, r, &s, 5, "his words", func() bool { return says(r, &s, i) != "" })
			until(t, r, &s, 20, "the end of them", func() bool { return says(r, &s, i) == "" })
		}
		until(t, r, &s, 20, "the contact counts", func() bool { return s.Contacts == 1 && s.ContactWith == -1 })
	}
	if calls == seeds {
		t.Error("every first call was answered")
	}
	if worst > mostMissHz+30 || worst < wholeHz {
		t.Errorf("the worst caller was %.0f Hz off", worst)
	}
	t.Logf("%d calls for %d answers, the worst caller %.0f Hz off", calls, seeds, worst)
	for name, call := range map[string]func(r *Run, s *State){
		"short": func(r *Run, s *State) { over(r, s, 1.5, 0) },
		"weak": func(r *Run, s *State) {
			r.Post(CommandPower, -30)
			over(r, s, 6, 0)
		},
		"sliding": func(r *Run, s *State) {
			r.Post(CommandKey, 1)
			for range 6 * TicksPerSecond / 50 { // 200 Hz/s
				r.Post(CommandUplink, 1)
				for range 50 {
					r.Step(s)
				}
			}
			r.Post(CommandKey, 0)
			r.Step(s)
		},
	} {
		for seed := uint64(1); seed <= 8; seed++ {
			r := airWith(t, seed, listeners, Situations{})
			var s State
			found(t, r, &s)
			call(r, &s)
			if waits(r, &s, 6, "de") {
				t.Errorf("seed %d: a %s call was answered", seed, name)
			}
		}
	}
}

// What is understood by offset and S/N: our own choice of bounds.
func TestUnderstanding(t *testing.T) {
	for _, c := range []struct {
		off, db float64
		want    int
	}{{0, 20, understoodWhole}, {149, 10, understoodWhole}, {151, 10, understoodPart}, {349, 10, understoodPart}, {351, 30, understoodNot},
		{0, 2.9, understoodPart}, {0, -0.1, understoodNot}, {200, 1, understoodPart}} {
		if got := understood(c.off, c.db); got != c.want {
			t.Errorf("%.0f Hz off at %.1f dB: %d, want %d", c.off, c.db, got, c.want)
		}
	}
}

// Two call at once; one is taken, the other asked to stand by and worked after him.
func TestTwoCallers(t *testing.T) {
	r := airWith(t, 2, listeners, Situations{TwoCallers: true})
	var s State
	found(t, r, &s)
	both := false
	for n := 0; n < 8 && !both; n++ {
		over(r, &s, 6, 0)
		for end := r.next + 6*TicksPerSecond; r.next < end; {
			r.Step(&s)
			both = both || said(r, &s, r.setup.Call) == 2
		}
		if !both && s.ContactWith >= 0 {
			t.Skip("only one was free") // cannot happen with this seed
		}
	}
	if !both {
		t.Fatal("never two at once")
	}
	until(t, r, &s, 20, "they have called", func() bool { return quietAll(r, &s) })
	r.Post(CommandSay, SayCall)
	r.Post(CommandSay, SayStandBy)
	over(r, &s, 2, 0)
	until(t, r, &s, 3, "one of them answers", func() bool { return s.ContactWith >= 0 && said(r, &s, "report") == 1 })
	first := s.ContactWith
	until(t, r, &s, 20, "the end of it", func() bool { return quietAll(r, &s) })
	over(r, &s, 5, 0)
	until(t, r, &s, 30, "the other calls", func() bool {
		return s.Contacts == 1 && s.ContactWith >= 0 && s.ContactWith != first && said(r, &s, r.setup.Call) == 1
	})
	second := int(s.ContactWith)
	until(t, r, &s, 20, "the end of it", func() bool { return quietAll(r, &s) })
	over(r, &s, 3, 0)
	until(t, r, &s, 5, "his report", func() bool { return strings.Contains(says(r, &s, second), "report") })
	until(t, r, &s, 20, "the end of it", func() bool { return quietAll(r, &s) })
	over(r, &s, 5, 0)
	until(t, r, &s, 20, "two contacts", func() bool { return s.Contacts == 2 })
}

// Another calls as soon as the contact is over.
func TestTailEnder(t *testing.T) {
	for seed := uint64(1); ; seed++ {
		r := airWith(t, seed, listeners, Situations{TailEnder: true})
		var s State
		found(t, r, &s)
		callCQ(t, r, &s)
		first := s.ContactWith
		if r.air.others.player.waiting < 0 {
			if seed > 10 {
				t.Fatal("nobody ever waits")
			}
			continue
		}
		until(t, r, &s, 20, "the end of his answer", func() bool { return quietAll(r, &s) })
		over(r, &s, 5, 0)
		until(t, r, &s, 20, "thanks", func() bool { return s.Contacts == 1 })
		until(t, r, &s, 15, "another calls", func() bool { return s.ContactWith >= 0 && s.ContactWith != first && said(r, &s, r.setup.Call) == 1 })
		return
	}
}

// Who sits on a pair is told so; if he stays, the pair goes elsewhere; if he
// goes, nobody complains any more.
func TestObjections(t *testing.T) {
	pair := DrillTraffic{Stations: 2, Plans: []string{"contact"}, WithinKm: 500}
	for _, stays := range []bool{true, false} {
		r := airWith(t, 3, pair, Situations{Objects: true})
		var s State
		found(t, r, &s)
		away := func() float64 {
			return math.Abs(r.air.others.list[0].birdHz - r.air.birdHz)
		}
		sit := func() {
			until(t, r, &s, 60, "one of them talks", func() bool { return s.Signals[1].On || s.Signals[2].On })
			i := 0
			if s.Signals[2].On {
				i = 1
			}
			callOn(r, &s, i)
			over(r, &s, 4, 0)
		}
		sit()
		until(t, r, &s, 30, "you are on top of us", func() bool { return said(r, &s, "on-top") == 1 })
		if s.Told != 1 {
			t.Errorf("told %d times", s.Told)
		}
		if !stays {
			r.Post(CommandReceive, -int64(6000/s.StepHz))
			r.Step(&s)
			over(r, &s, 8, 0)
			if waits(r, &s, 60, "on-top") || s.Told != 1 {
				t.Errorf("told %d times although he has gone", s.Told)
			}
			continue
		}
		for n := 0; n < 6 && s.Told < mostAsks+1 && away() < clearHz; n++ {
			until(t, r, &s, 40, "the end of it", func() bool { return said(r, &s, "on-top") == 0 })
			sit()
			waits(r, &s, 25, "on-top")
		}
		if s.Told != mostAsks || away() < 3000 {
			t.Errorf("told %d times, and they are %.0f Hz away", s.Told, away())
		}
	}
}

// A station of the wrong rule slides over the operator's channel when the drill says.
func TestSlider(t *testing.T) {
	for seed := uint64(1); seed <= 5; seed++ {
		r := airWith(t, seed, DrillTraffic{Stations: 1, Plans: []string{"slider"}, WithinKm: 800}, Situations{SlidesAtS: [2]float64{150, 200}})
		var s State
		nearest, at := math.Inf(1), 0.0
		for !r.Done() {
			r.Step(&s)
			mine := float64(r.setup.StartReceiveHz) / (1 - r.air.beta)
			if off := math.Abs(s.Signals[1].BirdHz - mine); off < nearest {
				nearest, at = off, s.Tick.Seconds()
			}
		}
		if nearest > 60 || at < 135 || at > 215 {
			t.Errorf("seed %d: comes within %.0f Hz after %.0f s", seed, nearest, at)
		}
	}
}

// A weak station calls late, from where the bird sets last.
func TestWeakStation(t *testing.T) {
	r := airWith(t, 4, DrillTraffic{Stations: 1, Plans: []string{"weak"}, WithinKm: 2500}, Situations{WeakFromS: 100})
	o := &r.setup.Others[0]
	if o.Plan != "cq" || o.PowerW != weakW || o.From != r.setup.Length-100*TicksPerSecond {
		t.Errorf("%+v", o)
	}
	var s State
	first := Tick(0)
	for !r.Done() {
		r.Step(&s)
		if s.Signals[1].On && first == 0 {
			first = s.Tick
		}
	}
	if first < o.From || first > o.From+15*TicksPerSecond {
		t.Errorf("he calls first at %.0f s, from %.0f on", first.Seconds(), o.From.Seconds())
	}
}

// The control of a net calls its members and, in each round, the operator; who
// answers in his turn has a contact, who does not is called again and then passed over.
func TestRoll(t *testing.T) {
	net := DrillTraffic{Stations: 3, Plans: []string{"net"}, WithinKm: 500}
	r := airWith(t, 5, net, Situations{Roll: true})
	var s State
	found(t, r, &s)
	until(t, r, &s, 150, "the roll calls him", func() bool { return said(r, &s, "net") == 1 })
	control := r.air.others.groups[0].members[0]
	if int(s.ContactWith) != control || s.Rolled != 1 {
		t.Fatalf("called by %d, control is %d, rolled %d", s.ContactWith, control, s.Rolled)
	}
	until(t, r, &s, 10, "the end of it", func() bool { return quietAll(r, &s) })
	callOn(r, &s, control)
	over(r, &s, 5, 0)
	until(t, r, &s, 5, "roger", func() bool { return strings.Contains(says(r, &s, control), "thanks") })
	until(t, r, &s, 20, "it goes on", func() bool { return s.Contacts == 1 && s.ContactWith < 0 })
	until(t, r, &s, 150, "the roll calls him again", func() bool { return s.Rolled == 2 })
	if !waits(r, &s, 16, "again") {
		t.Error("nobody asks who does not answer")
	}
	until(t, r, &s, 60, "it goes on", func() bool { return s.ContactWith < 0 })
	if s.Contacts != 1 {
		t.Errorf("%d contacts", s.Contacts)
	}
}

// Who calls in the gap of a pair that leaves gaps is taken in.
func TestBreakIn(t *testing.T) {
	r := airWith(t, 6, DrillTraffic{Stations: 2, Plans: []string{"contact"}, WithinKm: 500}, Situations{BreakIn: true})
	var s State
	found(t, r, &s)
	for n := 0; n < 4 && s.ContactWith < 0; n++ {
		until(t, r, &s, 60, "one talks", func() bool { return !quietAll(r, &s) })
		i := 0
		if s.Signals[2].On {
			i = 1
		}
		until(t, r, &s, 60, "the gap", func() bool { return quietAll(r, &s) })
		callOn(r, &s, i)
		over(r, &s, 1.5, 0)
		waits(r, &s, 1, "")
	}
	until(t, r, &s, 30, "a report", func() bool { return s.ContactWith >= 0 && said(r, &s, r.setup.Call) == 1 })
	i := int(s.ContactWith)
	until(t, r, &s, 30, "the end of it", func() bool { return quietAll(r, &s) })
	callOn(r, &s, i)
	over(r, &s, 4, 0)
	until(t, r, &s, 30, "thanks", func() bool { return s.Contacts == 1 && s.ContactWith < 0 })
	until(t, r, &s, 30, "the two go on", func() bool { return said(r, &s, "report") == 1 })
}

// What is chosen to be said counts in place of an over's length: again has the
// last words repeated, thanks before the report is asked again.
func TestSaying(t *testing.T) {
	r := airWith(t, 1, listeners, Situations{})
	var s State
	found(t, r, &s)
	callCQ(t, r, &s)
	i := int(s.ContactWith)
	ends := func() { until(t, r, &s, 20, "the end of it", func() bool { return !s.Signals[1+i].On }) }
	ends()
	r.Post(CommandSay, SayAgain)
	over(r, &s, 2, 0)
	until(t, r, &s, 5, "his report again", func() bool { return strings.Contains(says(r, &s, i), "report") })
	ends()
	r.Post(CommandSay, SayThanks)
	over(r, &s, 2, 0)
	until(t, r, &s, 5, "he still wants the report", func() bool { return strings.Contains(says(r, &s, i), "again") })
	ends()
	r.Post(CommandSay, SayReport)
	r.Post(CommandSay, SayLocator)
	over(r, &s, 4, 0)
	until(t, r, &s, 5, "thanks", func() bool { return strings.Contains(says(r, &s, i), "thanks") })
	if ends(); s.Contacts != 1 {
		t.Errorf("%d contacts", s.Contacts)
	}
}
