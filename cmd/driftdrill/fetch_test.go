package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"driftdrill/orbit"

	"github.com/adrg/xdg"
)

const (
	larkSet = "LARK-1\n" +
		"1 99901U 26901A   26324.12345678  .00001250  00000+0  71000-4 0  1002\n" +
		"2 99901  97.4012  21.3345 0011234  84.1234 276.1240 15.20279803 12343\n"
	dipperSet = "DIPPER-2\n" +
		"1 99902U 26902A   26323.91827364  .00003120  00000+0  16200-3 0  1016\n" +
		"2 99902  97.5230 143.7781 0006721 201.4456 158.6421 15.08757383 20114\n"
)

// fetchStage is a fetcher with a clock that is set by hand, and an old file.
type fetchStage struct {
	*fetcher
	file string
	at   time.Time
}

func newFetchStage(t *testing.T) *fetchStage {
	s := &fetchStage{fetcher: newFetcher(nil), file: filepath.Join(t.TempDir(), "elements", "birds.txt"),
		at: time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)}
	s.now = func() time.Time { return s.at }
	if err := os.MkdirAll(filepath.Dir(s.file), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(s.file, []byte(larkSet), 0o644); err != nil {
		t.Fatal(err)
	}
	return s
}

func (s *fetchStage) holds(t *testing.T, want string) {
	t.Helper()
	data, err := os.ReadFile(s.file)
	if err != nil || string(data) != want {
		t.Errorf("the file holds %.60q, %v; want %.60q", data, err, want)
	}
	left, _ := filepath.Glob(filepath.Join(filepath.Dir(s.file), "*.new-*"))
	if len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// Whatever a bad server does, one clear line is said and the old file stays.
func TestFetchFromBadServers(t *testing.T) {
	release := make(chan struct{})
	for _, c := range badServers(release) {
		t.Run(c.name, func(t *testing.T) {
			server := httptest.NewServer(c.serve)
			defer server.Close()
			s := newFetchStage(t)
			if c.says == "silent" {
				s.stall = 300 * time.Millisecond
			}
			_, err := s.fetch(context.Background(), server.URL, s.file)
			if err == nil || !strings.Contains(err.Error(), c.says) || strings.Contains(err.Error(), "\n") {
				t.Errorf("said %v, want one line with %q", err, c.says)
			}
			s.holds(t, larkSet)
		})
	}
	close(release)
}

// badServer is a server that gives no elements, and what is said of it; "silent" is one
// that is given up after a while.
type badServer struct {
	name, says string
	serve      http.HandlerFunc
}

// badServers are all ways in which servers have failed. Those that are silent are so
// until release is closed.
func badServers(release <-chan struct{}) []badServer {
	var packed bytes.Buffer
	z, _ := gzip.NewWriterLevel(&packed, gzip.BestSpeed)
	for range 70 {
		z.Write(make([]byte, 1<<20))
	}
	z.Close()
	return []badServer{
		{"silent", "silent", func(w http.ResponseWriter, r *http.Request) {
			select {
			case <-release:
			case <-r.Context().Done():
			}
		}},
		{"stalls in the middle", "silent", func(w http.ResponseWriter, r *http.Request) {
			fmt.Fprint(w, larkSet)
			w.(http.Flusher).Flush()
			select {
			case <-release:
			case <-r.Context().Done():
			}
		}},
		{"truncated", "cut short", func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Length", "4096")
			fmt.Fprint(w, larkSet)
		}},
		{"breaks off", "", func(w http.ResponseWriter, _ *http.Request) {
			c, _, err := w.(http.Hijacker).Hijack()
			if err == nil {
				fmt.Fprint(c, "HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n80\r\nLARK")
				c.Close()
			}
		}},
		{"speaks no HTTP", "", func(w http.ResponseWriter, _ *http.Request) {
			c, _, err := w.(http.Hijacker).Hijack()
			if err == nil {
				fmt.Fprint(c, "what?\r\n\r\n")
				c.Close()
			}
		}},
		{"says that it is huge", "at most 64", func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Length", "400000000")
			w.WriteHeader(http.StatusOK)
		}},
		{"never ends", "does not end after 64 MiB", func(w http.ResponseWriter, _ *http.Request) {
			block := []byte(strings.Repeat("# nothing but comment lines here\n", 32000))
			for range 80 {
				if _, err := w.Write(block); err != nil {
					return
				}
			}
		}},
		{"packs a huge file small", "does not end after 64 MiB", func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Encoding", "gzip")
			w.Write(packed.Bytes())
		}},
		{"a web page", "web page", func(w http.ResponseWriter, _ *http.Request) {
			fmt.Fprint(w, "<!DOCTYPE html>\n<html><title>Please log in</title></html>")
		}},
		{"an error page", "404", http.NotFound},
		{"nothing", "is empty", func(http.ResponseWriter, *http.Request) {}},
		{"the last set cut", "line 2", func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, larkSet+dipperSet[:100]) }},
		{"a wrong checksum", "checksum", func(w http.ResponseWriter, _ *http.Request) {
			fmt.Fprint(w, strings.Replace(larkSet, "1002\n", "1003\n", 1))
		}},
		{"goes round in circles", "more than 5 times", func(w http.ResponseWriter, r *http.Request) {
			http.Redirect(w, r, "/again", http.StatusFound)
		}},
	}
}

