//go:build !nodesk

package recordings

import (
	"context"
	"errors"
	"math"
	"strconv"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// laying asks how the dials were turned, and lays a pass beside a recording.
type laying struct {
	column
	owner                    *page
	pass                     port.AirPass
	began                    time.Time
	byDrift                  bool // began is what the drift told
	steering                 kit.Choice
	uplink, downlink, moment kit.TextField
	lay                      kit.Button
	work                     measuring
	trouble                  string
}

func newLaying(p *page, e port.AirPass, began time.Time, byDrift bool) *laying {
	return &laying{owner: p, pass: e, began: began, byDrift: byDrift}
}

// steerings are the ways of turning the dials, as the words of the choice stand.
var steerings = []string{port.SteerHand, port.SteerCard, port.SteerNone}

// Enter implements Scene.
func (l *laying) Enter(a *screen.App) {
	l.steering = kit.Choice{Name: "How you turned the dials", Words: []string{"by ear", "by card", "not at all"}, At: l.steering.At}
	field := func(f *kit.TextField, name, aloud, hint string) {
		*f = kit.TextField{Name: name, Aloud: aloud, Hint: hint, Value: f.Value, Max: 14}
	}
	field(&l.uplink, "Uplink dial, if you noted it: MHz", "Uplink dial in megahertz, if you noted it", "435.150000")
	field(&l.downlink, "Receive dial at the same moment: MHz", "Receive dial at the same moment, in megahertz", "145.900000")
	field(&l.moment, "That moment in the recording: minutes and seconds", "", "2:30; empty: they stood so all the time")
	l.lay = kit.Button{Text: "Lay it beside", Primary: true, Do: func() { l.begin(a) }}
	under := l.pass.Words + ". The recording began at " + l.began.UTC().Format(toSecond) + " UTC"
	if l.byDrift {
		under += ", by its drift"
	}
	l.Open(a, "How you held it", under+".", &l.steering, &l.uplink, &l.downlink, &l.moment, &l.lay)
}

// Leave implements Scene.
func (l *laying) Leave(*screen.App) { l.work.job.Stop() }

// laid is what was chosen; an error says which field cannot be read.
func (l *laying) laid() (port.Laying, int, error) {
	out := port.Laying{Key: l.pass.Key, Transponder: l.pass.Transponder, Began: l.began, Steering: steerings[l.steering.At], DialsAtS: -1}
	var err error
	if out.UplinkHz, err = readMHz(l.uplink.Value); err != nil {
		return out, 1, err
	}
	if out.DownlinkHz, err = readMHz(l.downlink.Value); err != nil {
		return out, 2, err
	}
	if (out.UplinkHz > 0) != (out.DownlinkHz > 0) {
		return out, 2, errors.New("both dials are needed, or none")
	}
	if text := strings.TrimSpace(l.moment.Value); text != "" {
		if out.DialsAtS, err = readClock(text); err != nil || out.DialsAtS > l.owner.rec.LengthS {
			return out, 3, errors.New("write the moment as minutes and seconds within the recording, such as 2:30")
		}
	} else if out.UplinkHz > 0 && out.Steering != port.SteerNone {
		return out, 3, errors.New("at which moment did the dials stand so?")
	}
	return out, 0, nil
}

// readMHz reads a dial in MHz, as Hz; empty is 0.
func readMHz(text string) (float64, error) {
	text = strings.Replace(strings.TrimSpace(text), ",", ".", 1)
	if text == "" {
		return 0, nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v >= 1 && v < 100e3) {
		return 0, errors.New("write a dial in MHz, such as 145.900000")
	}
	return math.Round(v * 1e6), nil
}

// readClock reads minutes and seconds, or seconds alone.
func readClock(text string) (float64, error) {
	var s float64
	for _, part := range strings.Split(text, ":") {
		v, err := strconv.ParseFloat(part, 64)
		if err != nil || !(v >= 0 && v < 1e6) {
			return 0, errors.New("no time")
		}
		s = 60*s + v
	}
	return s, nil
}

// begin lays the pass beside the recording, or stops that.
func (l *laying) begin(a *screen.App) {
	if l.work.job.Busy() {
		l.work.job.Stop()
		a.Speak("Stopped.")
		return
	}
	how, field, err := l.laid()
	if err != nil {
		l.trouble = kit.UpperStart(err.Error())
		l.Focus.At, l.Focus.Visible = field, true
		a.Say(l.trouble)
		return
	}
	l.trouble = ""
	lay := l.owner.rec.Lay
	a.Speak("Laying the pass beside it.")
	l.work.begin(a, func(ctx context.Context, tell port.Progress) (*port.Recording, error) { return lay(ctx, how, tell) })
}

// Update implements Scene.
func (l *laying) Update(a *screen.App) {
	if r, ok := l.work.poll(a); ok {
		if r.Err == nil {
			l.finish(a, r.Value)
			return
		}
		l.trouble = "That cannot be: " + r.Err.Error()
		a.Speak(l.trouble)
	}
	if l.lay.Text = "Lay it beside"; l.work.job.Busy() {
		l.lay.Text = "Stop"
	}
	body := l.Lay(a)
	l.place(a, body, a.Type.LineHeight(kit.Body)*3)
	l.update(a)
}

// finish goes back to the recording with what the pass tells.
func (l *laying) finish(a *screen.App, rec *port.Recording) {
	l.owner.take(rec)
	a.Scenes.Pop(a)
	a.Scenes.Pop(a)
	first := len(l.owner.rows)
	for i, r := range l.owner.rows {
		if r.name == "pass" {
			first = i
		}
	}
	var words []string
	for _, r := range l.owner.rows[first:] {
		words = append(words, r.name+": "+r.text)
	}
	if c := rec.Correction; c != nil && !c.Kept {
		words = append(words, "Keep offers it as your correction")
	}
	l.owner.list.At = min(first, max(len(l.owner.rows)-1, 0))
	l.owner.show = true
	a.Speak(kit.Sentences(words...))
}

// Draw implements Scene.
func (l *laying) Draw(a *screen.App, c *kit.Canvas) {
	l.draw(a, c, func() {
		r := kit.Box(l.scroll.Area.X+6, l.foot, l.scroll.Area.W-18, 0)
		line := l.trouble
		switch {
		case l.work.job.Busy() && l.work.seconds.Load() > 0: // the receiver alone is measured anew
			l.work.draw(c, r)
			return
		case l.work.job.Busy():
			line = "Laying the pass beside it."
		}
		if line != "" {
			c.Paragraph(r.X, r.Y+c.Type.Size(kit.Body), r.W, line, kit.Body, c.Pal.Ink)
		}
	})
}
