package club

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"
)

// The statuses of POST /sheets, as README.md here writes them down.
func TestSheetsAnswerByTheirStatus(t *testing.T) {
	n := newNight(t, nightText)
	n.open(1)
	sheet := sheetOf(t, n.setup(1, "no aids"), "regular", 3)
	post := func(path string, body io.Reader, headers ...string) int {
		return n.do("POST", path, body, headers...).status
	}
	for _, c := range []struct {
		name string
		got  int
		want int
	}{
		{"no code", post("/sheets?call=Q1ABC", bytes.NewReader(sheet)), 401},
		{"another code", post("/sheets?call=Q1ABC", bytes.NewReader(sheet), codeHeader, "heron 43"), 401},
		{"4 MiB and a byte", post("/sheets?call=Q1ABC", bytes.NewReader(make([]byte, maxSheet+1)), codeHeader, testCode), 413},
		{"the same of unknown length", post("/sheets?call=Q1ABC", io.LimitReader(zeros{}, maxSheet+1), codeHeader, testCode), 413},
		{"4 MiB of nothing", post("/sheets?call=Q1ABC", bytes.NewReader(make([]byte, maxSheet)), codeHeader, testCode), 422},
		{"no call", post("/sheets", bytes.NewReader(sheet), codeHeader, testCode), 422},
		{"a sheet", post("/sheets?call=Q1ABC", bytes.NewReader(sheet), codeHeader, testCode), 201},
		{"the code as people type it", post("/sheets?call=Q1ABC", bytes.NewReader(sheet), codeHeader, "Heron-42"), 201},
		{"a look instead", n.do("GET", "/sheets", nil).status, 404},
		{"a sheet's number that is none", n.do("GET", "/sheets/..%2f..%2fetc%2fpasswd", nil).status, 404},
		{"another's sheet", n.do("GET", "/sheets/1", nil).status, 404},
		{"nothing there", n.do("GET", "/etc/passwd", nil).status, 404},
		{"another site's page", post("/sheets?call=Q1ABC", bytes.NewReader(sheet), codeHeader, testCode, "Origin", "http://evil.example", "Sec-Fetch-Site", "cross-site"), 403},
	} {
		if c.got != c.want {
			t.Errorf("%s: %d, not %d", c.name, c.got, c.want)
		}
	}
}

// zeros never ends.
type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }

// A call sign is letters, digits and strokes; everything else is refused, and
// nothing of it comes back as anything but text.
func TestCallSignsAreHostile(t *testing.T) {
	n := newNight(t, nightText)
	n.open(1)
	sheet := sheetOf(t, n.setup(1, "no aids"), "regular", 3)
	for _, call := range []string{"", "Q", "<script>alert(1)</script>", "Q1ABC\r\nX-Evil: 1", `Q1"ABC`, "Q1'ABC", "../../x", "Q1 ABC", "Q1ABC;DROP TABLE runs", "Q1ABC\x00", "\u202eQ1ABC",
		"Q1ÄBC", "Q1//P", "/Q1ABC", "Q1ABC-", strings.Repeat("Q", 17), "{{.Code}}", "%s%n", "Q1ABC</b>"} {
		if a := n.send(url.QueryEscape(call), sheet); a.status != 422 || strings.Contains(a.body, "<") {
			t.Errorf("%q: %d %s", call, a.status, a.body)
		}
		form := url.Values{"code": {testCode}, "call": {call}, "class": {"no aids"}}
		a := n.do("POST", "/join", strings.NewReader(form.Encode()), "Content-Type", "application/x-www-form-urlencoded")
		if a.status != 422 || strings.Contains(a.body, "<script>alert") || strings.Contains(a.body, "</b>Q") || a.header.Get("Set-Cookie") != "" {
			t.Errorf("%q joins: %d", call, a.status)
		}
	}
	for _, call := range []string{"Q1ABC", "q1abc", "Q1ABC/P", "DX-Q1ABC", "73"} {
		if _, ok := parseCall(call); !ok {
			t.Errorf("%q is refused", call)
		}
	}
}