func TestFetchReplacesAndKeepsTheOldOne(t *testing.T) {
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, larkSet+dipperSet) }))
	defer server.Close()
	s := newFetchStage(t)
	got, err := s.fetch(context.Background(), server.URL, s.file)
	if err != nil || len(got.sets) != 2 {
		t.Fatalf("%d sets, %v", len(got.sets), err)
	}
	s.holds(t, larkSet+dipperSet)
	if before, err := os.ReadFile(s.file + ".before"); err != nil || string(before) != larkSet {
		t.Errorf("the file before: %.40q, %v", before, err)
	}
}

// The server is asked at most once in two hours, and then with what is known.
func TestFetchIsPolite(t *testing.T) {
	asked := 0
	var match, since string
	body := larkSet
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		asked++
		match, since = r.Header.Get("If-None-Match"), r.Header.Get("If-Modified-Since")
		w.Header().Set("ETag", `"one"`)
		w.Header().Set("Last-Modified", "Wed, 25 Nov 2026 06:00:00 GMT")
		if match == `"one"` {
			w.WriteHeader(http.StatusNotModified)
			return
		}
		fmt.Fprint(w, body)
	}))
	defer server.Close()
	s := newFetchStage(t)
	step := func(after time.Duration, wantAsked int, what string) fetched {
		t.Helper()
		s.at = s.at.Add(after)
		got, err := s.fetch(context.Background(), server.URL, s.file)
		if err != nil {
			t.Fatal(err)
		}
		if asked != wantAsked {
			t.Errorf("%s: asked %d times, want %d", what, asked, wantAsked)
		}
		return got
	}
	step(0, 1, "at first")
	if match != "" || since != "" {
		t.Errorf("asked with %q and %q of another address's file", match, since)
	}
	if got := step(119*time.Minute, 1, "within two hours"); got.tooSoon != time.Minute {
		t.Errorf("told to wait %v, want 1m", got.tooSoon)
	}
	if got := step(time.Minute, 2, "after two hours"); !got.unchanged || match != `"one"` || since == "" {
		t.Errorf("unchanged %v, asked with %q and %q", got.unchanged, match, since)
	}
	step(time.Minute, 2, "soon after nothing new")
	s.force = true
	step(time.Minute, 3, "forced")
	s.force = false
	step(-5*time.Hour, 4, "the clock was set back")
	if err := os.Remove(s.file); err != nil {
		t.Fatal(err)
	}
	step(3*time.Hour, 5, "the file was lost")
	if match != "" {
		t.Error("asked for news of a file that is not there")
	}
	s.holds(t, larkSet)
}

