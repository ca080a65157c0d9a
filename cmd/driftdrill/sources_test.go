package main

import (
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/trainer"

	"github.com/adrg/xdg"
)

// skyStage is a sky with a clock that is set by hand and a server that counts.
type skyStage struct {
	*skyKeeper
	at     time.Time
	server *httptest.Server
	asked  []http.Header // one of each request
	serve  http.HandlerFunc
}

func newSkyStage(t *testing.T) *skyStage {
	t.Helper()
	s := &skyStage{at: time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)}
	data := t.TempDir()
	s.skyKeeper = &skyKeeper{disk: trainer.Disk{Config: t.TempDir(), Data: data}, folder: filepath.Join(data, "elements"), fetched: filepath.Join(data, "elements", "fetched.txt"),
		fetcher: func() *fetcher {
			f := newFetcher(nil)
			f.now = func() time.Time { return s.at }
			return f
		}}
	s.serve = func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("ETag", `"one"`)
		w.Header().Set("Last-Modified", "Tue, 24 Nov 2026 08:00:00 GMT")
		if r.Header.Get("If-None-Match") == `"one"` {
			w.WriteHeader(http.StatusNotModified)
			return
		}
		fmt.Fprint(w, larkSet)
	}
	s.server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.asked = append(s.asked, r.Header)
		s.serve(w, r)
	}))
	t.Cleanup(s.server.Close)
	return s
}

// days lets so many days pass in which the program looks every ten minutes, as
// the window does, and returns how often the server was asked on each.
func (s *skyStage) days(t *testing.T, n int) (perDay []int) {
	t.Helper()
	for range n {
		before := len(s.asked)
		for range 144 {
			s.at = s.at.Add(10 * time.Minute)
			if _, err := s.Refresh(t.Context(), false); err != nil {
				t.Fatal(err)
			}
		}
		perDay = append(perDay, len(s.asked)-before)
	}
	return perDay
}

// A server is asked once a day at the most, with what is known of its file and
// under the program's own name; a day on which nothing is new costs it nothing
// but a header.
func TestSourcesAreAskedOnceADay(t *testing.T) {
	s := newSkyStage(t)
	if says, err := s.Add(t.Context(), s.server.URL+"/birds.txt"); err != nil || !strings.Contains(says, "1 bird") {
		t.Fatal(says, err)
	}
	if got := s.days(t, 5); !slices.Equal(got, []int{1, 1, 1, 1, 1}) {
		t.Errorf("asked %v times a day", got)
	}
	for i, h := range s.asked {
		if !strings.HasPrefix(h.Get("User-Agent"), "driftdrill/") {
			t.Errorf("request %d by %q", i, h.Get("User-Agent"))
		}
		if i > 0 && (h.Get("If-None-Match") != `"one"` || h.Get("If-Modified-Since") != "Tue, 24 Nov 2026 08:00:00 GMT") {
			t.Errorf("request %d does not say what is there: %v", i, h)
		}
	}
	all, err := s.Sources(t.Context())
	if err != nil || len(all) != 1 || len(all[0].Sets) != 1 || all[0].Err != nil || all[0].Says != "" {
		t.Errorf("%v, %+v", err, all)
	}
	s.serve = func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, larkSet+dipperSet) }
	s.at = s.at.Add(24 * time.Hour)
	if got, err := s.Refresh(t.Context(), false); err != nil || len(got) != 1 || !got[0].Changed || got[0].Says != "2 birds" {
		t.Errorf("%v, %+v", err, got)
	}
}

// Who asks by hand waits two hours between two requests.
func TestAskingByHandIsBounded(t *testing.T) {
	s := newSkyStage(t)
	if _, err := s.Add(t.Context(), s.server.URL+"/birds.txt"); err != nil {
		t.Fatal(err)
	}
	for range 12 {
		got, err := s.Refresh(t.Context(), true)
		if err != nil || len(got) != 1 {
			t.Fatal(got, err)
		}
		if s.at = s.at.Add(20 * time.Minute); !got[0].Asked && !strings.Contains(got[0].Says, "wait") {
			t.Errorf("%+v", got[0])
		}
	}
	if len(s.asked) != 2 { // taking it in, and once two hours later
		t.Errorf("asked %d times in four hours", len(s.asked))
	}
}

// A server that answers nonsense, or fails, is asked ever more rarely, up to
// once in eight days; what it held before stays, and once it is well again all
// is as before.
func TestABadServerIsLeftAlone(t *testing.T) {
	for name, bad := range map[string]http.HandlerFunc{
		"nonsense":     func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, "<html>Please log in</html>") },
		"server error": func(w http.ResponseWriter, _ *http.Request) { http.Error(w, "sorry", http.StatusServiceUnavailable) },
		"not there":    func(w http.ResponseWriter, r *http.Request) { http.NotFound(w, r) },
	} {
		s := newSkyStage(t)
		place := s.server.URL + "/birds.txt"
		if _, err := s.Add(t.Context(), place); err != nil {
			t.Fatal(err)
		}
		good := s.serve
		s.serve = bad
		got := s.days(t, 24)
		days := []int{}
		for i, n := range got {
			if n > 1 {
				t.Errorf("%s: asked %d times on day %d", name, n, i+1)
			}
			if n > 0 {
				days = append(days, i+1)
			}
		}
		if !slices.Equal(days, []int{1, 3, 7, 15, 23}) { // 1, 2, 4, 8, 8 days apart
			t.Errorf("%s: asked on days %v", name, days)
		}
		all, _ := s.Sources(t.Context())
		if len(all) != 1 || len(all[0].Sets) != 1 || !strings.Contains(all[0].Says, "of no use") {
			t.Errorf("%s: %+v", name, all)
		}
		s.serve = good
		s.at = s.at.Add(9 * 24 * time.Hour)
		if got := s.days(t, 3); !slices.Equal(got, []int{1, 1, 1}) {
			t.Errorf("%s: once it is well it is asked %v times a day", name, got)
		}
	}
}

