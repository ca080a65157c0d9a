//go:build !nodesk

package desk

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/hajimehoshi/ebiten/v2"
)

// keysPage shows what each key and gamepad button does at the desk and lets
// it be changed.
type keysPage struct {
	page
	list    List
	sets    []*Button
	actions []Action
	waiting Action // takes the next key; "" = none
	since   int
	twice   map[Trigger][]Action
	foot    Rect
}

func newKeysPage() *keysPage { return &keysPage{} }

// Enter implements Scene.
func (k *keysPage) Enter(a *App) {
	k.actions = DeskActions()
	k.list = List{Name: "Keys", Count: len(k.actions), At: k.list.At, DrawRow: k.drawRow(a), Say: func(i int) string { return k.sayRow(a, i) },
		Open: func(i int) { k.ask(a, k.actions[i]) }}
	k.sets = []*Button{
		{Text: "As delivered", Do: func() { k.take(a, DefaultBindings(), "The keys are as delivered.") }},
		{Text: "Right hand alone", Do: func() { k.take(a, RightHand(), "Everything lies under the right hand.") }},
		{Text: "Left hand alone", Do: func() { k.take(a, LeftHand(), "Everything lies under the left hand.") }},
	}
	k.twice = a.Set.Bindings.Conflicts()
	k.open(a, "Keys and buttons", "Enter, then a key: it is added. Delete takes all keys of a line away.", &k.list, k.sets[0], k.sets[1], k.sets[2])
}

// Leave implements Scene.
func (k *keysPage) Leave(a *App) { a.Save() }

func (k *keysPage) take(a *App, b Bindings, say string) {
	a.Set.Bindings = b
	k.apply(a)
	a.Say(say)
}

func (k *keysPage) apply(a *App) {
	a.Apply(a.Set)
	k.twice = a.Set.Bindings.Conflicts()
}

func (k *keysPage) ask(a *App, act Action) {
	k.waiting, k.since = act, a.Frame
	a.Speak("Press the key or button for " + string(act) + ". Escape leaves it as it is.")
}

// Update implements Scene.
func (k *keysPage) Update(a *App) {
	t := a.Type
	body := k.lay(a)
	foot, body := body.CutBottom(buttonHeight(t))
	k.foot = foot
	for i, r := range foot.Columns(3, 14) {
		k.sets[i].Rect = r
	}
	_, k.list.Rect = body.CutBottom(16)
	k.list.Columns = 1
	if a.Size.X/t.Size(Body) >= 66 && !a.Set.EarsOnly { // by ear one row follows the other
		k.list.Columns = 2
	}
	k.list.RowHeight = wholeRows(k.list.Rect.H, t.LineHeight(Body)+14)
	if k.waiting != "" {
		k.listen(a)
		return
	}
	if slices.Contains(a.In.NewKeys, ebiten.KeyDelete) && k.focus.At == 0 {
		k.clear(a, k.actions[k.list.At])
		return
	}
	k.update(a)
}

// clear takes every key of an action away.
func (k *keysPage) clear(a *App, act Action) {
	a.Set.Bindings[act] = nil
	k.apply(a)
	if left := a.Set.Bindings[act]; len(left) > 0 { // the way out of a run stays
		a.Say(fmt.Sprintf("%s stays on %s: there must be a way out.", upperStart(string(act)), left[0].Name()))
		return
	}
	a.Say(upperStart(string(act)) + " has no key now.")
}

// listen takes the first key or button that goes down.
func (k *keysPage) listen(a *App) {
	if a.Frame == k.since {
		return
	}
	if len(a.In.NewKeys) > 0 {
		if key := a.In.NewKeys[0]; key != ebiten.KeyEscape {
			k.bind(a, Trigger("key:"+key.String()))
			return
		}
		k.waiting = ""
		a.Speak("Left as it is.")
		return
	}
	if b := a.In.NewButtons(); len(b) > 0 {
		k.bind(a, b[0])
	}
}

func (k *keysPage) bind(a *App, t Trigger) {
	act := k.waiting
	k.waiting = ""
	if _, err := t.parse(); err != nil {
		a.Say("This key has no name here; take another one.")
		return
	}
	taken := a.Set.Bindings.Bind(act, t)
	k.apply(a)
	say := fmt.Sprintf("%s: %s.", upperStart(string(act)), t.spoken())
	if taken != "" {
		say += fmt.Sprintf(" It was %s before.", taken)
		if len(a.Set.Bindings[taken]) == 0 {
			say += fmt.Sprintf(" %s has no key now.", upperStart(string(taken)))
		}
	}
	a.Say(say)
}

// spoken is a trigger's name in words only.
func (t Trigger) spoken() string {
	n := t.Name()
	for sign, word := range map[string]string{"↑": "up arrow", "↓": "down arrow", "←": "left arrow", "→": "right arrow", "-": "minus", "=": "equals",
		",": "comma", ".": "full stop", "[": "left bracket", "]": "right bracket"} {
		if n == sign {
			return word
		}
	}
	return n
}

