//go:build !nodesk

package flying

import (
	"fmt"

	"driftdrill/cmd/driftdrill/desk/kit"
	"driftdrill/cmd/driftdrill/desk/kit/keys"
	"driftdrill/cmd/driftdrill/desk/screen"
)

// trouble says what went wrong in one line and what can be done.
type trouble struct {
	title   string
	err     error
	focus   kit.Focus
	button  kit.Button
	widgets []kit.Widget
}

func newTrouble(title string, err error) *trouble { return &trouble{title: title, err: err} }

// Enter implements Scene.
func (t *trouble) Enter(a *screen.App) {
	t.button = kit.Button{Text: "Back", Primary: true, Do: a.GoBack}
	t.widgets = []kit.Widget{&t.button}
	t.focus.Visible = true
	a.Speak(fmt.Sprintf("%s: %v", t.title, t.err))
}

// Leave implements Scene.
func (t *trouble) Leave(a *screen.App) {}

// Update implements Scene.
func (t *trouble) Update(a *screen.App) {
	h := kit.ButtonHeight(a.Type)
	t.button.Rect = kit.Box(a.Size.X/2-110, a.Size.Y*0.62, 220, h)
	if a.In.Pressed(keys.Back) {
		t.button.Do()
		return
	}
	t.focus.Update(a.Window, t.widgets)
}

// Draw implements Scene.
func (t *trouble) Draw(a *screen.App, c *kit.Canvas) {
	w := a.Size.X * 0.7
	x, y := a.Size.X*0.15, a.Size.Y*0.32
	c.Text(x, y, t.title, kit.Title, c.Pal.Ink, kit.Left)
	c.Paragraph(x, y+c.Type.LineHeight(kit.Title), w, t.err.Error(), kit.Body, c.Pal.Dim)
	t.focus.Draw(a.Window, c, t.widgets)
}
