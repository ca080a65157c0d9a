package club

import (
	"bytes"
	"context"
	"encoding/json"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
)

// Whatever comes as a sheet is judged in a sentence, and taken only as the very
// run that it says it is.
func FuzzSheet(f *testing.F) {
	n := newNight(f, nightText)
	setup := n.setup(1, "no aids")
	good := sheetOf(f, setup, "regular", 3)
	f.Add(good)
	f.Add(good[:len(good)/2])
	f.Add(cutAt(good, 20))
	f.Add(header(good, `"seed":7`, `"seed":8`))
	f.Add([]byte("{\"driftdrill_sheet\":2}\n{\"end\":1}\n"))
	f.Fuzz(func(t *testing.T, body []byte) {
		j, no := judge(body, &setup, true, classNamed("no aids"))
		switch {
		case no != nil && (no.Reason == "" || strings.ContainsAny(no.Reason, "\n\r\x00") || !strings.HasSuffix(no.Reason, ".")):
			t.Errorf("reason %q", no.Reason)
		case no == nil && (j.marks.HoldIndex < 0 || j.marks.HoldIndex > 1000 || j.sheet.Setup.Seed != setup.Seed || j.sheet.End > setup.Length):
			t.Errorf("taken: %+v", j.marks)
		}
	})
}

// Whatever is asked, with whatever parameters, cookie, code and body, is
// answered below 500, fenced in, and never with a part of it as a page's markup.
func FuzzRequest(f *testing.F) {
	n := newNight(f, nightText)
	n.open(1)
	trainer := n.asTrainer()
	for _, s := range []struct{ method, path, query, cookie, code, body string }{
		{"GET", "/", "code=<b>", "", "", ""},
		{"GET", "/night", "call=q1abc&class=no+aids", "", testCode, ""},
		{"GET", "/wall", "part=1", trainer, "", ""},
		{"GET", "/sheets/1", "", trainer, "", ""},
		{"GET", "/fonts/bold.ttf", "", "", "", ""},
		{"POST", "/sheets", "call=Q1ABC", "", testCode, "{}\n"},
		{"POST", "/join", "", "", "", "code=heron+42&call=<script>&class=no+aids"},
		{"POST", "/trainer/in", "", "", "", "code=x"},
		{"POST", "/trainer/heat", "", trainer, "", "heat=1&do=open"},
		{"POST", "/trainer/sheet", "", trainer, "", "id=1&do=out&why=<i>"},
		{"PUT", "/..//sheets/%2e%2e/x", "%", "night=", "\x00", "\xff"},
	} {
		f.Add(s.method, s.path, s.query, s.cookie, s.code, s.body)
	}
	f.Fuzz(func(t *testing.T, method, path, query, cookie, code, body string) {
		u := url.URL{Path: "/" + strings.TrimPrefix(path, "/"), RawQuery: query}
		switch {
		case u.Path == "/events" || !plainToken(method): // one waits for ever, the other is no request
			return
		}
		r := httptest.NewRequest("GET", "/", bytes.NewReader([]byte(body)))
		r.Method, r.URL, r.Host, r.RemoteAddr = method, &u, "127.0.0.1", "192.0.2.9:1"
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Cookie", cookie)
		r.Header.Set(codeHeader, code)
		w := httptest.NewRecorder()
		n.guard.forgetAll()
		n.ServeHTTP(w, r)
		text := w.Body.String()
		if w.Code >= 500 || w.Header().Get("Content-Security-Policy") == "" {
			t.Errorf("%s %s: %d %.200s", method, u.Path, w.Code, text)
		}
		if strings.HasPrefix(w.Header().Get("Content-Type"), "application/json") && !json.Valid([]byte(text)) {
			t.Errorf("%s: no JSON: %.200s", u.Path, text)
		}
		if strings.Contains(w.Header().Get("Content-Type"), "html") && (strings.Contains(text, "<script>") || strings.Contains(text, "<i>x") || strings.Contains(text, "<b>\"")) {
			t.Errorf("%s: markup from outside: %.400s", u.Path, text)
		}
	})
}

// answered sends one request and holds that it is answered below 500, and that
// nothing of what was sent is a page's markup.
func (n *testNight) answered(t *testing.T, method, path string, form url.Values, headers ...string) *httptest.ResponseRecorder {
	t.Helper()
	r := httptest.NewRequest(method, path, strings.NewReader(form.Encode()))
	r.Host, r.RemoteAddr = "127.0.0.1", "192.0.2.9:1"
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	for i := 0; i+1 < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	w := httptest.NewRecorder()
	n.guard.forgetAll()
	n.ServeHTTP(w, r)
	if w.Code >= 500 || w.Code < 200 {
		t.Errorf("%s %s %v: %d %.300s", method, path, form, w.Code, w.Body)
	}
	return w
}

