//go:build !nodesk

package desktest

import (
	"context"
	"fmt"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
)

// PassPages are a made-up dial card and a rule.
func PassPages() port.PassPages {
	return port.PassPages{
		WorthRule: "A pass is worth getting up for if it is 25° high or more, lasts 8 minutes or more, and your voice moves by less than 130 Hz a second. " +
			"From 23:00 to 6:00, when people sleep, it must be 50° high, last 10 minutes and stay under 75 Hz a second.",
		DialCard: func(_ context.Context, _, rule string, _ int) (*port.DialCard, error) { return Card(rule), nil },
		KeepDialCard: func(context.Context, string, string, int) (string, error) {
			return "/home/q3fen/kept/dial-card.pdf", nil
		},
		BandsByHand: func(bird string, catalog int) (port.BandsByHand, bool) {
			return port.BandsByHand{Bird: bird, Catalog: catalog, Inverting: true}, false
		},
		KeepBandsByHand: func(port.BandsByHand) error { return nil },
		Reminded:        func(key string) bool { return key == "3" },
		Remind:          func(port.PassEntry, bool) error { return nil },
		Sky: &port.SkyPages{
			Look: func(context.Context) (*port.Sky, error) { return Sky(), nil },
			Add: func(_ context.Context, place string) (string, error) {
				return place + " is one of your sources now", nil
			},
			Drop:    func(string) error { return nil },
			Refresh: func(context.Context) (string, error) { return "birds.txt: nothing newer.", nil },
			Favour:  func(string, int, bool) error { return nil },
		},
	}
}

// Sky is a made-up sky.
func Sky() *port.Sky {
	return &port.Sky{
		Birds: []port.SkyBird{
			{Name: "LARK-1", Catalog: 99901, Age: "0.4 days old, up to 3 Hz off", From: "birds.txt", Also: "older in club.tle", Favourite: true, Planned: true},
			{Name: "DIPPER-2", Catalog: 99902, Age: "0.6 days old, up to 5 Hz off", From: "birds.txt", Planned: true},
			{Name: "FULMAR-3", Catalog: 99903, Age: "12.0 days old, up to 38 Hz off", Old: true, From: "club.tle", Planned: true},
			{Name: "KNOT-5", Catalog: 99910, Age: "0.4 days old, up to 0.1 s early or late", From: "birds.txt"},
		},
		Sources: []port.SkySource{
			{Place: "https://elements.example/birds.txt", Short: "birds.txt", Says: "3 birds, the youngest 0.4 days old, asked 25 Nov 18:02"},
			{Place: "/home/q3fen/club.tle", Short: "club.tle", Says: "2 birds, the youngest 12.0 days old"},
			{Place: "https://old.example/", Short: "old.example", Fault: "nothing has come from there yet"},
		},
	}
}

// Card is a made-up dial card.
func Card(rule string) *port.DialCard {
	c := &port.DialCard{Bird: "DIPPER-2", Rule: rule, Date: "Wednesday 25 November 2026, UTC", Log: []string{"time", "call", "report", "locator", "receive dial"},
		Facts: [][2]string{{"turn", "Turn the uplink. Receive stays on 145.900 00"}, {"to move", "receive 1 kHz up is uplink 1 kHz down"}, {"sidebands", "LSB up, USB down (inverting)"},
			{"passband", "up 435.130 to 435.170, down 145.880 to 145.920 MHz"}, {"at TCA", "uplink + downlink = 581.050 90"}, {"correction", "+120 Hz on the uplink, rounded to 10 Hz"},
			{"elements", "0.4 days old, up to 3 Hz off at TCA, tonight.tle"}, {"beacon", "heard 145.877 26 at AOS, 145.871 43 at LOS"}}}
	for i := range 26 {
		at := Now.Add(20*time.Minute + time.Duration(i)*30*time.Second)
		r := port.DialRow{Clock: at.Format("15:04:05"), Uplink: fmt.Sprintf("435.%03d %02d", 145+i/3, 13+i*3), Downlink: "145.900 00", Look: fmt.Sprintf("%d°, %d° up", 300-i*7, min(i, 26-i)*4), Rate: fmt.Sprintf("%d Hz/s", 5+min(i, 26-i)*2)}
		switch i {
		case 0:
			r.Mark = "AOS"
		case 13:
			r.Mark = "TCA"
		case 25:
			r.Mark = "LOS"
		}
		r.Spoken = r.Mark + " " + r.Clock + ": uplink " + r.Uplink + ", receive " + r.Downlink + "."
		c.Rows = append(c.Rows, r)
	}
	return c
}
