package sim

import (
	"math"
	"strings"
	"testing"
)

// How long the texts of a drill may be, by what a message tells its reader: at
// their length they are taken, one byte more is refused by name.
func TestLengthsOfADrillsTexts(t *testing.T) {
	for name, c := range map[string]struct {
		most int
		put  func(d *Drill, s string)
	}{
		"title": {60, func(d *Drill, s string) { d.Title = s }}, "bird": {40, func(d *Drill, s string) { d.Bird = s }}, "elements": {200, func(d *Drill, s string) { d.Elements = s }},
	} {
		for _, long := range []bool{false, true} {
			n := c.most
			if long {
				n++
			}
			d := demoDrill(t, "busy-passband")
			c.put(&d, strings.Repeat("x", n))
			check := &checker{file: "f"}
			d.check(check)
			if err := check.result(); (err != nil) != long || long && !strings.Contains(err.Error(), name+": has") {
				t.Errorf("%s of %d bytes: said %v", name, n, err)
			}
		}
	}
}

// What another station on a sheet may be called and do.
func TestWhatAnotherStationMayBe(t *testing.T) {
	good := prepared(t, "busy-passband", 1).Others[0]
	said := func(o Other) string {
		c := &checker{file: "f"}
		o.check(c, "others 1", 1)
		if err := c.result(); err != nil {
			return err.Error()
		}
		return ""
	}
	if what := said(good); what != "" {
		t.Fatal(what)
	}
	for want, spoil := range map[string]func(*Other){
		"others 1.call": func(o *Other) { o.Call = strings.Repeat("Q", 13) }, "others 1.voice": func(o *Other) { o.Voice = strings.Repeat("v", 21) },
		"others 1.plan": func(o *Other) { o.Plan = "sleep" }, "others 1.rule": func(o *Other) { o.Rule = "sideways" },
	} {
		o := good
		if spoil(&o); !strings.Contains(said(o), want) {
			t.Errorf("said %q, want %q", said(o), want)
		}
	}
}

// With a computer at the dials the carrier stands still at the satellite on both
// legs: uplink times 1 - v/c and receive dial over 1 - v/c stay, to a hertz of rounding.
func TestComputerHoldsBothLegsAtTheSatellite(t *testing.T) {
	r := changedRun(t, "come-back", 1, func(s *Setup) { s.Drill.Rule = "computer" })
	at := func(tick Tick) (up, down, hz float64) {
		s := stepTo(r, tick)
		b := s.Look.RangeRateKmS * 1000 / 299792458
		return float64(s.UplinkHz) * (1 - b), float64(s.ReceiveHz) / (1 - b), float64(s.ReceiveHz)
	}
	up0, down0, hz0 := at(2 * TicksPerSecond)
	up1, down1, hz1 := at(60 * TicksPerSecond)
	if math.Abs(up1-up0) > 2 || math.Abs(down1-down0) > 2 || math.Abs(hz1-hz0) < 50 {
		t.Errorf("uplink moved by %.1f Hz and receive dial by %.1f at the satellite, by %.0f Hz on the ground", up1-up0, down1-down0, hz1-hz0)
	}
}