// Every field of every form, sent by who may send it; and the pages that show
// what came of it.
func FuzzForms(f *testing.F) {
	n := newNight(f, nightText)
	n.open(1)
	if a := n.send("Q1ABC", sheetOf(f, n.setup(1, "no aids"), "regular", 3)); a.status != 201 {
		f.Fatal(a.status, a.body)
	}
	n.evening.book.db.SetMaxOpenConns(1)
	if _, err := n.evening.book.db.Exec("PRAGMA synchronous = OFF"); err != nil { // nothing is lost here that anybody needs
		f.Fatal(err)
	}
	trainer, member := n.asTrainer(), n.asMember("Q2GHI", "no aids")
	f.Add("heron 42", "q3pqr", "no aids", "1", "open", "1", "twice")
	f.Add("Heron-42", "<script>x", "ears only", "-1", "close", "99999999999999999999", "<i>x")
	f.Add("\x00", "Q1ABC/P", "", "2", "out", "1", "\u202e")
	f.Add("", "Q2GHI", "one hand", "0x1", "begin", "", "\xff")
	f.Fuzz(func(t *testing.T, code, call, class, heat, do, id, why string) {
		if len(n.evening.sessions) > maxSessions/2 || len(n.evening.flyers) > 30 { // a night has no room for more
			n.evening.mu.Lock()
			n.evening.sessions, n.evening.flyers = map[string]string{}, map[string]*flyer{}
			n.evening.mu.Unlock()
			trainer, member = n.asTrainer(), n.asMember("Q2GHI", "no aids")
		}
		n.answered(t, "POST", "/join", url.Values{"code": {code}, "call": {call}, "class": {class}})
		n.answered(t, "POST", "/join", url.Values{"code": {testCode}, "call": {call}, "class": {class}})
		n.answered(t, "POST", "/trainer/in", url.Values{"code": {code}})
		n.answered(t, "POST", "/trainer/heat", url.Values{"heat": {heat}, "do": {do}}, "Cookie", trainer)
		n.answered(t, "POST", "/trainer/sheet", url.Values{"id": {id}, "do": {do}, "why": {why}}, "Cookie", trainer)
		n.answered(t, "POST", "/flying", url.Values{"call": {call}, "class": {class}, "do": {do}}, "Cookie", trainer)
		n.answered(t, "POST", "/flying", url.Values{"call": {call}, "class": {class}, "do": {do}}, "Cookie", member)
		for _, path := range []string{"/trainer", "/wall?part=1", "/results"}[len(why)%3:][:1] { // one of them each time
			if text := n.answered(t, "GET", path, nil, "Cookie", trainer).Body.String(); strings.Contains(text, "<script>x") || strings.Contains(text, "<i>x") {
				t.Errorf("%s: markup from outside", path)
			}
		}
	})
}

// Every parameter of what programs ask, with the right code: a sheet under any
// call and class, the night for any of them, a file by any number.
func FuzzParameters(f *testing.F) {
	n := newNight(f, nightText)
	n.open(1)
	good := sheetOf(f, n.setup(1, "no aids"), "regular", 3)
	f.Add("Q1ABC", "no aids", "1", "1")
	f.Add("q1abc/p", "", "", "-1")
	f.Add("<b>", "<i>x", "x", "9223372036854775808")
	f.Add("%00", "ears only", "part", "1%2f..")
	f.Fuzz(func(t *testing.T, call, class, part, id string) {
		n.evening.mu.Lock()
		if len(n.evening.flyers) > maxFlyers/2 {
			n.evening.flyers = map[string]*flyer{}
		}
		n.evening.mu.Unlock()
		q := url.Values{"call": {call}, "class": {class}, "part": {part}}.Encode()
		for _, path := range []string{"/night?" + q, "/wall?" + q, "/results?" + q, "/results.csv?" + q, "/?code=" + url.QueryEscape(call), "/sheets/" + url.PathEscape(id)} {
			n.answered(t, "GET", path, nil, codeHeader, testCode)
		}
		r := httptest.NewRequest("POST", "/sheets?"+q, bytes.NewReader(good))
		r.Host, r.RemoteAddr = "127.0.0.1", "192.0.2.9:1"
		r.Header.Set(codeHeader, testCode)
		w := httptest.NewRecorder()
		n.ServeHTTP(w, r)
		if w.Code != 201 && w.Code != 422 || !json.Valid(w.Body.Bytes()) {
			t.Errorf("%q, %q: %d %.300s", call, class, w.Code, w.Body)
		}
	})
}

// The stream of events begins with the state that it is in, whatever its
// address, its last event or its caller's headers say, and ends with its caller.
func FuzzEvents(f *testing.F) {
	n := newNight(f, nightText)
	f.Add("", "", "", "text/event-stream")
	f.Add("since=-1&part=<b>", "99999999999999999999", "night=x", "*/*")
	f.Add("%", "\x00\n", "night=\xff", "")
	f.Fuzz(func(t *testing.T, rawQuery, last, cookie, accept string) {
		ctx, cancel := context.WithCancel(context.Background())
		cancel() // gone after the first line
		r := httptest.NewRequest("GET", "/events", nil).WithContext(ctx)
		r.URL.RawQuery, r.Host, r.RemoteAddr = rawQuery, "127.0.0.1", "192.0.2.9:1"
		r.Header.Set("Last-Event-ID", last)
		r.Header.Set("Cookie", cookie)
		r.Header.Set("Accept", accept)
		w := httptest.NewRecorder()
		n.guard.forgetAll()
		n.ServeHTTP(w, r)
		if text := w.Body.String(); w.Code != 200 || text != "retry: 2000\ndata: 0\n\n" || !n.waiting.TryAcquire(maxListeners) {
			t.Fatalf("%d %q", w.Code, text)
		}
		n.waiting.Release(maxListeners)
	})
}

// plainToken says whether a method is one that a server lets through.
func plainToken(s string) bool {
	for _, c := range s {
		if c < 'A' || c > 'Z' {
			return false
		}
	}
	return s != ""
}

// forgetAll lets everybody ask again.
func (g *guard) forgetAll() {
	g.mu.Lock()
	clear(g.callers)
	g.mu.Unlock()
}
