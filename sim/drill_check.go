package sim

import (
	"errors"
	"regexp"
	"strings"
)

var drillName = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// stepsHz are the knob steps that a radio offers.
var stepsHz = []int{10, 20, 50, 100}

func validStep(hz int) bool {
	for _, s := range stepsHz {
		if s == hz {
			return true
		}
	}
	return false
}

// rules of tuning.
var rules = []string{"uplink", "downlink", "both", "computer"}

func (d *Drill) check(c *checker) {
	c.text("name", d.Name, 40, true)
	if !drillName.MatchString(d.Name) {
		c.fail("name", "%q must be lower-case letters and digits with hyphens between", d.Name)
	}
	c.within("number", float64(d.Number), 0, 999)
	c.text("title", d.Title, 60, true)
	c.brief("brief", d.Brief)
	c.coach("coach", d.Coach)
	c.text("bird", d.Bird, 40, true)
	c.text("elements", d.Elements, 200, true)
	c.one("kind", d.Kind, "fly", "hear", "first-move", "fault")
	if d.Rule != "" {
		c.one("rule", d.Rule, rules...)
	}
	if d.SecondRule != "" {
		c.one("second_rule", d.SecondRule, rules...)
	}
	c.one("voice", d.Voice, "tone", "vowel", "call", "cw", "whistle")
	c.within("transponder", float64(d.Transponder), 1, maxTransponders)
	if !validStep(d.StepHz) {
		c.fail("step_hz", "%d is none of 10, 20, 50, 100", d.StepHz)
	}
	d.checkPass(c)
	d.checkPlan(c)
	d.checkGoal(c)
	d.checkVariants(c)
	d.checkAir(c)
	d.checkExercise(c)
	if d.Station != nil {
		d.Station.check(c, "station")
	}
	if d.Ready != nil {
		d.Ready.check(c, d)
	}
}

// coach checks a line of advice: braces hold the rhythm and what depends on the rule.
func (c *checker) coach(path, v string) {
	c.text(path, v, 200, false)
	c.marks(path, v, append([]string{RhythmMark}, turningMarks...))
}

func (c *checker) brief(path, v string) {
	c.text(path, v, 600, false)
	c.marks(path, v, turningMarks)
}

// marks checks that braces hold marks only.
func (c *checker) marks(path, v string, allowed []string) {
	for _, m := range allowed {
		v = strings.ReplaceAll(v, m, "")
	}
	if strings.ContainsAny(v, "{}") {
		c.fail(path, "has a { or } that is not of %s; leave it out", strings.Join(allowed, ", "))
	}
}

// span checks a from..to pair.
func (c *checker) span(path string, v [2]float64, lo, hi float64) {
	c.within(path, v[0], lo, hi)
	c.within(path, v[1], lo, hi)
	if v[0] > v[1] {
		c.fail(path, "runs from %g to %g; the smaller stands first", v[0], v[1])
	}
}

func (d *Drill) checkPass(c *checker) {
	p := &d.Pass
	c.one("pass.part", p.Part, "whole", "rise", "top", "set", "frozen")
	c.span("pass.top_deg", p.TopDeg, 0, 90)
	if p.HeightKm != 0 {
		c.within("pass.height_km", p.HeightKm, 150, 40000)
	}
	c.within("pass.after_s", p.AfterS, -3600, 3600)
	c.within("pass.length_s", p.LengthS, 0, 3600)
	if p.LengthS != 0 && p.LengthS < 10 {
		c.fail("pass.length_s", "%g s is too short; 10 is the least", p.LengthS)
	}
	if p.Part == "top" && p.LengthS == 0 {
		c.fail("pass.length_s", "part \"top\" needs a length")
	}
	c.span("pass.age_s", p.AgeS, -60, 60)
	c.span("pass.eclipse_at_s", p.Eclipse, 0, 3600)
	c.span("start.offset_hz", d.Start.OffsetHz, 0, 20000)
	c.one("start.side", d.Start.Side, "away", "any", "high", "low")
	c.within("start.lead_s", d.Start.LeadS, 0, 60)
	c.within("start.same_for", float64(d.Start.SameFor), 0, 12)
	if d.Start.SameFor > 0 && d.Traffic.Stations > 0 {
		c.fail("start.same_for", "is for a bird without other stations")
	}
	if d.Start.ReceiveHz != 0 {
		c.within("start.receive_hz", d.Start.ReceiveHz, minRadioHz, maxRadioHz)
		if d.Rule == "downlink" && !c.sheet {
			c.fail("start.receive_hz", "%s; leave it out", errReceiveByCard)
		}
	}
}

// errReceiveByCard is why a drill that turns the receive dial does not say where it begins.
var errReceiveByCard = errors.New("the receive dial is the one to turn here, and begins where the dial card puts it")

// maxTurns of talking and listening are far more than an hour of short overs.
const maxTurns = 2000

func (d *Drill) checkPlan(c *checker) {
	c.within("plan.talk_s", d.Plan.TalkS, 1, 3600)
	c.within("plan.listen_s", d.Plan.ListenS, 0, 3600)
	c.within("plan.last_s", d.Plan.LastS, 0, 3600)
	if n := len(d.Plan.AsKeyedS); n > maxTurns {
		c.fail("plan.as_keyed_s", "%d turns; at most %d are taken", n, maxTurns)
	}
	for i, v := range d.Plan.AsKeyedS {
		c.within(indexed("plan.as_keyed_s", i), v, 0.5, 3600)
	}
	c.within("plan.overs", float64(d.Plan.Overs), 0, 1000)
	c.within("aids.fade_to", d.Aids.FadeTo, 0, 1)
}