// A server may say when it wants to be asked again (RFC 9110, section 10.2.3).
func TestAServerMayAskToBeLeftAlone(t *testing.T) {
	now := time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)
	for header, want := range map[string]time.Duration{"3600": time.Hour, " 120 ": 2 * time.Minute, "Thu, 26 Nov 2026 08:00:00 GMT": 24 * time.Hour,
		"": 0, "soon": 0, "-5": 0, "0": 0, "99999999999": 0, "Mon, 01 Jan 2035 00:00:00 GMT": 0, "Tue, 24 Nov 2026 08:00:00 GMT": 0} {
		got := leftAlone(header, now)
		if want == 0 && !got.IsZero() || want > 0 && !got.Equal(now.Add(want)) {
			t.Errorf("%q: until %v", header, got)
		}
	}
	s := newSkyStage(t)
	good := s.serve
	if _, err := s.Add(t.Context(), s.server.URL+"/birds.txt"); err != nil {
		t.Fatal(err)
	}
	s.serve = func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Retry-After", "432000") // five days
		w.WriteHeader(http.StatusTooManyRequests)
	}
	s.days(t, 1)
	s.serve = good
	if got := s.days(t, 6); !slices.Equal(got, []int{0, 0, 0, 0, 0, 1}) && !slices.Equal(got, []int{0, 0, 0, 0, 1, 1}) {
		t.Errorf("asked %v times a day", got)
	}
	if got, _ := s.Refresh(t.Context(), true); len(got) != 1 || got[0].Asked {
		t.Errorf("asked by hand at once: %+v", got)
	}
}

// Whatever a server asks for, it is left alone for a month at the most.
func FuzzRetryAfter(f *testing.F) {
	for _, header := range []string{"120", "Thu, 26 Nov 2026 08:00:00 GMT", "-1", "1e9", "Thursday, 26-Nov-26 08:00:00 GMT"} {
		f.Add(header)
	}
	now := time.Date(2026, 11, 25, 8, 0, 0, 0, time.UTC)
	f.Fuzz(func(t *testing.T, header string) {
		if until := leftAlone(header, now); !until.IsZero() && (!until.After(now) || until.Sub(now) > 30*24*time.Hour) {
			t.Errorf("%q: until %v", header, until)
		}
	})
}

// Without a network what was fetched is used, the server is tried ever more
// rarely, up to every eight hours, and the source can be taken in all the same;
// once there is a network it is asked within those eight hours.
func TestSourcesWithoutANetwork(t *testing.T) {
	s := newSkyStage(t)
	place := s.server.URL + "/birds.txt"
	address := s.server.Listener.Addr().String()
	s.server.Close()
	says, err := s.Add(t.Context(), place)
	if err != nil || !strings.Contains(says, "nothing has come yet") || !strings.Contains(says, "cannot be reached, or there is no network") {
		t.Fatal(says, err)
	}
	all, err := s.Sources(t.Context())
	if err != nil || len(all) != 1 || all[0].Err == nil || !strings.Contains(all[0].Says, "could not be reached") {
		t.Errorf("%v, %+v", err, all)
	}
	tried := map[int]bool{}
	for i := range 3 * 144 {
		s.at = s.at.Add(10 * time.Minute)
		if got, _ := s.Refresh(t.Context(), false); len(got) == 1 && got[0].Err != nil {
			tried[i] = true
		}
	}
	if n := len(tried); n < 8 || n > 16 { // 15 min, 30, 1 h, 2, 4, 8, 8 ...
		t.Errorf("tried %d times in three days", n)
	}
	again := httptest.NewUnstartedServer(http.HandlerFunc(s.serve))
	l, err := netListen(address)
	if err != nil {
		t.Skip("the port was taken by somebody else: ", err)
	}
	again.Listener.Close()
	again.Listener = l
	again.Start()
	defer again.Close()
	came := false
	for range 49 {
		s.at = s.at.Add(10 * time.Minute)
		got, _ := s.Refresh(t.Context(), false)
		came = came || len(got) == 1 && got[0].Changed
	}
	if all, _ := s.Sources(t.Context()); !came || len(all[0].Sets) != 1 || all[0].Err != nil {
		t.Errorf("within eight hours: %v, %+v", came, all)
	}
}