// Every answer carries what keeps a browser from doing more than it should.
func TestEveryAnswerIsFencedIn(t *testing.T) {
	n := newNight(t, nightText)
	for _, path := range []string{"/", "/wall", "/night", "/results", "/results.csv", "/trainer", "/club.js", "/club.css", "/fonts/bold.ttf", "/nothing", "/sheets/1"} {
		a := n.do("GET", path, nil)
		if csp := a.header.Get("Content-Security-Policy"); !strings.HasPrefix(csp, "default-src 'none'") || strings.Contains(csp, "unsafe") {
			t.Errorf("%s: policy %q", path, csp)
		}
		if a.header.Get("X-Content-Type-Options") != "nosniff" || a.header.Get("Set-Cookie") != "" {
			t.Errorf("%s: %v", path, a.header)
		}
		if strings.Contains(a.body, "style=") || strings.Contains(a.body, "onclick") || strings.Contains(a.body, "https://") {
			t.Errorf("%s has what the policy forbids", path)
		}
	}
	r, err := http.NewRequest("GET", n.web.URL+"/wall", nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Host = "rebound.example"
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	if res.StatusCode != http.StatusMisdirectedRequest {
		t.Errorf("a foreign name is answered with %d", res.StatusCode)
	}
}

// After ten wrong codes an address waits, be the next one right.
func TestGuessingIsSlow(t *testing.T) {
	n := newNight(t, nightText)
	try := func(code string) int { return n.do("GET", "/night", nil, codeHeader, code).status }
	for i := range guessesBurst {
		if got := try(fmt.Sprintf("heron %d", 50+i)); got != 401 {
			t.Fatalf("guess %d: %d", i, got)
		}
	}
	if got := try(testCode); got != 429 {
		t.Errorf("the eleventh: %d, not 429", got)
	}
	form := url.Values{"code": {testTrainer}}
	if a := n.do("POST", "/trainer/in", strings.NewReader(form.Encode()), "Content-Type", "application/x-www-form-urlencoded"); a.status != 429 {
		t.Errorf("the trainer's code at once: %d", a.status)
	}
	n.clock.pass(7 * time.Second)
	if got := try(testCode); got != 200 {
		t.Errorf("later: %d", got)
	}
}

// session signs in and returns the cookie.
func (n *testNight) session(path string, form url.Values) string {
	n.t.Helper()
	a := n.do("POST", path, strings.NewReader(form.Encode()), "Content-Type", "application/x-www-form-urlencoded")
	if a.status != http.StatusSeeOther {
		n.t.Fatalf("%s: %d %s", path, a.status, a.body)
	}
	cookie := a.header.Get("Set-Cookie")
	if !strings.Contains(cookie, "HttpOnly") || !strings.Contains(cookie, "SameSite=Strict") {
		n.t.Errorf("cookie %q", cookie)
	}
	return strings.Split(cookie, ";")[0]
}

func (n *testNight) asTrainer() string {
	n.t.Helper()
	return n.session("/trainer/in", url.Values{"code": {testTrainer}})
}

func (n *testNight) asMember(call, class string) string {
	n.t.Helper()
	return n.session("/join", url.Values{"code": {testCode}, "call": {call}, "class": {class}, "again": {call}}) // who has joined already means it
}

// The trainer opens and closes; nobody else does. The seed is told to members
// while a heat is open, and results stand nowhere before it is closed.
func TestAHeatFromOpeningToResults(t *testing.T) {
	n := newNight(t, nightText)
	member, trainer := n.asMember("Q1ABC", "no aids"), n.asTrainer()
	heat := func(cookie, do string) int {
		form := url.Values{"heat": {"1"}, "do": {do}}
		return n.do("POST", "/trainer/heat", strings.NewReader(form.Encode()), "Content-Type", "application/x-www-form-urlencoded", "Cookie", cookie).status
	}
	night := func(headers ...string) nightAnswer {
		var a nightAnswer
		if got := n.do("GET", "/night?call=Q1ABC", nil, headers...); got.status != 200 || json.Unmarshal([]byte(got.body), &a) != nil {
			t.Fatal(got.status, got.body)
		}
		return a
	}
	if got := heat(member, "open"); got != 401 {
		t.Errorf("a member opens a heat: %d", got)
	}
	if a := night(codeHeader, testCode); a.Heat != nil {
		t.Error("something is told before the heat is open")
	}
	if got := heat(trainer, "open"); got != 303 {
		t.Fatalf("the trainer opens a heat: %d", got)
	}
	n.clock.pass(time.Hour)
	if a := night(); a.Heat == nil || a.Heat.Setup != nil || a.Heat.Seed != 0 {
		t.Errorf("without a code: %+v", a.Heat)
	}
	told := night(codeHeader, testCode)
	if told.Heat == nil || told.Heat.Seed != 7 || told.Heat.Setup == nil || told.Heat.Setup.Call != "Q1ABC" || told.Heat.Class != "no aids" {
		t.Fatalf("with the code: %+v", told.Heat)
	}
	if wall := n.do("GET", "/wall", nil).body; !strings.Contains(wall, "try 1 of 2") || strings.Contains(wall, "heron") {
		t.Error("the wall does not show him in the air, or shows the code to everybody")
	}
	if wall := n.do("GET", "/wall", nil, "Cookie", trainer).body; !strings.Contains(wall, testCode) {
		t.Error("the trainer's wall does not show the code")
	}
	sheet := sheetOf(t, *told.Heat.Setup, "regular", 3) // what was told is what is flown
	sent := n.do("POST", "/sheets", bytes.NewReader(sheet), "Cookie", member)
	var got SheetAnswer
	if sent.status != 201 || json.Unmarshal([]byte(sent.body), &got) != nil {
		t.Fatal(sent.status, sent.body)
	}
	index, line := fixed(got.Marks.HoldIndex, 0), got.Advice.Headline
	shows := func(path string) bool { return strings.Contains(n.do("GET", path, nil).body, ">"+index+"<") }
	if strings.Contains(n.do("GET", "/wall", nil).body, line) || shows("/wall") || shows("/results") || strings.Contains(n.do("GET", "/results.csv", nil).body, "Q1ABC") {
		t.Error("results are out before the heat is closed")
	}
	if got := heat(trainer, "close"); got != 303 {
		t.Fatal(got)
	}
	if !shows("/wall") || !shows("/results") {
		t.Error("results are not out after the heat is closed")
	}
	rows, err := csv.NewReader(strings.NewReader(n.do("GET", "/results.csv", nil).body)).ReadAll()
	if err != nil || len(rows) != 2 || rows[1][2] != "Q1ABC" || !strings.HasPrefix(rows[1][5], index[:2]) {
		t.Errorf("results.csv: %v %v", rows, err)
	}
	if back := n.do("GET", fmt.Sprintf("/sheets/%d", got.ID), nil, "Cookie", member); back.body != string(sheet) {
		t.Error("the member does not get his sheet back as it was")
	}
}

// What was accepted, who has joined and whose session it is outlast the server.
func TestTheNightGoesOnAfterARestart(t *testing.T) {
	n := newNight(t, nightText)
	member := n.asMember("Q1ABC", "no aids")
	n.open(1)
	sheet := sheetOf(t, n.setup(1, "no aids"), "regular", 3)
	first := n.send("Q1ABC", sheet)
	if first.status != 201 {
		t.Fatal(first.body)
	}
	n.end()
	m := start(t, n.cfg, n.clock)
	if a := m.send("Q1ABC", sheet); a.status != 201 || a.body != first.body {
		t.Errorf("sent again: %d %s", a.status, a.body)
	}
	if a := m.send("Q7DEF", sheet); a.status != 422 || !strings.Contains(a.reason(), "Q1ABC has sent") {
		t.Errorf("sent by another: %d %s", a.status, a.body)
	}
	if page := m.do("GET", "/", nil, "Cookie", member).body; !strings.Contains(page, "<h1>Q1ABC</h1>") {
		t.Error("the session is gone")
	}
	waitFor(t, func() bool { return len(m.evening.unrated()) == 0 })
	if r := m.evening.runs[0].Rating; r == nil || r.SD == 0 {
		t.Errorf("rating %+v", r)
	}
}

// waitFor waits for a state that must come.
func waitFor(t testing.TB, state func() bool) {
	t.Helper()
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if state() {
			return
		}
	}
	t.Fatal("waited in vain")
}