// passMark checks a pass mark against what its measure can reach: the hold index
// 1000, a share of the time or of the trials 1.
func (c *checker) passMark(at, measure string, pass float64) {
	greatest := 1e6
	switch {
	case c.sheet:
	case measure == "hold_index":
		greatest = 1000
	case strings.Contains(measure, "share"):
		greatest = 1
	}
	if pass > greatest && greatest < 1e6 {
		c.fail(at+".pass", "%g cannot be reached: %s goes up to %g", pass, measure, greatest)
	}
	c.within(at+".pass", pass, 0, greatest)
}

func (d *Drill) checkGoal(c *checker) {
	g := &d.Goal
	c.text("goal.text", g.Text, 300, false)
	c.one("goal.measure", g.Measure, measures...)
	c.passMark("goal", g.Measure, g.Pass)
	c.within("goal.own_rating_sd", g.OwnRatingSD, 0, 10)
	for i := range g.Also {
		at := indexed("goal.also", i)
		c.one(at+".measure", g.Also[i].Measure, measures...)
		c.passMark(at, g.Also[i].Measure, g.Also[i].Pass)
	}
	all := g.Marks()
	if len(all) > maxGoalMarks {
		c.fail("goal", "%d marks; %d are allowed", len(all), maxGoalMarks)
	}
	for i, m := range all {
		for _, before := range all[:i] {
			if m.Measure == before.Measure {
				c.fail("goal", "%s is asked for twice", m.Measure)
			}
		}
	}
	if g.Hand != "" && !KnownHand(g.Hand) {
		c.fail("goal.hand", "there is no hand %q", g.Hand)
	}
}

// maxVariants bounds the forms of one drill.
const maxVariants = 8

func (d *Drill) checkVariants(c *checker) {
	if len(d.Variants) > maxVariants {
		c.fail("variant", "%d variants; %d are allowed", len(d.Variants), maxVariants)
	}
	for i := range d.Variants {
		v, at := &d.Variants[i], indexed("variant", i)
		if *v == (DrillVariant{}) {
			c.fail(at, "says nothing that differs")
		}
		c.within(at+".transponder", float64(v.Transponder), 0, maxTransponders)
		if v.Rule != "" {
			c.one(at+".rule", v.Rule, rules...)
		}
		if v.SecondRule != "" {
			c.one(at+".second_rule", v.SecondRule, rules...)
		}
		c.brief(at+".brief", v.Brief)
		c.coach(at+".coach", v.Coach)
	}
}

func (d *Drill) checkAir(c *checker) {
	c.one("noise.environment", d.Noise.Environment, "city", "residential", "rural", "quiet rural")
	if d.Noise.SNRDB != nil {
		c.within("noise.snr_db", *d.Noise.SNRDB, -20, 60)
	}
	c.within("noise.fade_db", d.Noise.FadeDB, 0, 30)
	c.span("noise.fade_every_s", d.Noise.FadeEveryS, 0, 600)
	if d.Noise.FadeDB > 0 && d.Noise.FadeEveryS[0] < 1 {
		c.fail("noise.fade_every_s", "fades need at least 1 s between them")
	}
	t := &d.Traffic
	if len(t.Plans) > MaxOthers || len(t.Rules) > MaxOthers || len(t.Hands) > MaxOthers {
		c.fail("traffic", "the lists of plans, rules and hands have %d places each at most", MaxOthers)
	}
	c.within("traffic.stations", float64(t.Stations), 0, MaxOthers)
	c.within("traffic.cw", float64(t.CW), 0, float64(t.Stations))
	for i, p := range t.Plans {
		c.one(indexed("traffic.plans", i), p, "cq", "answer", "contact", "net", "rude", "partner", "slider", "weak")
	}
	for i, r := range t.Rules {
		c.one(indexed("traffic.rules", i), r, "uplink", "downlink", "both", "none")
	}
	for i, h := range t.Hands {
		if !KnownHand(h) {
			c.fail(indexed("traffic.hands", i), "there is no hand %q", h)
		}
	}
	for i, p := range t.Plans {
		if p == "partner" && (i > 0 || !t.Partner) {
			c.fail(indexed("traffic.plans", i), "only the first can be the partner, with partner = true")
		}
	}
	d.Situations.check(c)
	c.within("traffic.within_km", t.WithinKm, 0, 10000)
	c.within("traffic.spacing_hz", t.Spacing, 1000, 20000)
	if t.Partner && t.Stations == 0 {
		c.fail("traffic.partner", "a partner needs stations = 1 or more")
	}
	for i, f := range d.Faults {
		if _, ok := faultByName(f); !ok {
			c.fail(indexed("faults", i), "there is no fault %q", f)
		}
	}
}

func (d *Drill) checkExercise(c *checker) {
	e := &d.Exercise
	c.within("exercise.trials", float64(e.Trials), 0, 60)
	for i, s := range e.ShiftsHz {
		c.within(indexed("exercise.shifts_hz", i), s, 0, 1000)
	}
	c.within("exercise.right_hz", e.RightHz, 0, 200)
	c.within("exercise.limit_s", e.LimitS, 0, 600)
	c.within("exercise.pause_s", e.PauseS, 0, 30)
	for i, v := range e.Voices {
		c.one(indexed("exercise.voices", i), v, "tone", "vowel", "call", "cw", "whistle")
	}
	if d.Kind == "fault" && len(d.Faults) == 0 {
		c.fail("faults", "a fault exercise needs a list of faults")
	}
	if len(e.ShiftsHz) > 20 || len(e.Voices) > 20 {
		c.fail("exercise", "20 shifts and 20 voices are allowed")
	}
}
