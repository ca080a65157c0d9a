package sim

import "testing"

// BenchmarkRun flies 15 minutes without sound; ns/op is the whole run.
func BenchmarkRun(b *testing.B) {
	s := benchSetup(b)
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
}

// benchSetup is a 15-minute run.
func benchSetup(tb testing.TB) Setup {
	d := demoDrill(tb, "come-back")
	d.Pass.Part, d.Pass.LengthS = "whole", 0
	d.Pass.TopDeg = [2]float64{75, 90}
	d.Plan.Overs = 0
	s, err := Prepare(d, demoBird(tb, d.Bird), demoElements(tb, d.Bird), quernHill, demoFrom, 1)
	if err != nil {
		tb.Fatal(err)
	}
	s.Length = 15 * 60 * TicksPerSecond
	return s
}

// A tick allocates nothing.
func TestStepAllocatesNothing(t *testing.T) {
	s := benchSetup(t)
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
