//go:build !nodesk

package kit

import (
	"testing"
	"time"
)

// Sixty updates a second for some seconds with a program that takes so much of
// a core for itself and so much for each picture: how many pictures there are
// in the last second. Of our choice: half of a core is much.
func TestHalfThePicturesWhereTheyAreDear(t *testing.T) {
	for name, c := range map[string]struct {
		own     float64       // cores
		picture time.Duration // of one core
		known   bool
		want    int
	}{
		"graphics hardware":             {0.15, time.Millisecond, true, 60},
		"just under half a core":        {0.15, 5 * time.Millisecond, true, 60},
		"in software":                   {0.15, 20 * time.Millisecond, true, 30},
		"just above half a core":        {0.15, 6500 * time.Microsecond, true, 30},
		"a small computer, all of it":   {0.6, 10 * time.Millisecond, true, 30},
		"in software, nothing known":    {0.15, 20 * time.Millisecond, false, 60},
		"in software, nothing is flown": {0.02, 0, true, 60},
	} {
		var th thrift
		spent := time.Duration(0)
		if c.known {
			th.spent = func() time.Duration { return spent }
		}
		now, pictures := time.Now(), 0
		for frame := 1; frame <= 60*20; frame++ {
			now = now.Add(time.Second / 60)
			spent += time.Duration(c.own * float64(time.Second) / 60)
			th.look(frame, now)
			if th.skips(frame) {
				continue
			}
			spent += c.picture
			if frame > 60*19 {
				pictures++
			}
		}
		if pictures != c.want {
			t.Errorf("%s: %d pictures in a second, want %d", name, pictures, c.want)
		}
	}
}

// A display that holds nothing back, frames that take so long after they were
// drawn, an update every 60th of a second as the library makes them up: once
// pictures are dear nearly every frame comes with one update, whatever a frame
// takes, and no update is late. Of what it costs without: 1.6 frames an update.
func TestEveryFrameHasAnUpdate(t *testing.T) {
	const update = time.Second / 60
	for _, shown := range []time.Duration{2 * time.Millisecond, 6 * time.Millisecond, 10 * time.Millisecond, 15 * time.Millisecond} {
		th := thrift{halves: true}
		begun := time.Now()
		now, made, frames, empty, late := begun, 0, 0, 0, 0
		for now.Sub(begun) < 20*time.Second {
			due := int(now.Sub(begun)/update) - made
			made += due
			if due > 0 {
				th.look(made, now)
			}
			if now.Sub(begun) > 5*time.Second {
				frames++
				if due == 0 {
					empty++
				}
				if due > 1 {
					late++
				}
			}
			now = now.Add(time.Millisecond) // to draw
			now = now.Add(th.frame(due, now) + shown)
		}
		t.Logf("%v: %d frames, %d without an update, %d with two", shown, frames, empty, late)
		if 5*empty > frames && shown > 3*time.Millisecond || 10*late > frames {
			t.Errorf("a frame takes %v: of %d frames %d come without an update and %d with two", shown, frames, empty, late)
		}
	}
	th := thrift{held: 5 * time.Millisecond}
	th.look(1, time.Now())
	if got := th.frame(1, th.updated); got != 0 {
		t.Errorf("a frame is held back for %v where pictures cost little", got)
	}
}

// Once less is taken, every picture is drawn again; one that takes several
// updates anyway is never left out.
func TestThriftEnds(t *testing.T) {
	spent, now := time.Duration(0), time.Now()
	th := thrift{spent: func() time.Duration { return spent }, halves: true}
	for frame := 1; frame <= 2*thriftEvery; frame++ {
		now, spent = now.Add(time.Second/60), spent+time.Second/60/5
		th.look(frame, now)
	}
	if th.halves {
		t.Error("a fifth of a core, and half the pictures are left out")
	}
	th = thrift{halves: true}
	for frame := 2; frame < 20; frame += 2 {
		if th.skips(frame) {
			t.Errorf("a picture after two updates, in update %d, is left out", frame)
		}
	}
}
