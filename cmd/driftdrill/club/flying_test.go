package club

import (
	"net/url"
	"strings"
	"testing"
	"time"
)

// The wall says of each member what can be known: a program that asks for the
// run flies, somebody without the network flies when it is said of him, and
// whose sheet is late is not said to fly.
func TestTheWallKnowsWhoFlies(t *testing.T) {
	n := newNight(t, nightText)
	member, trainer := n.asMember("Q1ABC", "no aids"), n.asTrainer()
	say := func(do, call string, headers ...string) int {
		form := url.Values{"do": {do}, "call": {call}}
		return n.do("POST", "/flying", strings.NewReader(form.Encode()), append(headers, "Content-Type", "application/x-www-form-urlencoded")...).status
	}
	state := func(call string) string {
		n.evening.mu.Lock()
		defer n.evening.mu.Unlock()
		for _, f := range n.evening.wallFlyers(n.evening.current()) {
			if f.Call == call {
				return f.State + ": " + f.StateText
			}
		}
		return ""
	}
	is := func(call, want string) {
		t.Helper()
		if got := state(call); got != want {
			t.Errorf("%s %q, wanted %q", call, got, want)
		}
	}
	if a := n.do("GET", "/night?call=Q3PQR", nil, codeHeader, testCode); a.status != 200 { // a program, before the heat
		t.Error(a.status, a.body)
	}
	is("Q3PQR", "here: has joined")
	if got := say("here", "Q5JKL", "Cookie", trainer); got != 303 {
		t.Error("the trainer says that somebody is here:", got)
	}
	is("Q5JKL", "here: has joined")
	if got := say("begin", "Q5JKL", "Cookie", trainer); got != 422 {
		t.Error("nobody flies while no heat is open:", got)
	}
	n.open(1)
	for _, c := range []struct {
		do, call string
		headers  []string
		want     int
	}{
		{"begin", "Q1ABC", nil, 401}, {"begin", "Q5JKL", []string{"Cookie", member}, 401}, {"begin", "Q1ABC", []string{codeHeader, "heron 43"}, 401},
		{"begin", "<b>", []string{"Cookie", trainer}, 422}, {"loop", "Q1ABC", []string{"Cookie", member}, 422}, {"end", "Q9MNO", []string{"Cookie", trainer}, 422},
		{"begin", "Q1ABC", []string{"Cookie", member}, 303}, {"begin", "Q5JKL", []string{"Cookie", trainer}, 303}, {"begin", "Q7DEF", []string{codeHeader, testCode}, 204},
	} {
		if got := say(c.do, c.call, c.headers...); got != c.want {
			t.Errorf("%s of %s with %v: %d, wanted %d", c.do, c.call, c.headers, got, c.want)
		}
	}
	for _, call := range []string{"Q1ABC", "Q5JKL", "Q7DEF"} {
		is(call, "flying: try 1 of 2, on a stick")
	}
	if wall := n.do("GET", "/wall", nil).body; !strings.Contains(wall, `<li class="flying"><b>Q5JKL</b><span>try 1 of 2, on a stick</span>`) || !strings.Contains(wall, "3 in the air") {
		t.Error("the wall does not show him:", wall)
	}
	if got := say("end", "Q7DEF", codeHeader, testCode); got != 204 {
		t.Error(got)
	}
	is("Q7DEF", "here: has joined")
	n.clock.pass(75*time.Second + lateSheet)
	is("Q1ABC", "due: no sheet yet")
	if a := n.send("Q1ABC", sheetOf(t, n.setup(1, "no aids"), "regular", 3)); a.status != 201 {
		t.Fatal(a.status, a.body)
	}
	is("Q1ABC", "sent: 1 of 2 in")
	if got := say("begin", "Q1ABC", "Cookie", member); got != 303 {
		t.Error(got)
	}
	is("Q1ABC", "flying: try 2 of 2, on a stick")
	if a := n.do("GET", "/", nil, "Cookie", member); !strings.Contains(a.body, "The wall shows your bird in the air.") {
		t.Error("his page does not say so")
	}
	if a := n.send("Q1ABC", []byte("nothing\n")); a.status != 422 {
		t.Error(a.status)
	}
	is("Q1ABC", "sent: 1 of 2 in") // what was refused is in the air no more
	n.close(1)
	is("Q5JKL", "here: has joined")
}
