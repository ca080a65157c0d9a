//go:build !nodesk

package kit

// SceneOf is one screen of a program A. Layout is done in Update or Draw from
// Window.Size, which may change at any time.
type SceneOf[A any] interface {
	// Enter is called when the scene comes on, also when it is uncovered again.
	Enter(a A)
	// Update reads a.In and changes the scene's state, 60 times a second.
	Update(a A)
	// Draw draws; it changes nothing but what belongs to drawing.
	Draw(a A, c *Canvas)
	// Leave is called when the scene goes off or is covered by an opaque one.
	Leave(a A)
}

// Overlay is a scene drawn over the one beneath it, which stands still.
type Overlay[A any] interface {
	SceneOf[A]
	IsOverlay()
}

// Director keeps the scenes: the top one is shown and updated.
type Director[A any] struct{ stack []SceneOf[A] }

// Top returns the scene that is shown, or nil.
func (d *Director[A]) Top() SceneOf[A] {
	if len(d.stack) == 0 {
		return nil
	}
	return d.stack[len(d.stack)-1]
}

// Depth returns how many scenes there are.
func (d *Director[A]) Depth() int { return len(d.stack) }

// All returns the scenes, the lowest first.
func (d *Director[A]) All() []SceneOf[A] { return append([]SceneOf[A](nil), d.stack...) }

// Push puts a scene on top.
func (d *Director[A]) Push(a A, s SceneOf[A]) {
	if t := d.Top(); t != nil {
		if _, over := s.(Overlay[A]); !over {
			t.Leave(a)
		}
	}
	d.stack = append(d.stack, s)
	s.Enter(a)
}

// Pop takes the top scene off; the one beneath comes on again.
func (d *Director[A]) Pop(a A) {
	t := d.Top()
	if t == nil {
		return
	}
	d.stack = d.stack[:len(d.stack)-1]
	t.Leave(a)
	if _, over := t.(Overlay[A]); over {
		return
	}
	if n := d.Top(); n != nil {
		n.Enter(a)
	}
}

// Replace takes every scene off and shows s.
func (d *Director[A]) Replace(a A, s SceneOf[A]) {
	for t := d.Top(); t != nil; t = d.Top() {
		d.stack = d.stack[:len(d.stack)-1]
		t.Leave(a)
	}
	d.Push(a, s)
}

// Draw draws the top scene and, where it is an overlay, those beneath it.
func (d *Director[A]) Draw(a A, c *Canvas) {
	from := len(d.stack) - 1
	for from > 0 {
		if _, over := d.stack[from].(Overlay[A]); !over {
			break
		}
		from--
	}
	for i := max(from, 0); i < len(d.stack); i++ {
		d.stack[i].Draw(a, c)
	}
}

// PartScene is a scene that can draw only what has changed since the frame
// before. Under software rendering the ground alone costs half as much as all
// the rest of a frame, so a scene that moves lays it only where it has to.
type PartScene[A any] interface {
	SceneOf[A]
	// DrawParts draws by p.Part; it is called only on a window that Draw has
	// filled before.
	DrawParts(a A, c *Canvas, p *Parts)
}