// A failed answer counts as asked, for ten minutes; a server that cannot be
// reached does not.
func TestFetchCountsAnswersOnly(t *testing.T) {
	asked := 0
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		asked++
		w.WriteHeader(http.StatusInternalServerError)
	}))
	s := newFetchStage(t)
	if _, err := s.fetch(context.Background(), server.URL, s.file); err == nil {
		t.Error("an error was taken for elements")
	}
	if got, err := s.fetch(context.Background(), server.URL, s.file); err != nil || got.tooSoon == 0 || asked != 1 {
		t.Errorf("asked %d times, %v", asked, err)
	}
	s.at = s.at.Add(9 * time.Minute)
	if got, _ := s.fetch(context.Background(), server.URL, s.file); got.tooSoon != time.Minute {
		t.Errorf("told to wait %v, want 1m", got.tooSoon)
	}
	s.at = s.at.Add(time.Minute)
	if _, err := s.fetch(context.Background(), server.URL, s.file); err == nil || asked != 2 {
		t.Errorf("after ten minutes: asked %d times, %v", asked, err)
	}
	server.Close()
	other := newFetchStage(t)
	for range 2 {
		if got, err := other.fetch(context.Background(), server.URL, other.file); err == nil || got.tooSoon != 0 {
			t.Errorf("a server that is not there: %v, %v", got.tooSoon, err)
		}
	}
}

// Where nothing is there after a fetch its status is 1, also where the server
// is left alone.
func TestFetchWithoutAFileFails(t *testing.T) {
	server := httptest.NewServer(http.NotFoundHandler())
	defer server.Close()
	file := filepath.Join(t.TempDir(), "birds.txt")
	for _, says := range []string{"404", "asked a moment ago; wait 10m"} {
		status, _, errs := command(t, "elements", "fetch", "--url", server.URL, "--to", file)
		if status != exitFailed || !strings.Contains(errs, says) || strings.Count(errs, "\n") != 1 {
			t.Errorf("status %d, said %q, want %q", status, errs, says)
		}
	}
}

// A file that only its owner may read stays so, and so does the one before.
func TestFetchKeepsModes(t *testing.T) {
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, dipperSet) }))
	defer server.Close()
	s := newFetchStage(t)
	if err := os.Chmod(s.file, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := s.fetch(context.Background(), server.URL, s.file); err != nil {
		t.Fatal(err)
	}
	s.holds(t, dipperSet)
	for _, file := range []string{s.file, s.file + ".before"} {
		if info, err := os.Stat(file); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v", file, info.Mode(), err)
		}
	}
}

func TestProgressBar(t *testing.T) {
	var b bytes.Buffer
	bar := newLoadBar(&b, 2_000_000)
	bar.add(1_000_000)
	bar.add(1_000_000)
	bar.finish()
	if got := b.String(); !strings.Contains(got, "[===============               ] 1.0 MB of 2.0 MB") || !strings.HasSuffix(got, "2.0 MB of 2.0 MB\n") {
		t.Errorf("drew %q", got)
	}
	quiet := newLoadBar(nil, -1)
	quiet.add(5)
	quiet.finish()
}

// A bar keeps to one line of the terminal, and gives way to its words.
func TestBarKeepsToItsLine(t *testing.T) {
	const words = "to 2026-11-25"
	for columns := range 120 {
		for _, share := range []float64{-1, 0, 0.5, 1, 2} {
			if line := barLine(share, words, columns); len(line) >= max(columns, 1) || columns > len(words) && !strings.HasSuffix(line, words) {
				t.Errorf("%d columns, share %g: %q", columns, share, line)
			}
		}
	}
	if got := barLine(0.5, words, 80); got != "[===============               ] "+words {
		t.Errorf("%q", got)
	}
	if got := barLine(1, words, 30); got != "[=============] "+words {
		t.Errorf("%q", got)
	}
	var b bytes.Buffer
	bar := newBar(&b, 0)
	bar.draw(0.5, "a long line of words")
	bar.draw(0.5, "short")
	bar.clear()
	if drawn := strings.Split(b.String(), "\r"); len(drawn) != 5 || len(drawn[2]) != len(drawn[1]) || strings.TrimSpace(drawn[3]) != "" || len(drawn[3]) != len(strings.TrimRight(drawn[2], " ")) || drawn[4] != "" {
		t.Errorf("drew %q", drawn)
	}
}

// command runs one command line as a user does.
func command(t *testing.T, args ...string) (status int, stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	status = run(args, &out, &errs)
	return status, out.String(), errs.String()
}