// A page that listens hears of a change.
func TestEventsTellOfChanges(t *testing.T) {
	n := newNight(t, nightText)
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, "GET", n.web.URL+"/events", nil)
	if err != nil {
		t.Fatal(err)
	}
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	in := bufio.NewScanner(res.Body)
	next := func() string {
		for in.Scan() {
			if data, ok := strings.CutPrefix(in.Text(), "data: "); ok {
				return data
			}
		}
		t.Fatal(in.Err())
		return ""
	}
	before := next()
	n.open(1)
	if after := next(); after == before {
		t.Errorf("still %s", after)
	}
}

// The trainer takes a sheet out, and the try is given back.
func TestTheTrainerTakesASheetOut(t *testing.T) {
	n := newNight(t, strings.Replace(nightText, "tries = 2", "tries = 1", 1))
	trainer := n.asTrainer()
	n.open(1)
	setup := n.setup(1, "no aids")
	first := sheetOf(t, setup, "regular", 3)
	if a := n.send("Q1ABC", first); a.status != 201 {
		t.Fatal(a.body)
	}
	second := sheetOf(t, setup, "regular", 4)
	if a := n.send("Q1ABC", second); a.status != 422 {
		t.Errorf("a second try: %d", a.status)
	}
	form := url.Values{"id": {fmt.Sprint(n.evening.runs[0].ID)}, "do": {"out"}, "why": {"the sound failed"}}
	if a := n.do("POST", "/trainer/sheet", strings.NewReader(form.Encode()), "Content-Type", "application/x-www-form-urlencoded", "Cookie", trainer); a.status != 303 {
		t.Fatal(a.status, a.body)
	}
	if a := n.send("Q1ABC", first); a.status != 422 || !strings.Contains(a.reason(), "the sound failed") {
		t.Errorf("the one taken out: %d %s", a.status, a.body)
	}
	if a := n.send("Q1ABC", second); a.status != 201 {
		t.Errorf("another: %d %s", a.status, a.body)
	}
}

// The step is the member's own where the drill leaves it to him, and not where it does not.
func TestTheStepIsFreeWhereTheDrillLeavesIt(t *testing.T) {
	for _, free := range []bool{true, false} {
		n := newNight(t, nightText)
		n.evening.stepFree = free
		n.open(1)
		s := n.setup(1, "no aids")
		s.Drill.StepHz = 10
		if a := n.send("Q1ABC", sheetOf(t, s, "regular", 3)); (a.status == 201) != free {
			t.Errorf("free %v: %d %s", free, a.status, a.body)
		}
	}
}
