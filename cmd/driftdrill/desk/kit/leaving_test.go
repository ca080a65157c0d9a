//go:build !nodesk

package kit

import (
	"slices"
	"strings"
	"testing"

	"driftdrill/cmd/driftdrill/desk/kit/keys"

	"github.com/hajimehoshi/ebiten/v2"
)

// digits takes texts that end in 0.
func digits(v string) (string, bool) {
	if v != "" && !strings.HasSuffix(v, "0") {
		return "it does not end in 0", false
	}
	return "", true
}

// What is typed is taken when the keys leave the field, whole or not at all: half
// of it is never taken, and what is refused leaves what stood there in force.
func TestTextIsTakenAsItIsLeft(t *testing.T) {
	var taken []string
	ways := map[string]func(k *typist){
		"Tab":       func(k *typist) { k.press(ebiten.KeyTab) },
		"Enter":     func(k *typist) { k.press(ebiten.KeyEnter) },
		"down":      func(k *typist) { k.press(ebiten.KeyArrowDown) },
		"up":        func(k *typist) { k.press(ebiten.KeyArrowUp) },
		"mouse":     func(k *typist) { k.click(150, 520) },
		"the page":  func(k *typist) { k.focus.Leave(k.a); k.a.Speak("another page") },
		"it is off": func(k *typist) { k.ws = k.ws[1:]; k.update() },
	}
	for name, leave := range ways {
		for _, c := range []struct {
			typed string
			taken []string
			says  string // "" = nothing of the field
		}{
			{"50", []string{"15050"}, ""},
			{"5", nil, "150 stays: it does not end in 0."},
		} {
			taken = nil
			k := newTypist(t, "150")
			k.field.Check = digits
			k.field.Done = func(v string) { taken = append(taken, v) }
			k.press(ebiten.KeyEnd)
			k.types(c.typed)
			if len(taken) != 0 {
				t.Errorf("%s: taken while it is typed: %q", name, taken)
			}
			k.spoken = nil
			leave(k)
			k.a.Speak("")
			all := strings.Join(k.spoken, " | ")
			if !slices.Equal(taken, c.taken) || strings.Contains(all, "stays") != (c.says != "") || !strings.Contains(all, c.says) {
				t.Errorf("%s after %q: taken %q, said %q", name, c.typed, taken, all)
			}
			if c.says != "" && k.a.toast.text != c.says {
				t.Errorf("%s: shown %q", name, k.a.toast.text)
			}
		}
	}
}

// click presses the mouse at a place and lets it go.
func (k *typist) click(x, y float64) {
	k.dev.MouseAt.X, k.dev.MouseAt.Y, k.dev.Left = x, y, true
	k.update()
	k.dev.Left = false
	k.update()
}

// What was refused stays to be mended, says that it is not in force, and is taken
// once it is right; a field that was not touched takes nothing.
func TestRefusedTextIsMended(t *testing.T) {
	var taken []string
	k := newTypist(t, "150")
	k.field.Check = digits
	k.field.Done = func(v string) { taken = append(taken, v) }
	k.press(ebiten.KeyTab)
	k.press(ebiten.KeyShift, ebiten.KeyTab)
	if len(taken) != 0 {
		t.Fatalf("nothing was typed, taken %q", taken)
	}
	k.press(ebiten.KeyEnd)
	k.types("5")
	k.press(ebiten.KeyTab)
	if got := k.spoken[len(k.spoken)-1]; got != "150 stays: it does not end in 0. Two, empty. Type it." { // one text: neither takes the word from the other
		t.Errorf("said %q", got)
	}
	if got := k.field.Spoken(); got != "One: 1505. 150 stays: it does not end in 0." || k.field.Value != "1505" {
		t.Errorf("gone back to: %q", got)
	}
	k.press(ebiten.KeyShift, ebiten.KeyTab)
	k.spoken = nil
	k.press(ebiten.KeyTab)
	if got := k.spoken[0]; strings.Contains(got, "stays") {
		t.Errorf("it was not touched again: %q", got)
	}
	k.press(ebiten.KeyShift, ebiten.KeyTab)
	k.types("7")
	k.press(ebiten.KeyTab)
	if got := k.field.Spoken(); got != "One: 15057. 150 stays: it does not end in 0." {
		t.Errorf("refused twice: %q", got)
	}
	k.press(ebiten.KeyShift, ebiten.KeyTab)
	k.types("0")
	k.press(ebiten.KeyTab)
	if got := k.field.Spoken(); !slices.Equal(taken, []string{"150570"}) || got != "One: 150570" || k.a.toast.text != "" {
		t.Errorf("mended: taken %q, said %q, shown %q", taken, got, k.a.toast.text)
	}
	k.field.Refuse = func(v string) string { return "" } // who has another reason to refuse has the word
	k.press(ebiten.KeyShift, ebiten.KeyTab)
	k.types("3")
	k.press(ebiten.KeyTab)
	if !slices.Equal(taken, []string{"150570", "1505703"}) {
		t.Errorf("taken %q", taken)
	}
	k.field.Value, k.field.Refuse = "", func(string) string { return "never" }
	k.press(ebiten.KeyShift, ebiten.KeyTab)
	k.types("3")
	k.spoken = nil
	k.press(ebiten.KeyTab)
	if got := k.spoken[0]; !strings.HasPrefix(got, "Not taken: never. ") || len(taken) != 2 {
		t.Errorf("nothing stood there: %q, taken %q", got, taken)
	}
}

// A line that is said ahead is said in the same breath as what follows, once, and
// alone where nothing does.
func TestSaidAhead(t *testing.T) {
	w := closed(t)
	w.In = NewInputFrom(newTypist(t, "").dev, keys.MenuBindings())
	var said []string
	w.Voice = func(text string) bool { said = append(said, text); return true }
	w.SayAhead("First")
	w.SayAhead("Second")
	w.Speak("Then this")
	w.Speak("And this")
	w.SayAhead("Last")
	w.host = &pauseHost{}
	if err := w.Update(); err != nil {
		t.Fatal(err)
	}
	if want := []string{"First. Second. Then this.", "And this", "Last."}; !slices.Equal(said, want) || w.Said() != "Last." {
		t.Errorf("said %q, want %q", said, want)
	}
}
