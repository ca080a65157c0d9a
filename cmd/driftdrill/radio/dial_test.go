package radio

import (
	"testing"

	"pgregory.net/rapid"
)

func TestDialByMovement(t *testing.T) {
	var d Dial
	for i, c := range []struct {
		hz   int64
		want Turn
	}{
		{14_250_000, Turn{}}, // the first is where it begins
		{14_250_000, Turn{}},
		{14_250_001, Turn{By: 1}},
		{14_249_991, Turn{By: -10}},
		{14_269_991, Turn{By: 20_000}},
		{14_289_992, Turn{News: Jumped}}, // one hertz more than a hand
		{14_289_993, Turn{By: 1}},
		{435_140_000, Turn{News: Jumped}},
		{435_139_950, Turn{By: -50}},
	} {
		if got := d.Read(ByMovement, c.hz, 145_900_000); got != c.want {
			t.Errorf("reading %d: %+v, want %+v", i, got, c.want)
		}
	}
	d.Forget()
	if got := d.Read(ByMovement, 435_139_000, 0); got != (Turn{}) {
		t.Errorf("after a loss: %+v", got)
	}
}

func TestDialByFrequency(t *testing.T) {
	var d Dial
	for i, c := range []struct {
		hz, run int64
		want    Turn
	}{
		{435_140_000, 435_131_000, Turn{To: 435_140_000}}, // at once where it stands
		{435_140_000, 435_140_000, Turn{}},
		{435_140_000, 435_140_200, Turn{}}, // a key has turned: the radio rests
		{435_140_001, 435_140_200, Turn{To: 435_140_001}},
		{435_190_000, 435_140_001, Turn{To: 435_190_000}}, // a swap within the band is where the dial is
		{145_900_000, 435_190_000, Turn{News: Far}},
		{145_900_100, 435_190_000, Turn{}},
		{435_190_000, 435_190_000, Turn{News: NearNow}},
		{436_190_000, 435_190_000, Turn{To: 436_190_000}},
		{437_190_001, 436_190_000, Turn{News: Far}},
		{437_190_000, 436_190_000, Turn{News: NearNow, To: 437_190_000}},
	} {
		if got := d.Read(ByFrequency, c.hz, c.run); got != c.want {
			t.Errorf("reading %d: %+v, want %+v", i, got, c.want)
		}
	}
}

// By movement the run's dial has moved as far as the radio's, jumps left out,
// however it was turned.
func TestDialLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var d Dial
		hz, sum, jumps := int64(7_100_000), int64(0), int64(0)
		d.Read(ByMovement, hz, 0)
		for _, by := range rapid.SliceOf(rapid.Int64Range(-60_000, 60_000)).Draw(t, "turns") {
			turn := d.Read(ByMovement, hz+by, 0)
			hz += by
			if sum += turn.By; turn.News == Jumped {
				jumps += by
			}
		}
		if hz-7_100_000 != sum+jumps {
			t.Fatalf("turned %d Hz, the run by %d, jumps %d", hz-7_100_000, sum, jumps)
		}
	})
}

func TestReadWay(t *testing.T) {
	for text, want := range map[string]Way{"": ByMovement, "movement": ByMovement, "frequency": ByFrequency} {
		if got, err := ReadWay(text); got != want || err != nil {
			t.Errorf("%q: %q, %v", text, got, err)
		}
	}
	if _, err := ReadWay("sideways"); err == nil {
		t.Error("sideways is a way")
	}
}
