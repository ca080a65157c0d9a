//go:build !nodesk

package recordings

import (
	"fmt"
	"strconv"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// readingAs is the page that says what a recording is taken for, where what was
// found by itself is not right.
type readingAs struct {
	column
	owner            *page
	sent, side, take kit.Choice
	pitch, call      kit.TextField
	read             kit.Button
}

func newReadingAs(p *page) *readingAs { return &readingAs{owner: p} }

// What the words of the choices mean, in their order.
var (
	sents = []string{port.SentFound, port.SentVoice, port.SentCW}
	sides = []string{port.SideFound, port.SideLeft, port.SideRight}
)

// atOf is where a meaning stands among those of a choice.
func atOf(all []string, what string) int {
	for i, w := range all {
		if w == what {
			return i
		}
	}
	return 0
}

// Enter implements Scene.
func (r *readingAs) Enter(a *screen.App) {
	as := r.owner.as
	r.sent = kit.Choice{Name: "You sent", Words: []string{"find out", "speech", "CW or a whistle"}, At: atOf(sents, as.Sent), Changed: func(int) { r.arrange() }}
	r.side = kit.Choice{Name: "Your microphone, or your sidetone", Words: []string{"find out", "left side", "right side"}, At: atOf(sides, as.Side)}
	r.take = kit.Choice{Name: "Measure by", Words: []string{"both sides", "the receiver alone"}}
	if as.Alone {
		r.take.At = 1
	}
	pitch := r.pitch.Value
	if pitch == "" && as.PitchHz > 0 {
		pitch = strconv.FormatFloat(as.PitchHz, 'f', -1, 64)
	}
	r.pitch = kit.TextField{Name: "Its pitch at zero beat, Hz", Aloud: "Its pitch at zero beat, in hertz; empty: the sidetone tells it", Hint: "650; empty: the sidetone tells it", Value: pitch, Max: 8, Check: checkPitch}
	r.call = kit.TextField{Name: "Your call, where others are heard too", Hint: "Q3FEN; it may be left out", Value: as.Call, Max: 16, Upper: true, Check: checkCall}
	if r.call.Value == "" {
		r.call.Value = a.Set.Call
	}
	r.read = kit.Button{Text: "Read it so", Primary: true, Do: func() { r.begin(a) }}
	r.Open(a, "Read it as", r.about(), &r.sent, &r.side, &r.take, &r.pitch, &r.call, &r.read)
	r.arrange()
}

// about is what stands under the heading.
func (r *readingAs) about() string {
	about := "It finds out by itself what you leave open."
	if sents[r.sent.At] == port.SentCW {
		about = "It follows any tone: music cannot be told from a sidetone."
	}
	if rec := r.owner.rec; rec != nil {
		about = rec.Name + ". " + about
	}
	return about
}

// arrange shows the questions that the choices leave.
func (r *readingAs) arrange() {
	ws := []kit.Widget{&r.sent, &r.side, &r.take}
	if sents[r.sent.At] == port.SentCW {
		ws = append(ws, &r.pitch, &r.call)
	}
	r.Widgets = append(ws, &r.read, &r.Back)
	r.Under = r.about()
	r.Focus.At = min(r.Focus.At, len(r.Widgets)-1)
}

// checkPitch says what is wrong with a pitch.
func checkPitch(text string) (note string, ok bool) {
	if _, err := readPitch(text); err != nil {
		return err.Error(), false
	}
	return "", true
}

// readPitch reads a pitch in Hz; empty is 0.
func readPitch(text string) (float64, error) {
	text = strings.Replace(strings.TrimSpace(text), ",", ".", 1)
	if text == "" {
		return 0, nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v >= port.PitchLowHz && v <= port.PitchHighHz) {
		return 0, fmt.Errorf("the pitch lies between %.0f and %.0f Hz", port.PitchLowHz, port.PitchHighHz)
	}
	return v, nil
}

// checkCall says what is wrong with a call.
func checkCall(text string) (note string, ok bool) {
	for _, c := range strings.TrimSpace(text) {
		if !(c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '/') {
			return "a call has letters and figures", false
		}
	}
	return "", true
}

// chosen is what was chosen; an error says which widget is wrong.
func (r *readingAs) chosen() (as port.ReadAs, wrong kit.Widget, err error) {
	as = port.ReadAs{Sent: sents[r.sent.At], Side: sides[r.side.At], Alone: r.take.At == 1}
	if as.Sent != port.SentCW {
		return as, nil, nil
	}
	if as.PitchHz, err = readPitch(r.pitch.Value); err != nil {
		return as, &r.pitch, err
	}
	as.Call = strings.TrimSpace(r.call.Value)
	if note, ok := checkCall(as.Call); !ok {
		return as, &r.call, fmt.Errorf("%s", note)
	}
	return as, nil, nil
}

// begin goes back and has the recording read so.
func (r *readingAs) begin(a *screen.App) {
	as, wrong, err := r.chosen()
	if err != nil {
		for i, w := range r.Widgets {
			if w == wrong {
				r.Focus.At, r.Focus.Visible = i, true
			}
		}
		a.Say(kit.UpperStart(err.Error()) + ".")
		return
	}
	r.owner.as = as
	a.Scenes.Pop(a)
	if strings.TrimSpace(r.owner.file.Value) != "" {
		r.owner.begin(a)
	}
}

// Leave implements Scene.
func (*readingAs) Leave(*screen.App) {}

// Update implements Scene.
func (r *readingAs) Update(a *screen.App) {
	r.place(a, r.Lay(a), a.Type.LineHeight(kit.Body))
	r.update(a)
}

// Draw implements Scene.
func (r *readingAs) Draw(a *screen.App, c *kit.Canvas) { r.draw(a, c, func() {}) }

// asWords say what a recording is taken for; "" where all of it is found out.
func asWords(as port.ReadAs) string {
	var words []string
	switch as.Sent {
	case port.SentVoice:
		words = append(words, "speech")
	case port.SentCW:
		words = append(words, "CW")
		if as.PitchHz > 0 {
			words = append(words, fmt.Sprintf("pitch %.0f Hz", as.PitchHz))
		}
		if as.Call != "" {
			words = append(words, "call "+as.Call)
		}
	}
	if as.Side != port.SideFound {
		own := "microphone"
		if as.Sent == port.SentCW {
			own = "sidetone"
		}
		words = append(words, own+" on the "+as.Side+" side")
	}
	if as.Alone {
		words = append(words, "the receiver alone")
	}
	return strings.Join(words, ", ")
}