func (k *keysPage) sayRow(a *App, i int) string {
	act := k.actions[i]
	var names []string
	for _, t := range a.Set.Bindings[act] {
		names = append(names, t.spoken())
	}
	if len(names) == 0 {
		names = []string{"no key"}
	}
	text := string(act) + ": " + strings.Join(names, ", ")
	if k.clash(a, act) {
		text += ". One of them does something else too"
	}
	return text + "."
}

// clash tells whether one of an action's triggers stands for another action too.
func (k *keysPage) clash(a *App, act Action) bool {
	for _, t := range a.Set.Bindings[act] {
		if len(k.twice[t]) > 1 {
			return true
		}
	}
	return false
}

func (k *keysPage) drawRow(a *App) func(*App, *Canvas, int, Rect, bool) {
	return func(a *App, c *Canvas, i int, r Rect, chosen bool) {
		act := k.actions[i]
		t := c.Type
		in := Rect{r.X + 16, r.Y, r.W - 38, r.H}
		base := in.Centre().Y + t.Size(Body)*0.35
		w := c.Text(in.X, base, string(act), t.Fit(string(act), Body, in.W*0.5), c.Pal.Ink, Left)
		if k.waiting == act {
			c.Text(in.Right(), base, t.Cut("press a key · Esc leaves it", Body, in.W-w-14), Body, c.Pal.Yours, Right)
			return
		}
		k.chips(a, c, act, in, w)
	}
}

// chips draws the triggers of an action as small key caps, the first one last.
func (k *keysPage) chips(a *App, c *Canvas, act Action, in Rect, used float64) {
	t := c.Type
	x := in.Right()
	h := math.Min(in.H-8, t.LineHeight(Small)+6)
	y := in.Centre().Y - h/2
	ts := a.Set.Bindings[act]
	if len(ts) == 0 {
		c.Text(x, in.Centre().Y+t.Size(Small)*0.35, "no key", Small, c.Pal.Dim, Right)
		return
	}
	for i := len(ts) - 1; i >= 0; i-- {
		name := strings.Replace(ts[i].Name(), "gamepad ", "pad ", 1)
		w := t.Width(name, Small) + 18
		if x-w < in.X+used+12 {
			if i > 0 || len(ts) > 1 {
				c.Text(x, in.Centre().Y+t.Size(Small)*0.35, "…", Small, c.Pal.Dim, Right)
			}
			return
		}
		frame := c.Pal.Rule
		if len(k.twice[ts[i]]) > 1 {
			frame = c.Pal.Yours
			name = "! " + name
			w = t.Width(name, Small) + 18
		}
		r := Rect{x - w, y, w, h}
		c.RoundRect(r, 5, c.Pal.PanelHi)
		c.RoundFrame(r.Inset(0.6), 5, 1.2, frame)
		c.Text(r.Centre().X, r.Centre().Y+t.Size(Small)*0.35, name, Small, c.Pal.Ink, Middle)
		x -= w + 7
	}
}

// Draw implements Scene.
func (k *keysPage) Draw(a *App, c *Canvas) { k.draw(a, c) }

// RightHand are bindings that one right hand reaches, round the arrow keys and
// the number pad. No two keys are needed at once.
func RightHand() Bindings {
	b := DefaultBindings()
	for a, t := range map[Action][]Trigger{
		Key: {"key:ControlRight", "pad:FrontTopRight"}, Latch: {"key:Enter", "pad:RightBottom"},
		Fast: {"key:ShiftRight", "pad:FrontTopLeft"}, StepSmaller: {"key:Delete", "pad:FrontBottomLeft"}, StepLarger: {"key:Insert", "pad:FrontBottomRight"},
		ReceiveUp: {"key:Home"}, ReceiveDown: {"key:End"}, Pause: {"key:Backspace", "key:Escape", "pad:CenterRight"},
		AimLeft: {"key:Numpad4"}, AimRight: {"key:Numpad6"}, AimUp: {"key:Numpad8"}, AimDown: {"key:Numpad2"},
		TwistLeft: {"key:Numpad7"}, TwistRight: {"key:Numpad9"}, SpeakAgain: {"key:Numpad0", "key:F1"},
	} {
		b[a] = t
	}
	return b
}

// LeftHand are bindings that one left hand reaches at the left end of the
// keyboard. No two keys are needed at once.
func LeftHand() Bindings {
	b := DefaultBindings()
	for a, t := range map[Action][]Trigger{
		TurnUp: {"key:W", "pad:LeftTop"}, TurnDown: {"key:S", "pad:LeftBottom"}, FastUp: {"key:Digit2"}, FastDown: {"key:X"},
		Fast: {"key:ShiftLeft", "pad:FrontTopLeft"}, StepSmaller: {"key:Q", "pad:FrontBottomLeft"}, StepLarger: {"key:E", "pad:FrontBottomRight"},
		ReceiveUp: {"key:Digit3"}, ReceiveDown: {"key:C"}, AimLeft: {"key:A"}, AimRight: {"key:D"}, AimUp: {"key:R"}, AimDown: {"key:F"},
		TwistLeft: {"key:Z"}, TwistRight: {"key:V"}, SpeakAgain: {"key:Digit1", "key:F1"}, Pause: {"key:Escape", "pad:CenterRight"},
	} {
		b[a] = t
	}
	return b
}
