package port

import "testing"

func TestBindTakesFromTheOther(t *testing.T) {
	b := DefaultBindings()
	if from := b.Bind(DeskActions(), Latch, "key:Space"); from != Key {
		t.Errorf("taken from %q, want %q", from, Key)
	}
	if b.NameOf(Latch) != "Space" || b.NameOf(Key) == "Space" {
		t.Errorf("after binding: latch %q, key %q", b.NameOf(Latch), b.NameOf(Key))
	}
	if len(b.Conflicts(DeskActions())) != 0 {
		t.Errorf("conflicts: %v", b.Conflicts(DeskActions()))
	}
}
