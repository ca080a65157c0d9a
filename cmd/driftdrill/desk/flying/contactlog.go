//go:build !nodesk

package flying

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
	"driftdrill/scoring"
	"driftdrill/sim"

	"github.com/hajimehoshi/ebiten/v2"
)

// contactLog is the operator's log at the desk. When a contact is over its entry
// slides over the prompt card, nowhere else, and away again by itself; keys
// correct it while the knob goes on turning.
type contactLog struct {
	contacts int           // how many the run had made at the update before
	station  int8          // whom the operator was with then
	waiting  bool          // one is made, and its last words are still being said
	since    sim.Tick      // from when on
	until    sim.Tick      // the entry is shown so long
	open     bool          // it is being corrected,
	field    sim.NoteField // here
	place    int
	note     sim.Note
	sent     []sentNote // corrections that the run may not have taken yet
	in       float64    // how far it has slid in, 0..1
	card     kit.Card
}

// sentNote is a correction on its way to the run.
type sentNote struct {
	value int64
	at    sim.Tick
}

const (
	logOnItsWay   = sim.TicksPerSecond / 2
	logShownTicks = 15 * sim.TicksPerSecond
	logLastWords  = 8 * sim.TicksPerSecond // no thanks take longer
)

// update follows the run's contacts and takes the log's keys.
func (l *contactLog) update(a *screen.App, f *flying) {
	l.follow(a, f)
	l.note = f.state.Note
	l.sent = slices.DeleteFunc(l.sent, func(n sentNote) bool { return f.state.Tick-n.at > logOnItsWay })
	for _, n := range l.sent {
		l.note.Write(n.value)
	}
	if f.state.Contacts > 0 {
		l.keys(a, f)
	}
	want := float64(boolValue(l.shown(&f.state)))
	if l.in += kit.Clamp(want-l.in, -0.06, 0.06); a.ReducedMotion {
		l.in = want
	}
}

// follow lets a new entry come once the contact's last words have been said.
func (l *contactLog) follow(a *screen.App, f *flying) {
	s := &f.state
	if s.Contacts > l.contacts {
		l.waiting, l.since, l.open = true, s.Tick, false
		l.sent = nil
	}
	if l.waiting && (s.ContactWith < 0 || s.ContactWith != l.station && s.Contacts == l.contacts || s.Tick-l.since > logLastWords) {
		l.waiting, l.until = false, s.Tick+logShownTicks
		a.Speak(kit.Sentences("In the log: "+spokenNote(&s.Note), a.Set.Bindings.SpokenOf(port.LogNext)+" corrects it"))
	}
	l.contacts, l.station = s.Contacts, s.ContactWith
}

// shown tells whether the entry lies over the prompt: while it is being corrected, or
// fresh and the operator neither talks nor has another contact.
func (l *contactLog) shown(s *sim.State) bool {
	return l.open || s.Tick < l.until && !s.Keyed && s.ContactWith < 0
}

// keys opens the entry, goes through it and changes it.
func (l *contactLog) keys(a *screen.App, f *flying) {
	n := &l.note
	switch {
	case a.In.Repeat(port.LogNext) && !l.open:
		l.open = true
		l.field, l.place = firstGap(n)
		l.tell(a, n)
	case a.In.Repeat(port.LogNext):
		l.next(a, n)
	}
	if !l.open {
		return
	}
	if by := kit.Count(a.In.Repeat(port.LogUp)) - kit.Count(a.In.Repeat(port.LogDown)); by != 0 {
		l.put(a, f, turnedLetter(l.field, l.place, n.At(l.field, l.place), by))
	}
	if !typesLog(a.Set.Bindings) {
		return
	}
	a.In.Claim(typing...)
	for _, r := range a.In.Chars {
		c := unicode.ToUpper(r)
		if l.open && (c >= 'A' && c <= 'Z' || c >= '0' && c <= '9') {
			l.put(a, f, byte(c))
			l.next(a, n)
		}
	}
}

