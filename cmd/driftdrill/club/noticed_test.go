package club

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"driftdrill/sim"
)

// Runs are one run only where everything that was done in them is the same, to
// the hertz and the tick.
func TestPrintsTellRunsApart(t *testing.T) {
	sheet := func(seed uint64, end sim.Tick) *sim.Sheet { return &sim.Sheet{Setup: sim.Setup{Seed: seed}, End: end} }
	acts := func(tick sim.Tick, kind sim.CommandKind, value int64) []act {
		return []act{{100, sim.CommandKey, 1}, {tick, kind, value}}
	}
	first := printOf(sheet(7, 9000), acts(400, sim.CommandKnob, 1))
	if again := printOf(sheet(7, 9000), acts(400, sim.CommandKnob, 1)); again != first {
		t.Error("the same run has two prints")
	}
	for what, print := range map[string][32]byte{
		"turned the other way":  printOf(sheet(7, 9000), acts(400, sim.CommandKnob, -1)),
		"a tick later":          printOf(sheet(7, 9000), acts(401, sim.CommandKnob, 1)),
		"the receive dial":      printOf(sheet(7, 9000), acts(400, sim.CommandReceive, 1)),
		"ended a second later":  printOf(sheet(7, 9200), acts(400, sim.CommandKnob, 1)),
		"another pass's run":    printOf(sheet(8, 9000), acts(400, sim.CommandKnob, 1)),
		"without the last turn": printOf(sheet(7, 9000), acts(400, sim.CommandKnob, 1)[:1]),
	} {
		if print == first {
			t.Errorf("%s: the same print", what)
		}
	}
}

// The words under the hill stand below its top: where its line is highest.
func TestTheTopIsNamedBelowTheTop(t *testing.T) {
	for _, seed := range []uint64{1, 2, 3} {
		prepare, _ := flyText(t, testDrill)
		setup, err := prepare(seed)
		if err != nil {
			t.Fatal(err)
		}
		h, err := hillOf(&setup)
		if err != nil {
			t.Fatal(err)
		}
		topX, topY := 0.0, math.Inf(1)
		for _, p := range strings.Fields(h.Points) {
			var x, y float64
			if _, err := fmt.Sscanf(p, "%g,%g", &x, &y); err != nil {
				t.Fatal(p, err)
			}
			if y < topY {
				topX, topY = x, y
			}
		}
		if math.Abs(topX-h.TopX) > hillWide/hillSteps || math.Abs(topY-hillRoom) > 1 {
			t.Errorf("the line is highest at %.0f, %.0f; the top is named at %.0f", topX, topY, h.TopX)
		}
	}
}

// A page of homework has five members at most (our choice: each has two lines),
// and none is left out.
func TestHomeworkFitsOnTheWall(t *testing.T) {
	n := newNight(t, nightText)
	n.open(1)
	setup := n.setup(1, "no aids")
	const members = 7
	for i := range members {
		if a := n.send(fmt.Sprintf("Q9M%d", i), sheetOf(t, setup, "regular", uint64(10+i))); a.status != 201 {
			t.Fatal(a.status, a.body)
		}
	}
	n.close(1)
	v, err := n.wallOf(t.Context(), false)
	if err != nil {
		t.Fatal(err)
	}
	told := 0
	for _, p := range v.Pages {
		if p.Kind == "homework" {
			told += len(p.Homework)
			if len(p.Homework) > 5 {
				t.Errorf("%d members on a page", len(p.Homework))
			}
		}
	}
	if told != members {
		t.Errorf("%d of %d members have homework", told, members)
	}
}

// The trainer's page says when a heat was closed and how many sheets it has.
func TestTheTrainerSeesHisHeats(t *testing.T) {
	n := newNight(t, nightText)
	n.open(1)
	for i, seed := range []uint64{3, 4} {
		if a := n.send(fmt.Sprintf("Q9M%d", i), sheetOf(t, n.setup(1, "no aids"), "regular", seed)); a.status != 201 {
			t.Fatal(a.status, a.body)
		}
	}
	n.close(1)
	closed := n.clock.now().Format("15:04:05")
	n.clock.pass(time.Hour)
	page := n.do("GET", "/trainer", nil, "Cookie", n.asTrainer()).body
	if !strings.Contains(page, "closed at "+closed+" · 2 sheets") || strings.Count(page, "not flown yet") != 1 {
		t.Errorf("closed at %s with two sheets; the page says\n%s", closed, page)
	}
}
