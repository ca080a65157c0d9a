//go:build !nodesk

package desk

import (
	"fmt"
	"image"
	"math"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/sim"
)

// Prompt is what the card says: what to do now, and at most one coach's line.
type Prompt struct {
	Title string
	Body  string
	Coach string
}

// prompter keeps the little memory that prompts need.
type prompter struct {
	phase    sim.Phase
	over     int
	since    sim.Tick // when the phase began
	idle     sim.Tick // when keying was last right (in an over)
	wrongKey sim.Tick // when keying began in the other's over; -1 = not
	outside  sim.Tick // when the own signal left the passband; -1 = inside
}

// at returns the prompt for a state.
func (p *prompter) at(s *sim.State, ab *About, b keys.Bindings) Prompt {
	p.watch(s)
	key := b.NameOf(Key)
	var out Prompt
	switch s.Phase {
	case sim.PhaseWait:
		out = Prompt{Title: "Get ready", Body: "The bird comes up in a moment. Headphones on, softly first."}
		if s.PhaseLeft > 0 {
			out.Title = fmt.Sprintf("Ready in %d", int(math.Ceil(s.PhaseLeft.Seconds())))
		}
	case sim.PhaseFind:
		out = Prompt{Title: "Find yourself", Body: "Hold " + key + ": your voice goes up. Turn until it comes back true."}
	case sim.PhaseTalk:
		out = Prompt{Title: "Your over", Body: "Hold " + key + ". " + task(s)}
	case sim.PhaseListen:
		out = Prompt{Title: "His over", Body: "Let go and listen. The pass drifts on: turn along with it."}
	default:
		out = Prompt{Title: "The run is over", Body: "Your marks are being worked out."}
	}
	if ab.Brief != "" && (s.Phase == sim.PhaseWait || s.Phase == sim.PhaseTalk && ab.Overs == 0) {
		out.Body = ab.Brief
	}
	out.Coach = p.coach(s, ab, key)
	return out
}

// task is what to do while one talks, by whose the dials are.
func task(s *sim.State) string {
	switch s.Rule {
	case sim.RuleBoth:
		return "Receive dial to its card, then the uplink to your own voice: true all the way."
	case sim.RuleDownlink:
		return "The receive dial is yours: keep your voice true all the way."
	}
	return "Keep your voice true all the way."
}

func (p *prompter) watch(s *sim.State) {
	if s.Phase != p.phase || s.Over != p.over || s.Tick < p.since {
		p.phase, p.over, p.since, p.idle = s.Phase, s.Over, s.Tick, s.Tick
		p.wrongKey, p.outside = -1, -1
	}
	if s.Keyed || !s.Assigned {
		p.idle = s.Tick
	}
	if !s.Keyed || s.Phase != sim.PhaseListen {
		p.wrongKey = -1
	} else if p.wrongKey < 0 {
		p.wrongKey = s.Tick
	}
	if !s.Keyed || s.InPassband {
		p.outside = -1
	} else if p.outside < 0 {
		p.outside = s.Tick
	}
}

// coach picks the one line that helps most now.
func (p *prompter) coach(s *sim.State, ab *About, key string) string {
	const second = sim.TicksPerSecond
	switch {
	case p.wrongKey >= 0 && s.Tick-p.wrongKey > second/2:
		return "You are still on the air: let go of " + key + "."
	case s.Assigned && s.Tick-p.idle > 3*second/2:
		return "You are not on the air: hold " + key + "."
	case p.outside >= 0 && s.Tick-p.outside > second:
		return "You have left the transponder: go back to where you were."
	}
	return ab.Coach
}

// card is a sheet of paper on which a prompt is written.
type card struct{ paper kit.Painting }

// cardKey is what the paper depends on: its size in pixels, those of a dip, the colours.
type cardKey struct {
	w, h int
	k    float64
	pal  *kit.Palette
}

// drawPaper draws the paper, a little askew, and returns where to write.
func (d *card) drawPaper(c *kit.Canvas, r kit.Rect) kit.Rect {
	in := kit.Box(r.X+22, r.Y+16, r.W-44, r.H-30)
	if c.Dry {
		return in
	}
	key := cardKey{int(math.Round(r.W * c.Scale())), int(math.Round(r.H * c.Scale())), c.Scale(), c.Pal}
	const pad = 10
	paper := d.paper.Get(c, key, func() *image.RGBA { return paintPaper(float64(key.w), float64(key.h), pad*key.k, key.k, key.pal) })
	if paper != nil {
		c.Image(paper, r.X-pad, r.Y-pad, kit.Color{R: 1, G: 1, B: 1, A: 1})
	}
	return in
}

