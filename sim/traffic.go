package sim

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"driftdrill/orbit"
)

// Other is another station on the bird.
type Other struct {
	Call    string     `json:"call"`
	Voice   string     `json:"voice"` // bundled voice
	Site    orbit.Site `json:"site"`
	Plan    string     `json:"plan"` // "cq" calls, "answer" waits for a call, "contact" and "net" talk among themselves, "rude" tunes up, "partner" talks with the operator by the drill's plan
	Rule    string     `json:"rule"` // "uplink", "downlink", "both", "none"
	Hand    string     `json:"hand"` // how well he holds himself
	PowerW  float64    `json:"power_w"`
	GainDBi float64    `json:"gain_dbi"`
	SlotHz  float64    `json:"slot_hz"`        // his place: his carrier as the bird sends it when the bird is nearest to him, Hz
	With    int        `json:"with"`           // index of the station he talks to; -1 = nobody or the operator
	Group   int        `json:"group"`          // stations of one group take turns; -1 = none
	From    Tick       `json:"from,omitempty"` // he says nothing before
	WPM     float64    `json:"wpm,omitempty"`  // he sends Morse at so many words per minute; 0 = he speaks
}

func (o *Other) check(c *checker, at string, n int) {
	c.text(at+".call", o.Call, 12, true)
	c.text(at+".voice", o.Voice, 20, false)
	c.one(at+".plan", o.Plan, "cq", "answer", "contact", "net", "rude", "partner")
	c.one(at+".rule", o.Rule, "uplink", "downlink", "both", "none")
	if _, ok := skillByName(o.Hand); !ok {
		c.fail(at+".hand", "there is no human-like hand %q", o.Hand)
	}
	c.within(at+".power_w", o.PowerW, 0.001, 1500)
	c.within(at+".gain_dbi", o.GainDBi, -20, 30)
	c.within(at+".slot_hz", o.SlotHz, minRadioHz, maxRadioHz)
	c.valid(at+".site", o.Site.Validate())
	c.within(at+".with", float64(o.With), -1, float64(n-1))
	c.within(at+".group", float64(o.Group), -1, MaxOthers)
	c.within(at+".from", float64(o.From), 0, maxLength)
	if o.WPM != 0 {
		c.within(at+".wpm", o.WPM, 5, 40)
	}
}

// Voices of the bundled clips.
var voiceNames = [...]string{"alder", "birch", "hazel", "rowan"}

// Calls of the other stations: a Q prefix is given to nobody (RR Article 19).
var otherCalls = [...]string{"Q3FEN", "Q7OWL", "Q2ASH", "Q9ELM", "Q4RYE", "Q6BAY", "Q1OAK", "Q8IVY", "Q3YEW", "Q5MAY", "Q7FIR", "Q2HAW",
	"Q9BOX", "Q4SAX", "Q6TOR", "Q1MOR", "Q8LEA", "Q3DEL"}

func pick(list []string, i int, def string) string {
	if len(list) == 0 {
		return def
	}
	return list[i%len(list)]
}

// drawTraffic draws the other stations.
func (s *Setup) drawTraffic(mine *Track) error {
	s.Partner = -1
	t, n := &s.Drill.Traffic, s.Drill.Traffic.Stations
	if n == 0 {
		return nil
	}
	g := stream(s.Seed, streamTraffic)
	p, err := orbit.NewPropagator(s.Elements)
	if err != nil {
		return err
	}
	middle := s.Start.Add(TickLength * time.Duration(s.Length/2))
	order := g.Perm(len(otherCalls))
	for i := range n {
		plan := pick(t.Plans, i, "cq")
		if plan == "partner" {
			plan = "cq" // the list has come round again
		}
		if t.Partner && i == 0 {
			plan = "partner"
		}
		at := middle
		if plan == "weak" {
			at = s.Start.Add(TickLength * time.Duration(s.Length)) // he still hears the bird when the run ends
		}
		site, err := s.drawSite(g, p, at, i)
		if err != nil {
			return err
		}
		s.Others = append(s.Others, Other{
			Call: otherCalls[order[i]], Voice: voiceNames[i%len(voiceNames)], Site: site, Plan: plan,
			Rule: pick(t.Rules, i, s.transponder().HandRule()), Hand: pick(t.Hands, i, "good"),
			PowerW: math.Round(3 + 9*g.Float64()), GainDBi: math.Round(6 + 4*g.Float64()), With: -1, Group: -1,
		})
	}
	if t.Partner {
		s.Partner = 0
	}
	for i := range s.Others[:min(t.CW, n)] {
		s.Others[i].WPM = math.Round(cwLowWPM + float64((cwHighWPM-cwLowWPM)*g.Float64()))
	}
	s.pairUp()
	k := s.startK(warmthOf(mine))
	s.giveSlots(g, k)
	return s.stage(g, p, mine, k)
}

