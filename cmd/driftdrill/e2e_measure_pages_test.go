//go:build e2e && linux

package main

import (
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
)

// measurePages goes from page to page, and sets text and colours otherwise.
func (s *stage) measurePages() {
	s.manyRuns(200)
	log := filepath.Join(s.dir, "pages.frames")
	l, app := s.speaking(func(*port.Settings) {}, "--frame-log", log)
	for _, page := range []string{"The next passes", "Drills", "Logbook", "Settings"} {
		l.goTo("Down", page)
		l.press("Return")
		time.Sleep(2 * time.Second)
		if page != "Settings" {
			l.press("Return")
			time.Sleep(time.Second)
			l.press("Escape")
		} else {
			s.sight(l)
		}
		time.Sleep(time.Second)
		l.press("Escape")
		time.Sleep(time.Second)
	}
	s.ends(app)
	s.tellFrames("from page to page", log)
}

// sight changes text size and colours and back.
func (s *stage) sight(l *listenerByWords) {
	l.press("Right", "Right")
	time.Sleep(time.Second)
	for range 7 {
		l.press("Tab")
		for range 3 {
			l.press("Right")
			time.Sleep(300 * time.Millisecond)
		}
		for range 3 {
			l.press("Left")
			time.Sleep(300 * time.Millisecond)
		}
	}
}

// measureRest tells what the program takes of a core while nobody does anything.
func (s *stage) measureRest() {
	l, app := s.speaking(func(*port.Settings) {})
	for _, page := range []string{"", "The next passes", "Drills", "Logbook", "Settings"} {
		if page != "" {
			l.goTo("Down", page)
			l.press("Return")
		}
		time.Sleep(20 * time.Second) // until all is said, and the sound closed
		s.t.Logf("%-18s at rest: %.1f %% of a core", orStart(page), s.share(app, 10*time.Second))
		if page != "" {
			l.press("Escape")
			time.Sleep(time.Second)
		}
	}
	s.ends(app)
}

func orStart(page string) string {
	if page == "" {
		return "start"
	}
	return page
}

// share is what the program takes of a core for a while, per cent.
func (s *stage) share(app *background, d time.Duration) float64 {
	s.t.Helper()
	from, begun := s.ticks(app), time.Now()
	time.Sleep(d)
	return float64(s.ticks(app)-from) / time.Since(begun).Seconds() // a hundred ticks a second
}

// ticks is the time that the program has taken of all cores, hundredths of a second.
func (s *stage) ticks(app *background) (n int) {
	s.t.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", app.Process.Pid))
	if err != nil {
		s.t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(text), ") ")
	fields := strings.Fields(rest)
	for _, f := range fields[11:13] {
		v, err := strconv.Atoi(f)
		if err != nil {
			s.t.Fatal(err)
		}
		n += v
	}
	return n
}

// measureLogbook opens the page of a logbook of many runs, goes through it and
// picks a person, and stays on it while another copy of the program exports
// every run.
func (s *stage) measureLogbook(runs int, exported bool) {
	s.manyRuns(runs)
	log := filepath.Join(s.dir, "logbook.frames")
	l, app := s.speaking(func(set *port.Settings) { set.Operator = "Q3FEN" }, "--frame-log", log)
	l.goTo("Down", "Logbook")
	begun := time.Now()
	l.press("Return")
	said := l.hears("Logbook. ")
	s.t.Logf("%d runs: listed after %.2f s: %.50q", runs, time.Since(begun).Seconds(), said)
	for range 20 {
		l.press("Next")
	}
	l.goTo("Tab", "Runs of")
	l.press("Return")
	time.Sleep(time.Second)
	l.press("Down", "Return")
	begun = time.Now()
	said = l.hears("Logbook. ")
	s.t.Logf("%d runs: those of one person after %.2f s: %.50q", runs, time.Since(begun).Seconds(), said)
	begun = time.Now()
	l.press("Return")
	l.hears("Held")
	s.t.Logf("%d runs: one opened after %.2f s", runs, time.Since(begun).Seconds())
	l.press("Escape")
	if exported {
		begun = time.Now()
		s.run("logbook", "export", filepath.Join(s.dir, "exported"))
		s.t.Logf("%d runs exported beside the window in %.1f s", runs, time.Since(begun).Seconds())
	}
	s.ends(app)
	s.tellFrames(fmt.Sprintf("a logbook of %d runs", runs), log)
}

// dropLogbook takes the logbook away, if there is one, and returns its folder.
func (s *stage) dropLogbook() (folder string) {
	folder = filepath.Join(s.dir, "home", ".local", "share", "driftdrill")
	for _, f := range []string{"logbook.sqlite", "logbook.sqlite-wal", "logbook.sqlite-shm"} {
		_ = os.Remove(filepath.Join(folder, f)) // it need not be there
	}
	return folder
}

// manyRuns makes a logbook of one rehearsed run many times over, by two people.
func (s *stage) manyRuns(n int) {
	s.t.Helper()
	folder := s.dropLogbook()
	sheet := filepath.Join(s.dir, "one.jsonl")
	s.run("rehearse", "--drill", "come-back", "--hand", "good", "--sheet", sheet)
	s.run("logbook", "import", "--operator", "Q3FEN", "--unrated", sheet)
	db, err := sql.Open("sqlite", filepath.Join(folder, "logbook.sqlite"))
	if err != nil {
		s.t.Fatal(err)
	}
	defer db.Close()
	for _, q := range []string{
		"UPDATE runs SET hand = ''",
		"INSERT OR IGNORE INTO operators VALUES (900, 'Q7OWL')",
		`WITH RECURSIVE c(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM c WHERE i < ` + strconv.Itoa(n-1) + `)
		 INSERT INTO runs (operator, hash, flown, start, drill, title, bird, top_deg, pass, hand, formula, hold_index, found_s, goal_met, stopped, counts, why_not, rating, marks, axes)
		 SELECT CASE WHEN c.i % 2 THEN operator ELSE 900 END, randomblob(32), flown - c.i * 3600000, start, drill, title, bird, top_deg, pass || c.i, hand, formula, hold_index, found_s, goal_met,
		        stopped, counts, why_not, rating, marks, axes FROM runs, c WHERE runs.id = (SELECT min(id) FROM runs)`,
		"INSERT INTO sheets (run, size, body, sum) SELECT runs.id, s.size, s.body, s.sum FROM runs, (SELECT * FROM sheets LIMIT 1) s WHERE runs.id NOT IN (SELECT run FROM sheets)",
	} {
		if _, err := db.Exec(q); err != nil {
			s.t.Fatal(err)
		}
	}
}
