package sim

import (
	"fmt"
	"testing"
)

// BenchmarkRun flies 15 minutes without sound; ns/op is the whole run.
func BenchmarkRun(b *testing.B) {
	for _, others := range []int{0, 8, 12} {
		b.Run(fmt.Sprintf("others=%d", others), func(b *testing.B) {
			s := benchSetup(b, others)
			b.ReportAllocs()
			for b.Loop() {
				r, err := NewRun(s)
				if err != nil {
					b.Fatal(err)
				}
				var st State
				for !r.Done() {
					r.Step(&st)
				}
			}
		})
	}
}

// BenchmarkReplay replays 15 minutes and shows the state every 50 ms, as the
// marks read it.
func BenchmarkReplay(b *testing.B) {
	for _, others := range []int{0, 8} {
		b.Run(fmt.Sprintf("others=%d", others), func(b *testing.B) {
			sh := flownSheet(b, benchSetup(b, others), "regular")
			b.ReportAllocs()
			for b.Loop() {
				if diff, err := ReplayFrom(sh, 5, 10, func(*State) {}); err != nil || diff.What != "" {
					b.Fatal(diff, err)
				}
			}
		})
	}
}

// BenchmarkNewRun prepares a run: mostly SGP4.
func BenchmarkNewRun(b *testing.B) {
	s := benchSetup(b, 8)
	for b.Loop() {
		if _, err := NewRun(s); err != nil {
			b.Fatal(err)
		}
	}
}

// benchSetup is a 15-minute run with so many others, all of them busy.
func benchSetup(tb testing.TB, others int) Setup {
	d := demoDrill(tb, "come-back")
	d.Pass.Part, d.Pass.LengthS = "whole", 0
	d.Pass.TopDeg = [2]float64{75, 90}
	d.Plan.Overs = 0
	d.Traffic.Stations = others
	d.Traffic.Plans = []string{"contact", "contact", "cq", "net", "net", "net", "answer", "rude"}
	d.Traffic.Rules = []string{"uplink", "uplink", "both", "downlink"}
	s, err := Prepare(d, demoBird(tb, d.Bird), demoElements(tb, d.Bird), quernHill, demoFrom, 1)
	if err != nil {
		tb.Fatal(err)
	}
	s.Length = 15 * 60 * TicksPerSecond
	return s
}

// A tick allocates nothing.
func TestStepAllocatesNothing(t *testing.T) {
	s := benchSetup(t, 8)
	r, err := NewRun(s)
	if err != nil {
		t.Fatal(err)
	}
	var st State
	n := testing.AllocsPerRun(2000, func() {
		r.Post(CommandKnob, 1)
		r.Step(&st)
		r.Snapshot(&st)
	})
	if n != 0 {
		t.Errorf("%v allocations per tick", n)
	}
}