// What holds no elements is not taken in, nothing twice; what is taken out is
// gone and its file stays.
func TestSourcesAreCheckedWhenTakenIn(t *testing.T) {
	s := newSkyStage(t)
	file := writeInput(t, "club.tle", dipperSet)
	if _, err := s.Add(t.Context(), file); err != nil {
		t.Fatal(err)
	}
	s.serve = func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, "nonsense") }
	for _, place := range []string{"", "-", file, filepath.Join(t.TempDir(), "none.txt"), t.TempDir(), writeInput(t, "letter.txt", "Dear all"), s.server.URL + "/x", "https://"} {
		if says, err := s.Add(t.Context(), place); err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%q is taken: %q, %v", place, says, err)
		}
	}
	if sky, err := s.Kept(); err != nil || !slices.Equal(sky.Sources, []string{file}) {
		t.Errorf("%v, %+v", err, sky)
	}
	if err := s.Drop("nobody.txt"); err == nil {
		t.Error("what is no source is taken out")
	}
	if err := s.Drop(file); err != nil || !fileExists(file) {
		t.Error(err)
	}
	if all, err := s.Sources(t.Context()); err != nil || len(all) != 0 {
		t.Errorf("%v, %+v", err, all)
	}
}

// By command: sources are taken in, the younger elements win and that is said,
// every command flies them, favourites are kept, and the sheet says the source.
func TestSourcesByCommand(t *testing.T) {
	ownConfig(t)
	old := xdg.DataHome
	xdg.DataHome = t.TempDir()
	t.Cleanup(func() { xdg.DataHome = old })
	newer := strings.Replace(dipperSet, "26323.91827364", "26324.91827364", 1)
	newer = strings.Replace(newer, "0  1016\n", "0  1017\n", 1) // its checksum
	a, b := writeInput(t, "club.tle", dipperSet+larkSet), writeInput(t, "tonight.tle", newer)
	if status, out, errs := command(t, "elements", "add", a, b); status != exitDone || strings.Count(out, "is one of your sources now") != 2 {
		t.Fatalf("add: status %d, %q, said %q", status, out, errs)
	}
	if status, out, errs := command(t, "elements", "sources", "--out", "csv"); status != exitDone || !strings.Contains(out, a+",2,") || !strings.Contains(out, b+",1,") {
		t.Errorf("sources: status %d, %q, said %q", status, out, errs)
	}
	if status, _, errs := command(t, "elements", "favour", "dipper"); status != exitDone {
		t.Errorf("favour: %q", errs)
	}
	_, out, errs := command(t, "elements", "mine", "--out", "csv")
	if !strings.Contains(out, "DIPPER-2,99902,") || !strings.Contains(out, ",yes,tonight.tle,club.tle") || !strings.Contains(out, ",,club.tle,") {
		t.Errorf("mine: %q, said %q", out, errs)
	}
	sheet := filepath.Join(t.TempDir(), "run.jsonl")
	if status, _, errs := command(t, "rehearse", "--drill", "1", "--bird", "dipper-2", "--pass", "1", "--from", "2026-11-21", "--sheet", sheet); status != exitDone {
		t.Fatalf("rehearse: status %d, said %q", status, errs)
	}
	if text, _ := os.ReadFile(sheet); !strings.Contains(string(text), `"elements_from":"own: tonight.tle, epoch 2026-11-20 22:02 UTC, `) {
		t.Errorf("the sheet says %.3000s", text)
	}
	if status, out, errs := command(t, "elements", "refresh"); status != exitDone || !strings.Contains(out, "none of your sources is an address") {
		t.Errorf("refresh: status %d, %q, said %q", status, out, errs)
	}
	if status, _, errs := command(t, "elements", "drop", a, b); status != exitDone {
		t.Errorf("drop: %q", errs)
	}
	if status, _, errs := command(t, "elements", "mine"); status != exitUsage || !strings.Contains(errs, "no sources yet") {
		t.Errorf("mine without sources: status %d, said %q", status, errs)
	}
}

// The times of passes by the operator's sources are those of the elements in
// them: AOS and LOS of the youngest set, whichever source was named first.
func TestPassesOfMergedSources(t *testing.T) {
	ownConfig(t)
	old := xdg.DataHome
	xdg.DataHome = t.TempDir()
	t.Cleanup(func() { xdg.DataHome = old })
	newer := strings.Replace(strings.Replace(dipperSet, "26323.91827364", "26324.91827364", 1), "0  1016\n", "0  1017\n", 1)
	a, b := writeInput(t, "club.tle", dipperSet), writeInput(t, "tonight.tle", newer)
	args := []string{"passes", "--site", "50,8,150", "--from", "2026-11-21T00:00:00Z", "--days", "1", "--out", "csv"}
	_, want, _ := command(t, append(args, "--elements", b)...)
	command(t, "elements", "add", b, a)
	if _, got, errs := command(t, args...); got != want || strings.Count(want, "\n") < 3 {
		t.Errorf("passes %q, want %q, said %q", got, want, errs)
	}
}

// netListen listens at an address that was free a moment ago.
func netListen(address string) (net.Listener, error) { return net.Listen("tcp", address) }