func paintPaper(w, h, pad, k float64, pal *kit.Palette) *image.RGBA {
	tilt := math.Min(0.006, 4*k/w)
	s, co := math.Sincos(tilt)
	inside := func(x, y, grow float64) float64 { // distance to the edge of the tilted sheet, + inside
		dx, dy := x-pad-w/2, y-pad-h/2
		u, v := dx*co-dy*s, dx*s+dy*co
		r := 3 * k
		qx, qy := math.Abs(u)-w/2+r-grow, math.Abs(v)-h/2+r-grow
		return r - math.Hypot(math.Max(qx, 0), math.Max(qy, 0)) - math.Min(math.Max(qx, qy), 0)
	}
	return kit.PaintRGBA(int(w+2*pad), int(h+2*pad), func(x, y float64) kit.Color {
		col := kit.Color{R: 0, G: 0, B: 0, A: float32(0.5 * kit.Clamp(inside(x, y-2.5*k, 0)/(7*k)+0.75, 0, 1) * kit.Clamp(inside(x, y-2.5*k, 0)/(7*k)+1, 0, 1))}
		lamp := kit.Clamp(0.5+(x-pad)/w*0.35+(y-pad)/h*0.25, 0, 1.1)
		paper := pal.Card.Mix(kit.Hex(0x8a5a36), 0.10*(1-lamp))
		n := float32(kit.Grain(int(x), int(y))*0.012 + 0.008*math.Sin(y*0.9+math.Sin(x*0.021)*3))
		paper.R, paper.G, paper.B = paper.R+n, paper.G+n, paper.B+n
		return kit.Over(col, paper, kit.Inside(inside(x, y, 0)))
	})
}

// write draws the prompt on ruled lines, smaller where it would not fit.
func (d *card) write(c *kit.Canvas, r kit.Rect, p Prompt) {
	title, body, note := kit.Title, kit.Style{Face: kit.Regular, Size: 18}, kit.Note
	shrink := 1.0
	for ; shrink > 0.3; shrink *= 0.94 {
		title.Size, body.Size, note.Size = kit.Title.Size*shrink, 18*shrink, kit.Note.Size*shrink
		if d.height(c, r, p, title, body, note) <= r.H {
			break
		}
	}
	title = c.Type.Fit(p.Title, title, r.W)
	y := r.Y + c.Type.Size(title)*0.98
	c.Text(r.X, y, p.Title, title, c.Pal.CardInk, kit.Left)
	rule := func(y float64) { c.HLine(r.X, r.Right(), y, 1, c.Pal.CardRule) }
	rule(y + c.Type.Size(title)*0.42)
	y += c.Type.Size(title)*0.42 + c.Type.Size(body)*1.35
	for _, line := range c.Type.Wrap(p.Body, body, r.W) {
		c.Text(r.X, y, line, body, c.Pal.CardInk, kit.Left)
		rule(y + c.Type.Size(body)*0.45)
		y += c.Type.Size(body) * 1.72
	}
	lines := c.Type.Wrap(p.Coach, note, r.W)
	y = math.Max(y, r.Bottom()-c.Type.Size(note)*(0.5+1.62*float64(len(lines)-1)))
	for _, line := range lines {
		if line == "" {
			break
		}
		c.Text(r.X, y, line, note, c.Pal.CardNote, kit.Left)
		rule(y + c.Type.Size(note)*0.45)
		y += c.Type.Size(note) * 1.62
	}
}

func (d *card) height(c *kit.Canvas, r kit.Rect, p Prompt, title, body, note kit.Style) float64 {
	h := c.Type.Size(title)*1.40 + c.Type.Size(body)*(1.72*float64(len(c.Type.Wrap(p.Body, body, r.W)))+0.1)
	if p.Coach != "" {
		h += c.Type.Size(body)*1.25 + c.Type.Size(note)*(0.5+1.62*float64(len(c.Type.Wrap(p.Coach, note, r.W))-1))
	}
	return h
}
