package main

import (
	"fmt"
	"io"
	"strings"
	"time"
)

// searchBar draws on a terminal how far a search has come. Its line is taken
// away before anything else is printed.
type searchBar struct {
	w        io.Writer // nil = nowhere
	from, to time.Time
	begun    time.Time
	drawn    time.Time
	shown    bool
}

// barAfter is how long a search may take without a bar, and barEach how often
// one is drawn.
const (
	barAfter = time.Second
	barEach  = 100 * time.Millisecond
)

func newSearchBar(w io.Writer, from, to time.Time) *searchBar {
	return &searchBar{w: w, from: from, to: to, begun: time.Now()}
}

// reached draws that the search has come to a time.
func (b *searchBar) reached(at time.Time) {
	now := time.Now()
	if b.w == nil || now.Sub(b.begun) < barAfter || now.Sub(b.drawn) < barEach {
		return
	}
	b.drawn, b.shown = now, true
	full := int(barWidth * at.Sub(b.from) / b.to.Sub(b.from))
	fmt.Fprintf(b.w, "\r[%s%s] to %s ", strings.Repeat("=", full), strings.Repeat(" ", barWidth-full), at.UTC().Format(time.DateOnly))
}

// clear takes the bar away.
func (b *searchBar) clear() {
	if b.shown {
		fmt.Fprintf(b.w, "\r%s\r", strings.Repeat(" ", barWidth+20))
		b.shown = false
	}
}

// readBar draws on a terminal how much of a file has been looked at.
type readBar struct{ searchBar }

func newReadBar(w io.Writer) *readBar {
	return &readBar{searchBar{w: w, begun: time.Now()}}
}

func (b *readBar) reached(done, total int) {
	now := time.Now()
	if b.w == nil || total <= 0 || now.Sub(b.begun) < barAfter || now.Sub(b.drawn) < barEach {
		return
	}
	b.drawn, b.shown = now, true
	full := barWidth * done / total
	fmt.Fprintf(b.w, "\r[%s%s] %.0f of %.0f MB ", strings.Repeat("=", full), strings.Repeat(" ", barWidth-full), float64(done)/1e6, float64(total)/1e6)
}
