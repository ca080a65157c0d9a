package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"time"
	"unicode/utf8"

	"golang.org/x/term"
)

// bar draws on a terminal how far something has come, on one line that it takes
// away before anything else is printed. It keeps to the width of the terminal.
type bar struct {
	w     io.Writer // nil = nowhere
	after time.Duration
	begun time.Time
	drawn time.Time
	wide  int // columns of what is drawn now; 0 = nothing
}

// barAfter is how long a search may take without a bar, barEach how often one is
// drawn, and barWidth how long it is where there is room, in columns.
const (
	barAfter = time.Second
	barEach  = 100 * time.Millisecond
	barWidth = 30
)

// newBar begins a bar on w, which is nil where there is no terminal. It is not
// drawn before so much time has passed.
func newBar(w io.Writer, after time.Duration) bar { return bar{w: w, after: after, begun: time.Now()} }

// tell draws a share (0..1; below 0 = not known) and words behind it.
func (b *bar) tell(share float64, words string) {
	now := time.Now()
	if b.w == nil || now.Sub(b.begun) < b.after || now.Sub(b.drawn) < barEach {
		return
	}
	b.drawn = now
	b.draw(share, words)
}

func (b *bar) draw(share float64, words string) {
	line := barLine(share, words, columns(b.w))
	wide := utf8.RuneCountInString(line)
	fmt.Fprintf(b.w, "\r%s%s", line, strings.Repeat(" ", max(0, b.wide-wide)))
	b.wide = wide
}

// clear takes the bar away.
func (b *bar) clear() {
	if b.wide > 0 {
		fmt.Fprintf(b.w, "\r%s\r", strings.Repeat(" ", b.wide))
		b.wide = 0
	}
}

// leave lets the bar stand.
func (b *bar) leave() {
	if b.wide > 0 {
		fmt.Fprintln(b.w)
		b.wide = 0
	}
}

// barLine is a bar with its words in so many columns, the last of which stays
// free: a cursor that came to the end would begin a new line. Where there is no
// room for both the words go first.
func barLine(share float64, words string, columns int) string {
	room := columns - 1
	if long := min(barWidth, room-utf8.RuneCountInString(words)-3); share >= 0 && long >= 5 {
		full := int(min(share, 1) * float64(long))
		return "[" + strings.Repeat("=", full) + strings.Repeat(" ", long-full) + "] " + words
	}
	if n := utf8.RuneCountInString(words); n > room {
		return string([]rune(words)[:max(0, room)])
	}
	return words
}

// columns is how wide a terminal is; 80 where that is not known.
func columns(w io.Writer) int {
	if f, ok := w.(*os.File); ok {
		if wide, _, err := term.GetSize(int(f.Fd())); err == nil && wide > 0 {
			return wide
		}
	}
	return 80
}

// newSearchBar returns what draws that a search between two times has come to one.
func newSearchBar(w io.Writer, from, to time.Time) (reached func(time.Time), away func()) {
	b := newBar(w, barAfter)
	return func(at time.Time) {
		b.tell(at.Sub(from).Seconds()/to.Sub(from).Seconds(), "to "+at.UTC().Format(time.DateOnly))
	}, b.clear
}

// newReadBar returns what draws how many bytes of a file have been looked at.
func newReadBar(w io.Writer) (reached func(done, total int), away func()) {
	b := newBar(w, barAfter)
	return func(done, total int) {
		if total > 0 {
			b.tell(float64(done)/float64(total), fmt.Sprintf("%.0f of %.0f MB", float64(done)/1e6, float64(total)/1e6))
		}
	}, b.clear
}

// loadBar draws how far a download is.
type loadBar struct {
	bar
	total, done int64 // bytes; a total below zero is not known
}

func newLoadBar(w io.Writer, total int64) *loadBar { return &loadBar{bar: newBar(w, 0), total: total} }

func (b *loadBar) add(n int) {
	b.done += int64(n)
	b.tell(b.now())
}

func (b *loadBar) now() (share float64, words string) {
	if b.total <= 0 {
		return -1, fmt.Sprintf("%.1f MB", float64(b.done)/1e6)
	}
	return float64(b.done) / float64(b.total), fmt.Sprintf("%.1f MB of %.1f MB", float64(b.done)/1e6, float64(b.total)/1e6)
}

// finish lets it stand as it is at the end.
func (b *loadBar) finish() {
	if b.wide > 0 {
		b.draw(b.now())
		b.leave()
	}
}
