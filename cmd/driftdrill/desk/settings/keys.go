//go:build !nodesk

package settings

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/desk/screen"

	"github.com/hajimehoshi/ebiten/v2"
)

// keysPage shows what each key and gamepad button does at the desk and lets
// it be changed. Each change is kept at once.
type keysPage struct {
	screen.Page
	list    kit.List
	sets    []*kit.Button
	actions []keys.Action
	waiting keys.Action // takes the next key; "" = none
	since   int
	twice   map[keys.Trigger][]keys.Action
	foot    kit.Rect
}

func newKeysPage() *keysPage { return &keysPage{} }

// Enter implements Scene.
func (k *keysPage) Enter(a *screen.App) {
	k.actions = port.DeskActions()
	k.list = kit.List{Name: "Keys", Count: len(k.actions), At: k.list.At, DrawRow: k.drawRow(a), Say: func(i int) string { return k.sayRow(a, i) },
		Open: func(i int) { k.ask(a, k.actions[i]) }}
	k.sets = k.sets[:0]
	for _, set := range port.BindingSets() {
		k.sets = append(k.sets, &kit.Button{Text: set.Name, Do: func() { k.take(a, set.Make(), set.Says) }})
	}
	k.twice = a.Set.Bindings.Conflicts(port.DeskActions())
	k.Open(a, "Keys and buttons", "Enter, then a key: that key is added. Delete removes all keys of the line.", &k.list, k.sets[0], k.sets[1], k.sets[2])
}

// Leave implements Scene.
func (k *keysPage) Leave(*screen.App) {}

func (k *keysPage) take(a *screen.App, b keys.Bindings, say string) {
	a.Set.Bindings = b
	k.apply(a)
	k.done(a, say)
}

// done tells of a change and keeps it; where it cannot be kept, that is the last word.
func (k *keysPage) done(a *screen.App, say string) {
	a.Say(say)
	a.Save()
}

func (k *keysPage) apply(a *screen.App) {
	a.Apply(a.Set)
	k.twice = a.Set.Bindings.Conflicts(port.DeskActions())
}

func (k *keysPage) ask(a *screen.App, act keys.Action) {
	k.waiting, k.since = act, a.Frame
	a.Speak("Press the key or button for " + string(act) + ". Escape leaves it as it is.")
}

// Update implements Scene.
func (k *keysPage) Update(a *screen.App) {
	t := a.Type
	body := k.Lay(a)
	foot, body := body.CutBottom(kit.ButtonHeight(t))
	k.foot = foot
	for i, r := range foot.Columns(3, 14) {
		k.sets[i].Rect = r
	}
	_, k.list.Rect = body.CutBottom(16)
	k.list.Columns = 1
	if a.Size.X/t.Size(kit.Body) >= 66 && !a.Set.EarsOnly { // by ear one row follows the other
		k.list.Columns = 2
	}
	k.list.RowHeight = kit.WholeRows(k.list.Rect.H, t.LineHeight(kit.Body)+14)
	if k.waiting != "" {
		k.listen(a)
		return
	}
	if slices.Contains(a.In.NewKeys, ebiten.KeyDelete) && k.Focus.At == 0 {
		k.clear(a, k.actions[k.list.At])
		return
	}
	k.UpdatePage(a)
}

// clear removes every key of an action.
func (k *keysPage) clear(a *screen.App, act keys.Action) {
	a.Set.Bindings[act] = nil
	k.apply(a)
	if left := a.Set.Bindings[act]; len(left) > 0 { // the way out of a run stays
		k.done(a, fmt.Sprintf("%s stays on %s: there must be a way out.", kit.UpperStart(string(act)), left[0].Name()))
		return
	}
	k.done(a, kit.UpperStart(string(act))+" has no key now.")
}

