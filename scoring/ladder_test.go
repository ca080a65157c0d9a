package scoring

import (
	"fmt"
	"math"
	"testing"

	"driftdrill/sim"
	"driftdrill/testdata/race"
)

// whole makes a setup of a whole pass with the talk plan of 12 s and 18 s.
func whole(t testing.TB, drill string, seed uint64) sim.Setup {
	return prepare(t, drill, seed, func(d *sim.Drill) {
		d.Pass = sim.DrillPass{TopDeg: [2]float64{25, 90}, Part: "whole"}
		d.Start = sim.DrillStart{OffsetHz: [2]float64{400, 1500}, Side: "any", LeadS: 20}
		d.Plan = sim.DrillPlan{TalkS: 12, ListenS: 18}
	})
}

// TestFlightIsTheRun: a hand flown on a bare course earns what it earns in a
// whole run with sheet and replay. Hearing 5 ms later changes single notches,
// so human-like hands are compared by their means.
func TestFlightIsTheRun(t *testing.T) {
	if race.On {
		t.Skip("counts outcomes, and takes minutes under the race detector")
	}
	for _, drill := range []string{"come-back", "first-hold"} {
		setup := whole(t, drill, 11)
		setup.Length = min(setup.Length, 600*sim.TicksPerSecond)
		course, err := NewCourse(&setup)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct {
			hand      string
			seeds     uint64
			tolerance float64
		}{{"perfect", 1, 1}, {"level:1", 6, 15}, {"level:0.2", 6, 20}} {
			var lean, full float64
			for seed := range c.seeds {
				h, err := sim.NewHand(c.hand, seed, &setup)
				if err != nil {
					t.Fatal(err)
				}
				lean += Measure(Fly(course, h, nil)).HoldIndex / float64(c.seeds)
				m, tr, err := Mark(readSheet(t, flySheet(t, setup, c.hand, seed, 0)))
				if err != nil || tr.Difference.What != "" {
					t.Fatal(err, tr.Difference)
				}
				full += m.HoldIndex / float64(c.seeds)
			}
			t.Logf("%s by %s: %.1f lean, %.1f full", drill, c.hand, lean, full)
			near(t, "hold index", lean, full, c.tolerance)
		}
	}
}

