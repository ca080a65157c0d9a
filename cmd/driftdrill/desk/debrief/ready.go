//go:build !nodesk

package debrief

import (
	"fmt"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/scoring"
)

// readyTitle is the heading of a run that began at the radios.
func readyTitle(m *scoring.ReadyMarks) string {
	return fmt.Sprintf("Ready: %d of %d", m.RightAtAOS, m.Of)
}

// returned says when the own voice first came back.
func returned(m *scoring.ReadyMarks) string {
	if m.FirstReturnS == nil {
		return "your own voice never came back"
	}
	return fmt.Sprintf("your own voice back %.1f s after it rose", *m.FirstReturnS)
}

// setWords say when a setting was last changed, against AOS.
func setWords(s *scoring.ReadySetting) string {
	switch {
	case s.ChangedS == nil:
		return "never"
	case *s.ChangedS < 0:
		return fmt.Sprintf("%.0f s before", -*s.ChangedS)
	}
	return fmt.Sprintf("%.0f s after", *s.ChangedS)
}

// standWords say how a setting stood when the bird came up, and what became of it.
func standWords(s *scoring.ReadySetting) string {
	switch {
	case s.RightAtAOS && s.RightFound:
		return "right"
	case s.RightAtAOS:
		return "put right"
	case s.RightEnd:
		return "late"
	}
	return "wrong"
}

// readyColumn is what it says of each setting.
type readyColumn struct {
	head string
	of   func(s *scoring.ReadySetting) string
}

// readyColumns are the columns of the list of settings.
var readyColumns = []readyColumn{
	{"setting", func(s *scoring.ReadySetting) string { return s.Title() }},
	{"as found", func(s *scoring.ReadySetting) string { return s.Found }},
	{"as the bird rose", func(s *scoring.ReadySetting) string { return s.AtAOS }},
	{"the card", func(s *scoring.ReadySetting) string { return s.Wants }},
	{"last set", setWords},
	{"", standWords},
}

// readyShrink is how far the letters shrink before columns are left out.
const readyShrink = 0.85

// narrowColumns are those that a narrow page has: how a setting was found and
// when it was last set are left out.
func narrowColumns() []readyColumn {
	var out []readyColumn
	for _, col := range readyColumns {
		if col.head != "as found" && col.head != "last set" {
			out = append(out, col)
		}
	}
	return out
}

// drawSettings draws the list of settings, one in a row.
func (d *debrief) drawSettings(c *kit.Canvas, r kit.Rect) {
	m := d.res.Marks.Ready
	in := pane(c, r, "your radios, before the bird came up")
	line := in.H / float64(len(m.Settings)+1)
	st := c.Type.Within(kit.Small, line*0.78)
	cols, least := readyColumns, st.Size*readyShrink
	wide := make([]float64, len(cols))
	for {
		sum := 0.0
		for i, col := range cols {
			wide[i] = c.Type.Width(col.head, st)
			for k := range m.Settings {
				wide[i] = math.Max(wide[i], c.Type.Width(col.of(&m.Settings[k]), st))
			}
			sum += wide[i]
		}
		if gap := (in.W - sum) / float64(len(wide)-1); gap >= c.Type.Size(st)*0.7 || c.Type.Size(st) < 4 {
			for i := range wide {
				wide[i] += gap
			}
			break
		}
		if st.Size *= 0.96; st.Size < least && len(cols) == len(readyColumns) {
			cols = narrowColumns() // where it was wrong says more than small letters
			wide, st.Size = wide[:len(cols)], least/readyShrink
		}
	}
	for row := -1; row < len(m.Settings); row++ {
		y, x := in.Y+line*(float64(row)+1.5)+c.Type.Size(st)*0.35, in.X
		for i, col := range cols {
			text, ink := col.head, c.Pal.Dim
			if row >= 0 {
				s := &m.Settings[row]
				if text = col.of(s); !s.RightAtAOS || i == len(cols)-1 && !s.RightFound {
					ink = c.Pal.Yours
				} else if i > 0 {
					ink = c.Pal.Ink
				}
			}
			c.Text(x, y, text, st, ink, kit.Left)
			x += wide[i]
		}
	}
}

// readyFigures are the marks of a run that began at the radios.
func readyFigures(m *scoring.ReadyMarks) []figure {
	none := func(v *float64, format string) string {
		if v == nil {
			return "–"
		}
		return fmt.Sprintf(format, *v)
	}
	return []figure{
		{"right as found", fmt.Sprintf("%d of %d", m.RightFound, m.Of)},
		{"right as the bird rose", fmt.Sprintf("%d of %d", m.RightAtAOS, m.Of)},
		{"right at the end", fmt.Sprintf("%d of %d", m.RightEnd, m.Of)},
		{"put right when heard", fmt.Sprint(m.Late)},
		{"last set after", none(m.SetS, "%.0f s")},
		{"own voice back after", none(m.FirstReturnS, "%.1f s")},
		{"keyed by the VOX", fmt.Sprintf("%.0f s", m.VOXKeyedS)},
	}
}

// spokenReady is the result in sentences: what was wrong, and nothing of the rest.
func (d *debrief) spokenReady(m *scoring.ReadyMarks) string {
	s := fmt.Sprintf("%d of %d settings right when the bird came up. %s. ", m.RightAtAOS, m.Of, kit.UpperStart(returned(m)))
	if d.res.Verdict != "" {
		s += d.res.Verdict + ". "
	}
	for i := range m.Settings {
		if r := &m.Settings[i]; !r.RightAtAOS {
			s += fmt.Sprintf("%s: %s, the card has %s, %s. ", kit.UpperStart(r.Title()), r.AtAOS, r.Wants, standWords(r))
		}
	}
	return s + kit.Sentences(d.res.Headline, d.res.Detail, d.res.Counting)
}
