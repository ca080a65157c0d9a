package club

import (
	"bytes"
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
