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