// drawSite draws a place that sees the bird well in the middle of the run.
func (s *Setup) drawSite(g *rand.Rand, p orbit.Propagator, middle time.Time, i int) (orbit.Site, error) {
	const tries = 200
	within := s.Drill.Traffic.WithinKm
	if within == 0 {
		within = 2500
	}
	least := 10.0
	for k := range tries {
		if k == tries/2 {
			least = 1
		}
		far := within * math.Sqrt(g.Float64())
		toward := 2 * math.Pi * g.Float64()
		site := displaced(s.Site, far, toward)
		site.Name = fmt.Sprintf("station %d", i+1)
		look, err := orbit.NewObserver(p, site, 0).Look(middle)
		if err != nil {
			return site, fmt.Errorf("the bird's path: %w", err)
		}
		if look.ElevationDeg >= least {
			return site, nil
		}
	}
	site := displaced(s.Site, 20+float64(i), float64(i))
	site.Name = fmt.Sprintf("station %d", i+1)
	return site, nil
}

// displaced returns a place so far from another on a sphere of 6371 km.
func displaced(site orbit.Site, km, toward float64) orbit.Site {
	const earthKm = 6371
	lat, angle := site.LatDeg*math.Pi/180, km/earthKm
	sinLat := math.Sin(lat)*math.Cos(angle) + math.Cos(lat)*math.Sin(angle)*math.Cos(toward)
	newLat := math.Asin(math.Max(-1, math.Min(1, sinLat)))
	dLon := math.Atan2(math.Sin(toward)*math.Sin(angle)*math.Cos(lat), math.Cos(angle)-math.Sin(lat)*sinLat)
	lon := site.LonDeg + dLon*180/math.Pi
	for lon > 180 {
		lon -= 360
	}
	for lon < -180 {
		lon += 360
	}
	return orbit.Site{LatDeg: quantise(newLat*180/math.Pi, 1e-4), LonDeg: quantise(lon, 1e-4), AltM: 100}
}

// pairUp puts stations that talk among themselves into groups: two for
// "contact", three for "net". One that is left over calls instead.
func (s *Setup) pairUp() {
	group := 0
	for _, kind := range []struct {
		plan string
		size int
	}{{"contact", 2}, {"net", 3}, {"slider", 2}} {
		for _, cw := range []bool{false, true} {
			group = s.pair(kind.plan, kind.size, cw, group)
		}
	}
}

// pair puts those of one plan who speak, or who send Morse, into groups from number
// group on, and returns the next free number.
func (s *Setup) pair(plan string, size int, cw bool, group int) int {
	var members []int
	for i := range s.Others {
		if s.Others[i].Plan == plan && s.Others[i].cw() == cw {
			members = append(members, i)
		}
	}
	for len(members) >= 2 {
		n := min(size, len(members))
		for k, i := range members[:n] {
			s.Others[i].Group, s.Others[i].With = group, members[(k+1)%n]
		}
		members = members[n:]
		group++
	}
	for _, i := range members {
		if s.Others[i].Plan != "slider" {
			s.Others[i].Plan = "cq"
		}
	}
	return group
}

// giveSlots spreads the stations over the passband, groups together, the
// partner on the operator's own dial.
func (s *Setup) giveSlots(g *rand.Rand, k float64) {
	spacing := s.Drill.Traffic.Spacing
	taken := []float64{s.startBirdHz(0, k)}
	if s.Drill.Traffic.Crowd {
		taken = nil
	}
	ofGroup := map[int]float64{}
	for i := range s.Others {
		o := &s.Others[i]
		if o.Plan == "partner" {
			o.SlotHz = s.startBirdHz(0, k)
			continue
		}
		if slot, ok := ofGroup[o.Group]; ok && o.Group >= 0 {
			o.SlotHz = slot
			continue
		}
		low, high := s.slotBand(o)
		o.SlotHz = freeSlot(g, low, high, spacing, taken)
		taken = append(taken, o.SlotHz)
		if o.Group >= 0 {
			ofGroup[o.Group] = o.SlotHz
		}
	}
}

// startK is the transponder's constant with its errors as the run begins, for
// its warmth.
func (s *Setup) startK(warmth float64) float64 {
	tr := s.transponder()
	return tr.Constant() + tr.OscillatorHz + s.UnknownHz + float64((1-warmth)*tr.EclipseHz)
}

// warmthOf is a bird's warmth at the start of a track: 1 in the sun, 0 in the shadow.
func warmthOf(t *Track) float64 {
	if t.Sunlit(0) {
		return 1
	}
	return 0
}

// startBirdHz is where the operator's channel is at the bird as the run
// begins, for range rate / c = beta: where his receive dial points, or where his
// uplink comes out, by the transponder's constant k, if it is the receive dial that he turns. Hz.
func (s *Setup) startBirdHz(beta, k float64) float64 {
	if s.Drill.Rule == "downlink" {
		return s.transponder().Through(float64(s.StartUplinkHz), beta, k)
	}
	return float64(s.StartReceiveHz) / (1 - beta)
}

// edgeHz is how far inside the passband channels lie.
const edgeHz = 3000.0

// freeSlot draws a place at least spacing from those taken; where there is
// none left, the one farthest from them.
func freeSlot(g *rand.Rand, low, high, spacing float64, taken []float64) float64 {
	best, bestGap := low, -1.0
	for range 60 {
		slot := quantise(low+(high-low)*g.Float64(), 100)
		gap := math.Inf(1)
		for _, t := range taken {
			gap = math.Min(gap, math.Abs(slot-t))
		}
		if gap >= spacing {
			return slot
		}
		if gap > bestGap {
			best, bestGap = slot, gap
		}
	}
	return best
}