// typing are the keys that type letters and digits.
var typing = func() (ks []ebiten.Key) {
	for k := ebiten.KeyA; k <= ebiten.KeyZ; k++ {
		ks = append(ks, k)
	}
	for k := ebiten.KeyDigit0; k <= ebiten.KeyDigit9; k++ {
		ks = append(ks, k)
	}
	return ks
}()

// typesLog tells whether letters can be typed into the log: not where they turn
// or key, because the knob is never given up for it.
func typesLog(b keys.Bindings) bool {
	for _, a := range []keys.Action{port.TurnUp, port.TurnDown, port.FastUp, port.FastDown, port.Key, port.Latch} {
		for _, t := range b[a] {
			if slices.ContainsFunc(typing, func(k ebiten.Key) bool { return string(t) == "key:"+k.String() }) {
				return false
			}
		}
	}
	return true
}

// put posts a character for the place, and shows it at once.
func (l *contactLog) put(a *screen.App, f *flying, c byte) {
	v := sim.NoteValue(l.field, l.place, c)
	f.ses.Post(sim.CommandNote, v)
	l.note.Write(v)
	l.sent = append(l.sent, sentNote{v, f.state.Tick})
	a.Speak(spokenLetter(c))
}

// next goes on by one place, and closes the entry behind the last one.
func (l *contactLog) next(a *screen.App, n *sim.Note) {
	if l.place++; l.place >= places(n, l.field) {
		l.field, l.place = l.field+1, 0
	}
	if l.field == sim.NoteFields {
		l.open, l.field = false, 0
		l.until = 0
		a.Speak("Noted: " + spokenNote(n))
		return
	}
	l.tell(a, n)
}

// places is how many places of a field can be gone to: in a call one beyond its end.
func places(n *sim.Note, f sim.NoteField) int {
	if f != sim.NoteCall {
		return sim.NoteLengths[f]
	}
	return min(len(n.Field(f))+1, sim.NoteLengths[f])
}

// firstGap is the first place where something is missing, or the first of all.
func firstGap(n *sim.Note) (sim.NoteField, int) {
	for f := range sim.NoteFields {
		text, want := n.Field(f), sim.NoteLengths[f]
		if f == sim.NoteCall {
			want = max(len(text), 1)
		}
		for i := range want {
			if i >= len(text) || text[i] == sim.NoteUnheard {
				return f, i
			}
		}
	}
	return 0, 0
}

// turnedLetter is the letter after or before one, of those that a place can hold.
func turnedLetter(f sim.NoteField, place int, c byte, by int) byte {
	among := "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
	switch {
	case f == sim.NoteReport:
		among = "123456789"
	case f == sim.NoteLocator && place < 2:
		among = "ABCDEFGHIJKLMNOPQR" // fields of the locator system
	case f == sim.NoteLocator:
		among = "0123456789"
	}
	at := strings.IndexByte(among, c)
	if at < 0 { // from nothing forwards to the first, backwards to the last
		at = -max(by, 0)
	}
	return among[((at+by)%len(among)+len(among))%len(among)]
}

// tell speaks of the place that the keys are at.
func (l *contactLog) tell(a *screen.App, n *sim.Note) {
	a.Speak(fmt.Sprintf("%s, %d: %s", scoring.NoteNames[l.field], l.place+1, spokenLetter(n.At(l.field, l.place))))
}

func spokenLetter(c byte) string {
	switch c {
	case 0:
		return "nothing"
	case sim.NoteUnheard:
		return "not heard"
	}
	return string(rune(c))
}

// spokenNote reads an entry letter by letter.
func spokenNote(n *sim.Note) string {
	var parts []string
	for f := range sim.NoteFields {
		text := n.Field(f)
		if text == "" {
			parts = append(parts, scoring.NoteNames[f]+" not heard")
			continue
		}
		letters := make([]string, len(text))
		for i := range letters {
			letters[i] = spokenLetter(text[i])
		}
		parts = append(parts, scoring.NoteNames[f]+" "+strings.Join(letters, " "))
	}
	return strings.Join(parts, ", ")
}