func TestLadderRisesAndRatesItsOwn(t *testing.T) {
	if race.On {
		t.Skip("nothing in it runs side by side; flown without the race detector")
	}
	setup := whole(t, "come-back", 5)
	var ladders Ladders
	l, err := ladders.Of(&setup, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, g := range l.Rungs {
		t.Logf("level %.3f: index %.0f sd %.0f, settled %.3f, kept %.3f, rms %.0f Hz, found %.0f s", g.Level, g.Index.Mid, g.Index.SD, g.Settled.Mid, g.Kept.Mid,
			math.Exp(g.LogRMS.Mid), math.Exp(g.LogFound.Mid)-1)
		if i >= 2 && g.Index.Mid < l.Rungs[i-2].Index.Mid {
			t.Errorf("level %.3f earns less than level %.3f", g.Level, l.Rungs[i-2].Level)
		}
		if i >= 4 && (g.Settled.N != l.Seeds || g.Kept.N != l.Seeds || g.LogRMS.N != l.Seeds || g.LogFound.N != l.Seeds || g.Found != 1) {
			t.Errorf("level %.3f: not every flight counts for every skill: %+v", g.Level, g)
		}
	}
	course, err := NewCourse(&setup)
	if err != nil {
		t.Fatal(err)
	}
	for _, level := range []float64{0.2, 0.5, 0.8} {
		var sum float64
		const runs = 20
		for seed := range uint64(runs) {
			h, err := sim.NewHand(fmt.Sprintf("level:%g", level), 9000+seed, &setup)
			if err != nil {
				t.Fatal(err)
			}
			tr := Fly(course, h, nil)
			l, err := ladders.Of(&setup, tr)
			if err != nil {
				t.Fatal(err)
			}
			sum += l.Rate(Measure(tr), tr).Hand
		}
		near(t, fmt.Sprintf("mean rating of level %g", level), sum/runs, 100*level, 8)
	}
}

// On every drill that leaves something to a hand, a hand of the ladder's own
// make, flown in a whole run, is rated near its own level, whatever there is to
// do besides turning: calling others, two dials, the antenna.
func TestLadderRatesOnEveryDrill(t *testing.T) {
	if race.On || testing.Short() {
		t.Skip("flies some ten thousand hands")
	}
	allInside, allAxes := 0, 0
	defer func() {
		t.Logf("%d of %d in all", allInside, allAxes)
		if share := float64(allInside) / float64(allAxes); share < 0.85 || share > 0.97 {
			t.Errorf("%.1f %% of the ratings hold the level within what should be 90 %%", 100*share)
		}
	}()
	for _, d := range courseDrills(t) {
		if d.Kind != "fly" || d.ForContacts() || d.Ready != nil {
			continue // an exercise, or one of contacts, or one of setting up: none of them is rated
		}
		setup := drillTry(t, &d, 3)
		t.Run(d.Name, func(t *testing.T) {
			var ladders Ladders
			inside, axes := 0, 0
			for _, level := range []float64{0.2, 0.4, 0.6} {
				var ratings []float64
				sure := 0
				for seed := range uint64(5) {
					h, err := sim.NewHand(fmt.Sprintf("level:%g", level), 9000+seed, &setup)
					if err != nil {
						t.Fatal(err)
					}
					m, tr, err := MarkHand(setup, h)
					if err != nil {
						t.Fatal(err)
					}
					l, err := ladders.Of(&setup, tr)
					if err != nil {
						t.Fatal(err)
					}
					r := l.Rate(m, tr)
					if r.Rated() {
						ratings = append(ratings, r.Hand)
						sure += count(!r.Saturated)
					}
					axesOf := r.Axes()
					for _, a := range axesOf[:AxisDiscipline] {
						if a != nil && a.SD > 0 {
							axes++
							inside += count(100*level >= a.Low && 100*level <= a.High)
						}
					}
				}
				if len(ratings) == 0 {
					continue // the drill holds for less than a rating needs
				}
				t.Logf("level %g: median %.0f of %.0f", level, statOf(ratings).Mid, ratings)
				if sure*2 > len(ratings) { // else hands of many levels earn about the same here, and the interval is what counts
					near(t, fmt.Sprintf("median rating of level %g", level), statOf(ratings).Mid, 100*level, 15)
				}
			}
			// The deviations are meant to be true: nine in ten, or somewhat more, are asked of all
			// drills together, and of one, whose axes go up and down together, three in four.
			t.Logf("%d of %d ratings on all axes hold the level within 1.645 standard deviations", inside, axes)
			if inside*4 < axes*3 {
				t.Errorf("only %d of %d", inside, axes)
			}
			allInside, allAxes = allInside+inside, allAxes+axes
		})
	}
}

func TestLadderDoesNotDependOnTheOrder(t *testing.T) {
	setup := prepare(t, "come-back", 5, nil)
	var c Ladders
	a, err := c.Of(&setup, nil)
	if err != nil {
		t.Fatal(err)
	}
	b, err := FlyLadder(&setup, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range a.Rungs {
		if a.Rungs[i] != b.Rungs[i] {
			t.Errorf("rung %d: %+v and %+v", i, a.Rungs[i], b.Rungs[i])
		}
	}
	setup.Operator = "Dipper"
	if again, _ := c.Of(&setup, nil); again != a {
		t.Error("another operator on the same setup flew the ladder again")
	}
}

func TestPool(t *testing.T) {
	y := []float64{1, 3, 2, 2, 5, 4}
	pool(y)
	for i, want := range []float64{1, 7. / 3, 7. / 3, 7. / 3, 4.5, 4.5} {
		near(t, fmt.Sprint("pooled ", i), y[i], want, 1e-12)
	}
}

func BenchmarkLadder15Minutes(b *testing.B) {
	setup := whole(b, "come-back", 5)
	b.ReportMetric(setup.Length.Seconds()/60, "pass-minutes")
	for b.Loop() {
		if _, err := FlyLadder(&setup, nil); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkLadderInWholeRuns is the ladder where hands fly whole runs.
func BenchmarkLadderInWholeRuns(b *testing.B) {
	setup := prepare(b, "both-hands", 3, nil)
	b.ReportMetric(setup.Length.Seconds()/60, "pass-minutes")
	for b.Loop() {
		if _, err := FlyLadder(&setup, nil); err != nil {
			b.Fatal(err)
		}
	}
}

// A drill of contacts has no reference hands, and moves the axis of the room
// that one leaves to others: every drill of the course moves one at least.
func TestDrillsOfContactsMoveAnAxis(t *testing.T) {
	seen := 0
	for _, d := range courseDrills(t) {
		if !d.ForContacts() {
			continue
		}
		seen++
		setup := drillTry(t, &d, 3)
		h, err := sim.NewHand("regular", 5, &setup)
		if err != nil {
			t.Fatal(err)
		}
		m, tr, err := MarkHand(setup, h)
		if err != nil {
			t.Fatal(err)
		}
		r := RateAlone(&setup, m, tr)
		if r == nil || r.Discipline == nil || r.Rated() || r.Hold != nil {
			t.Errorf("%s: rated as %+v", d.Name, r)
			continue
		}
		worse := m
		worse.OnOthersS += 30
		if w := RateAlone(&setup, worse, tr); w.Discipline.Hand > r.Discipline.Hand-20 {
			t.Errorf("%s: half a minute on others moves it from %.0f to %.0f", d.Name, r.Discipline.Hand, w.Discipline.Hand)
		}
		tr.Chained, tr.Cut = true, false
		setup.Hand = ""
		if counts, why := Counts(&setup, m, tr, Beside{}); !counts {
			t.Errorf("%s does not count: %s", d.Name, why)
		}
	}
	if seen < 4 {
		t.Errorf("%d drills of contacts", seen)
	}
}
