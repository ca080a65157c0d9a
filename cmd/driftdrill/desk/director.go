//go:build !nodesk

package desk

// Scene is one screen. Layout is done in Update or Draw from App.Size, which
// may change at any time.
type Scene interface {
	// Enter is called when the scene comes on, also when it is uncovered again.
	Enter(a *App)
	// Update reads a.In and changes the scene's state, 60 times a second.
	Update(a *App)
	// Draw draws; it changes nothing but what belongs to drawing.
	Draw(a *App, c *Canvas)
	// Leave is called when the scene goes off or is covered by an opaque one.
	Leave(a *App)
}

// Overlay is a Scene drawn over the one beneath it, which stands still.
type Overlay interface {
	Scene
	IsOverlay()
}

// Director keeps the scenes: the top one is shown and updated.
type Director struct{ stack []Scene }

// Top returns the scene that is shown, or nil.
func (d *Director) Top() Scene {
	if len(d.stack) == 0 {
		return nil
	}
	return d.stack[len(d.stack)-1]
}

// Depth returns how many scenes there are.
func (d *Director) Depth() int { return len(d.stack) }

// Push puts a scene on top.
func (d *Director) Push(a *App, s Scene) {
	if t := d.Top(); t != nil {
		if _, over := s.(Overlay); !over {
			t.Leave(a)
		}
	}
	d.stack = append(d.stack, s)
	s.Enter(a)
}

// Pop takes the top scene off; the one beneath comes on again.
func (d *Director) Pop(a *App) {
	t := d.Top()
	if t == nil {
		return
	}
	d.stack = d.stack[:len(d.stack)-1]
	t.Leave(a)
	if _, over := t.(Overlay); over {
		return
	}
	if n := d.Top(); n != nil {
		n.Enter(a)
	}
}

// Replace takes every scene off and shows s.
func (d *Director) Replace(a *App, s Scene) {
	for t := d.Top(); t != nil; t = d.Top() {
		d.stack = d.stack[:len(d.stack)-1]
		t.Leave(a)
	}
	d.Push(a, s)
}

// Draw draws the top scene and, where it is an overlay, those beneath it.
func (d *Director) Draw(a *App, c *Canvas) {
	from := len(d.stack) - 1
	for from > 0 {
		if _, over := d.stack[from].(Overlay); !over {
			break
		}
		from--
	}
	for i := max(from, 0); i < len(d.stack); i++ {
		d.stack[i].Draw(a, c)
	}
}
