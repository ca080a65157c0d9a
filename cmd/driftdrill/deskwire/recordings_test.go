//go:build !nodesk

package deskwire

import (
	"bytes"
	"context"
	"encoding/binary"
	"os"
	"path/filepath"
	"testing"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// soundOf writes a stereo WAV file of so many seconds at 8 kHz, whose left side
// counts its seconds.
func soundOf(t *testing.T, seconds int) string {
	t.Helper()
	var data bytes.Buffer
	for i := range seconds * 8000 {
		binary.Write(&data, binary.LittleEndian, [2]int16{int16(1000 * (i/8000 + 1)), -5})
	}
	var b bytes.Buffer
	b.WriteString("RIFF")
	binary.Write(&b, binary.LittleEndian, uint32(36+data.Len()))
	b.WriteString("WAVEfmt ")
	binary.Write(&b, binary.LittleEndian, []uint16{16, 0, 1, 2, 8000, 0, 32000, 0, 4, 16})
	b.WriteString("data")
	binary.Write(&b, binary.LittleEndian, uint32(data.Len()))
	b.Write(data.Bytes())
	path := filepath.Join(t.TempDir(), "pass.wav")
	if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// A stretch of a recording is read from where it was asked for, and played to
// where its sink has come.
func TestStretchOfARecording(t *testing.T) {
	path := soundOf(t, 5)
	left, right, rate, err := stretchOf(path, 3, 1)
	if err != nil || rate != 8000 || len(left) != 8000 || len(right) != 8000 {
		t.Fatalf("%d and %d samples at %d Hz, %v", len(left), len(right), rate, err)
	}
	if want := float32(4000) / 32768; left[0] != want || left[7999] != want || right[0] >= 0 {
		t.Errorf("left from %g to %g, right %g; the fourth second is %g", left[0], left[7999], right[0], want)
	}
	if left, _, _, err = stretchOf(path, 4.5, 8); err != nil || len(left) != 4000 {
		t.Errorf("at the end: %d samples, %v", len(left), err)
	}
	if _, _, _, err = stretchOf(path, 9, 1); err == nil {
		t.Error("something is heard beyond the end")
	}
	if _, _, _, err = stretchOf(filepath.Join(t.TempDir(), "none.wav"), 0, 1); err == nil {
		t.Error("something is heard of no file")
	}
}

// What was measured becomes a page, and where it was marked a debrief that
// cannot be flown again.
func TestOpenRecording(t *testing.T) {
	w := aWiring(t, port.Settings{})
	path := soundOf(t, 4)
	m := &Measured{Name: "pass.wav", Notes: []string{"a note"}, Facts: [][2]string{{"length", "0:04"}}}
	w.Measure = func(_ context.Context, file string, progress func(doneS, ofS float64)) (*Measured, error) {
		progress(4, 4)
		return m, nil
	}
	told := 0
	rec, err := w.openRecording(t.Context(), path, func(done, total int) { told = done + total })
	if err != nil || rec.Result != nil || len(rec.Facts) != 1 || told != 8 {
		t.Fatalf("%+v, %v, told %d", rec, err, told)
	}
	m.Marks, m.Trace = &scoring.Marks{HoldIndex: 702}, &scoring.Trace{Samples: []scoring.Sample{{Tick: 5}, {Tick: 795}}}
	rec, err = w.openRecording(t.Context(), path, func(int, int) {})
	if err != nil || rec.Result == nil || !rec.Result.Air || rec.About.End != 795 || rec.Result.Marks.HoldIndex != 702 {
		t.Fatalf("%+v, %v", rec, err)
	}
	stop, at, err := rec.Result.Replay(2*sim.TicksPerSecond, sim.TicksPerSecond)
	if err != nil {
		t.Fatal(err)
	}
	if now := at(); now < 2*sim.TicksPerSecond || now > 3*sim.TicksPerSecond {
		t.Errorf("it is played at %.2f s", now.Seconds())
	}
	stop()
}