// logShows is what the log's card shows, to the fineness that can be seen.
type logShows struct {
	in    int
	note  sim.Note
	count int
	open  bool
	at    int
}

func (l *contactLog) shows(s *sim.State) logShows {
	if l.in == 0 {
		return logShows{}
	}
	return logShows{in: int(l.in * 100), note: l.note, count: s.Contacts, open: l.open, at: int(l.field)*16 + l.place}
}

// logSize is the size of what is noted where there is room for it, dips.
const logSize = 28.0

// draw draws the entry over the prompt card's place r.
func (l *contactLog) draw(c *kit.Canvas, r kit.Rect, s *sim.State, b keys.Bindings) {
	left := 1 - l.in
	r.X -= r.W * left * left
	in := l.card.DrawPaper(c, r)
	foot := b.NameOf(port.LogNext) + " corrects it"
	if l.open {
		foot = b.NameOf(port.LogNext) + " goes on; " + b.NameOf(port.LogUp) + " and " + b.NameOf(port.LogDown) + " change it"
		if typesLog(b) {
			foot = "type, or " + foot
		}
	}
	title, name, value, note := kit.Title, kit.Small, kit.Style{Face: kit.Mono, Size: logSize}, kit.Note
	for f := 1.0; f > 0.3; f *= 0.94 {
		title.Size, name.Size, value.Size, note.Size = kit.Title.Size*f*f, kit.Small.Size*f, logSize*f, kit.Note.Size*f
		if c.Type.Size(title)*1.5+3*c.Type.Size(value)*1.5+c.Type.Size(note)*1.62*float64(len(c.Type.Wrap(foot, note, in.W))) <= in.H {
			break
		}
	}
	head := fmt.Sprintf("Contact %d", s.Contacts)
	title = c.Type.Fit(head, title, in.W)
	y := in.Y + c.Type.Size(title)*0.98
	c.Text(in.X, y, head, title, c.Pal.CardInk, kit.Left)
	c.HLine(in.X, in.Right(), y+c.Type.Size(title)*0.42, 1, c.Pal.CardRule)
	wide := c.Type.Width("locator", name) + 14
	for value.Size > 6 && wide+c.Type.Width("00000000", value) > in.W {
		value.Size *= 0.94
	}
	y += c.Type.Size(title) * 0.42
	for f := range sim.NoteFields {
		y += c.Type.Size(value) * 1.5
		c.Text(in.X, y, scoring.NoteNames[f], name, c.Pal.CardInk, kit.Left)
		l.drawField(c, in.X+wide, y, f, &l.note, value)
	}
	lines := c.Type.Wrap(foot, note, in.W)
	y = math.Max(y+c.Type.Size(note)*1.8, in.Bottom()-c.Type.Size(note)*(0.5+1.62*float64(len(lines)-1)))
	for i, line := range lines {
		c.Text(in.X, y+c.Type.Size(note)*1.62*float64(i), line, note, c.Pal.CardNote, kit.Left)
	}
}

// drawField draws the characters of a field over their places; where the keys are the place is framed.
func (l *contactLog) drawField(c *kit.Canvas, x, y float64, f sim.NoteField, n *sim.Note, st kit.Style) {
	w, h := c.Type.Width("0", st), c.Type.Size(st)
	for i := range max(len(n.Field(f)), sim.NoteLengths[f]*boolInt(f != sim.NoteCall), places(n, f)*boolInt(l.open)) {
		at := x + float64(i)*w
		if ch := n.At(f, i); ch != 0 {
			c.Text(at+w/2, y, string(rune(ch)), st, c.Pal.CardInk, kit.Middle)
		}
		c.HLine(at+1, at+w-1, y+h*0.22, 1.5, c.Pal.CardInk.Alpha(0.5))
		if l.open && f == l.field && i == l.place {
			c.RoundFrame(kit.Box(at-1, y-h*0.92, w+2, h*1.24), 3, 2, c.Pal.CardInk)
		}
	}
}

func boolInt(b bool) int { return int(boolValue(b)) }
