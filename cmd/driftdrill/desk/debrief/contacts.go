//go:build !nodesk

package debrief

import (
	"fmt"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// paneWords are the panes of a run: where there were contacts their log takes
// the place of the knob's picture, which says little of them.
func (d *debrief) paneWords(first ...string) []string {
	if d.res.Marks.Ready != nil {
		return append(first, "settings", "figures")
	}
	pane := "knob"
	if len(d.res.Contacts) > 0 {
		pane = "contacts"
	}
	return append(first, pane, "rating", "figures")
}

// drawFirst draws the first of the panes.
func (d *debrief) drawFirst(c *kit.Canvas, r kit.Rect) {
	if len(d.res.Contacts) > 0 {
		d.drawContacts(c, r)
		return
	}
	d.drawKnob(c, r)
}

// drawContacts draws the contact log, and under each entry what is missing or wrong.
func (d *debrief) drawContacts(c *kit.Canvas, r kit.Rect) {
	in := pane(c, r, fmt.Sprintf("contact log: %d of %d noted right", len(linesRight(d.res.Contacts)), len(d.res.Contacts)))
	lines := logLines(d.res.Contacts, max(1, int(in.H/(c.Type.LineHeight(kit.Small)*1.02))))
	line := min(in.H/float64(max(len(lines), 1)), c.Type.LineHeight(kit.Small)*1.3)
	for i, l := range lines {
		st, col := kit.Style{Face: kit.Mono, Size: kit.Small.Size}, c.Pal.Ink
		if l.fault {
			st, col = kit.Small, c.Pal.Dim
		}
		y := in.Y + line*float64(i) + line/2 + c.Type.Size(st)*0.35
		c.Text(in.X, y, l.text, c.Type.Fit(l.text, st, in.W), col, kit.Left)
	}
}

// logLine is a line of the contact log: an entry, or what is at fault with the one above.
type logLine struct {
	text  string
	fault bool
}

// logLines are at most so many lines of the log: where all have no room, those
// at fault come first, and the last line counts what is left out.
func logLines(all []scoring.Contact, most int) []logLine {
	lines, rest := linesOf(all, false), 0
	if len(lines) > most {
		lines = append(linesOf(all, true), linesRight(all)...)
	}
	if len(lines) <= most {
		return lines
	}
	for _, l := range lines[most-1:] {
		if !l.fault {
			rest++
		}
	}
	return append(lines[:most-1], logLine{fmt.Sprintf("and %d more", rest), true})
}

func linesOf(all []scoring.Contact, faultyAlone bool) (lines []logLine) {
	for i := range all {
		fault := faultWords(&all[i])
		if fault == "" && faultyAlone {
			continue
		}
		lines = append(lines, logLine{entryText(&all[i]), false})
		if fault != "" {
			lines = append(lines, logLine{fault, true})
		}
	}
	return lines
}

func linesRight(all []scoring.Contact) (lines []logLine) {
	for i := range all {
		if faultWords(&all[i]) == "" {
			lines = append(lines, logLine{entryText(&all[i]), false})
		}
	}
	return lines
}

// entryText is an entry as it was noted, with strokes where nothing was.
func entryText(c *scoring.Contact) string {
	var b strings.Builder
	b.WriteString(c.To.Format("15:04"))
	for f, noted := range c.Noted {
		if noted == "" {
			noted = strings.Repeat("-", sim.NoteLengths[f]*min(f, 1)+5*(1-min(f, 1)))
		}
		fmt.Fprintf(&b, "  %s", noted)
	}
	return b.String()
}

// faultWords say what is missing or wrong in an entry; "" = nothing.
func faultWords(c *scoring.Contact) string {
	var words []string
	given := c.Given()
	for f, s := range c.Stands() {
		switch s {
		case scoring.NoteMissing:
			words = append(words, fmt.Sprintf("%s %s missing", scoring.NoteNames[f], given[f]))
		case scoring.NoteWrong:
			words = append(words, fmt.Sprintf("%s wrong: %s", scoring.NoteNames[f], given[f]))
		}
	}
	return strings.Join(words, ", ")
}