// listen takes the first key or button that goes down.
func (k *keysPage) listen(a *screen.App) {
	if a.Frame == k.since {
		return
	}
	if len(a.In.NewKeys) > 0 {
		if key := a.In.NewKeys[0]; key != ebiten.KeyEscape {
			k.bind(a, keys.Trigger("key:"+key.String()))
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

func (k *keysPage) bind(a *screen.App, t keys.Trigger) {
	act := k.waiting
	k.waiting = ""
	if err := kit.CheckTrigger(t); err != nil {
		a.Say("This key has no name here; take another one.")
		return
	}
	taken := a.Set.Bindings.Bind(port.DeskActions(), act, t)
	k.apply(a)
	say := fmt.Sprintf("%s: %s.", kit.UpperStart(string(act)), t.Spoken())
	if taken != "" {
		say += fmt.Sprintf(" It was %s before.", taken)
		if len(a.Set.Bindings[taken]) == 0 {
			say += fmt.Sprintf(" %s has no key now.", kit.UpperStart(string(taken)))
		}
	}
	k.done(a, say)
}

func (k *keysPage) sayRow(a *screen.App, i int) string {
	act := k.actions[i]
	var names []string
	for _, t := range a.Set.Bindings[act] {
		names = append(names, t.Spoken())
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
func (k *keysPage) clash(a *screen.App, act keys.Action) bool {
	for _, t := range a.Set.Bindings[act] {
		if len(k.twice[t]) > 1 {
			return true
		}
	}
	return false
}

func (k *keysPage) drawRow(a *screen.App) func(*kit.Canvas, int, kit.Rect, bool) {
	return func(c *kit.Canvas, i int, r kit.Rect, chosen bool) {
		act := k.actions[i]
		t := c.Type
		in := kit.Box(r.X+16, r.Y, r.W-38, r.H)
		base := in.Centre().Y + t.Size(kit.Body)*0.35
		w := c.Text(in.X, base, string(act), t.Fit(string(act), kit.Body, in.W*0.5), c.Pal.Ink, kit.Left)
		if k.waiting == act {
			c.Text(in.Right(), base, t.Cut("press a key · Esc leaves it", kit.Body, in.W-w-14), kit.Body, c.Pal.Yours, kit.Right)
			return
		}
		k.chips(a, c, act, in, w)
	}
}

// chips draws the triggers of an action as small key caps, the first one last.
func (k *keysPage) chips(a *screen.App, c *kit.Canvas, act keys.Action, in kit.Rect, used float64) {
	t := c.Type
	x := in.Right()
	h := math.Min(in.H-8, t.LineHeight(kit.Small)+6)
	y := in.Centre().Y - h/2
	ts := a.Set.Bindings[act]
	if len(ts) == 0 {
		c.Text(x, in.Centre().Y+t.Size(kit.Small)*0.35, "no key", kit.Small, c.Pal.Dim, kit.Right)
		return
	}
	for i := len(ts) - 1; i >= 0; i-- {
		name := strings.Replace(ts[i].Name(), "gamepad ", "pad ", 1)
		w := t.Width(name, kit.Small) + 18
		if x-w < in.X+used+12 {
			if i > 0 || len(ts) > 1 {
				c.Text(x, in.Centre().Y+t.Size(kit.Small)*0.35, "…", kit.Small, c.Pal.Dim, kit.Right)
			}
			return
		}
		frame := c.Pal.Rule
		if len(k.twice[ts[i]]) > 1 {
			frame = c.Pal.Yours
			name = "! " + name
			w = t.Width(name, kit.Small) + 18
		}
		r := kit.Box(x-w, y, w, h)
		c.RoundRect(r, 5, c.Pal.PanelHi)
		c.RoundFrame(r.Inset(0.6), 5, 1.2, frame)
		c.Text(r.Centre().X, r.Centre().Y+t.Size(kit.Small)*0.35, name, kit.Small, c.Pal.Ink, kit.Middle)
		x -= w + 7
	}
}

// Draw implements Scene.
func (k *keysPage) Draw(a *screen.App, c *kit.Canvas) { k.DrawPage(a, c) }