func TestElementCommands(t *testing.T) {
	folder := t.TempDir()
	write := func(name, text string) string {
		path := filepath.Join(folder, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	good := write("good.txt", larkSet+dipperSet)
	bad := write("bad.txt", strings.NewReplacer("97.4012", "97.40x2", "12343\n", "12342\n").Replace(larkSet)+dipperSet)

	status, out, errs := command(t, "elements", "check", good, "--at", "2026-11-25T00:00:00Z", "--out", "csv")
	if status != exitDone || errs != "" || !strings.Contains(out, "LARK-1,99901,26901A,2026-11-20T02:57:46.666Z,4.877,94.6") {
		t.Errorf("check: %d\n%s%s", status, out, errs)
	}
	status, out, errs = command(t, "elements", "check", bad, "--out", "text")
	if status != exitUsage || !strings.Contains(out, "DIPPER-2") || !strings.Contains(errs, bad+":3:9: LARK-1: the inclination") {
		t.Errorf("check of a bad one: %d\n%s%s", status, out, errs)
	}
	for _, form := range []string{"json", "xml", "kvn", "csv"} {
		status, out, errs := command(t, "elements", "convert", good, "--to", form)
		if status != exitDone {
			t.Fatalf("convert to %s: %s", form, errs)
		}
		back := write("back."+form, out)
		status, out, errs = command(t, "elements", "convert", back, "--to", "tle")
		if status != exitDone || out != larkSet+dipperSet {
			t.Errorf("there and back by %s: %d %s\n%s", form, status, errs, out)
		}
	}
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, larkSet) }))
	defer server.Close()
	to := filepath.Join(folder, "new", "fetched.txt")
	status, out, errs = command(t, "elements", "fetch", "--url", server.URL, "--to", to)
	if status != exitDone || !strings.Contains(out, "1 set of 1 bird") {
		t.Errorf("fetch: %d %s %s", status, out, errs)
	}
	for _, args := range [][]string{
		{"elements"}, {"elements", "fetch"}, {"elements", "fetch", "--url", "ftp://quern"}, {"elements", "check"},
		{"elements", "check", filepath.Join(folder, "none")}, {"elements", "check", folder}, {"elements", "convert", good, "--to", "doc"},
		{"elements", "convert", bad, "--to", "json"},
	} {
		if status, _, errs := command(t, args...); status != exitUsage || strings.Count(errs, "\n") != 1 {
			t.Errorf("%v: status %d, said %q", args, status, errs)
		}
	}
}

// Sets too many to be told in a two-line form stop a conversion before a line is written.
func TestConvertOfGreatNumbers(t *testing.T) {
	e, err := orbit.ParseTLE("", strings.Split(larkSet, "\n")[1], strings.Split(larkSet, "\n")[2])
	if err != nil {
		t.Fatal(err)
	}
	e.Catalog = 799500766
	var b bytes.Buffer
	if err := orbit.WriteElements(&b, orbit.FormatCSV, []orbit.Elements{e}, time.Time{}); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "big.csv")
	if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	if status, out, errs := command(t, "elements", "convert", path, "--to", "tle"); status != exitUsage || out != "" || !strings.Contains(errs, "no room") {
		t.Errorf("status %d, wrote %q, said %q", status, out, errs)
	}
}

// An address can stand where a file can; it is asked once, and what it gave
// earlier is used, with a warning, when it cannot be reached.
func TestElementsFromAnAddress(t *testing.T) {
	t.Cleanup(xdg.Reload)
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	xdg.Reload()
	asked := 0
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		asked++
		fmt.Fprint(w, larkSet)
	}))
	args := []string{"passes", "--elements", server.URL + "/birds", "--site", "47.37,8.54", "--from", "2026-11-21T00:00:00Z", "--days", "1"}
	first, second := rowsOf(t, args...), rowsOf(t, args...)
	if len(first) == 0 || len(first) != len(second) || asked != 1 {
		t.Errorf("%d and %d passes, asked %d times", len(first), len(second), asked)
	}
	server.Close()
	other := append([]string{}, args...)
	other[2] = server.URL + "/others"
	if status, _, errs := command(t, other...); status != exitFailed || strings.Count(errs, "\n") != 1 {
		t.Errorf("an address that is not there: status %d, said %q", status, errs)
	}
	page := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, "<html>hello</html>") }))
	defer page.Close()
	other[2] = page.URL
	if status, _, errs := command(t, other...); status != exitFailed || !strings.Contains(errs, "web page") {
		t.Errorf("a web page: status %d, said %q", status, errs)
	}
}
