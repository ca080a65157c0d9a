package main

import (
	"bytes"
	"math"
	"testing"

	"driftdrill/testdata/race"
)

// The targets, on makes that nothing was tuned on: what README.md claims.
func TestTargetsOnMakesSetAside(t *testing.T) {
	if race.On || testing.Short() {
		t.Skip("counts outcomes: half a minute of two cores, and minutes under the race detector")
	}
	g, err := flyGroup("makes set aside", heldMakes(), 4, 2)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	g.print(&out)
	t.Log(out.String())
	for _, m := range g.missed() {
		t.Error(m)
	}
}

// The first line of advice, on makes that nothing was tuned on.
func TestAdviceOnMakesSetAside(t *testing.T) {
	if race.On {
		t.Skip("counts outcomes, and takes minutes under the race detector")
	}
	said, err := adviceOn(heldMakes(), 1)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	printAdvice(&out, "makes set aside", said)
	t.Log(out.String())
	for _, m := range adviceMissed("makes set aside", said) {
		t.Error(m)
	}
}

// The ends of the scale on the study's passes, as README.md has them.
func TestEndsOfTheScale(t *testing.T) {
	nothing, perfect, err := ends(2)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("doing nothing earns %.1f at most, perfect play %.1f at least", nothing, perfect)
	if nothing > mostNothing || perfect < leastPerfect {
		t.Errorf("doing nothing earns %.1f, perfect play %.1f; want %.0f at most and %.0f at least", nothing, perfect, mostNothing, leastPerfect)
	}
}

// TestSplit: a table whose shares are known. Value = 10 x operator + 2 x pass
// with operators 0, 1, 2, passes 0, 1 and runs at -1 and +1: variances
// 100 x 2/3, 4 x 1/4 and 1, nothing left over.
func TestSplit(t *testing.T) {
	var v [][][]float64
	for o := range 3 {
		var row [][]float64
		for p := range 2 {
			c := float64(10*o + 2*p)
			row = append(row, []float64{c - 1, c + 1})
		}
		v = append(v, row)
	}
	s := split(v)
	total := 200./3 + 1 + 1
	for _, c := range []struct {
		what      string
		got, want float64
	}{{"skill", s.skill, 200. / 3 / total}, {"pass", s.pass, 1 / total}, {"mixture", s.mixture, 0}, {"noise", s.noise, 1 / total}} {
		if math.Abs(c.got-c.want) > 1e-12 {
			t.Errorf("%s = %v, want %v", c.what, c.got, c.want)
		}
	}
}

// A late hand is not told that its pitch is wrong. The makes set aside for the
// ratings were looked at while this was mended; the other four were not.
func TestLateIsNotAPitch(t *testing.T) {
	if race.On {
		t.Skip("counts outcomes, and takes long under the race detector")
	}
	for name, makes := range map[string][]kind{"makes set aside": heldMakes(), "makes that were tuned on": tunedMakes()} {
		lessons, err := lessonsOf(unbiased(makes), 4)
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		printLessons(&out, name, lessons)
		t.Log(out.String())
		for _, m := range lessonsMissed(name, lessons) {
			t.Error(m)
		}
	}
}
