package soundfile

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"
	"time"
)

// readAll reads a stream in pieces of an odd size.
func readAll(s *Stream) ([]float32, error) {
	var all []float32
	buf := make([]float32, 37*s.Channels())
	for {
		n, err := s.Read(buf)
		all = append(all, buf[:n*s.Channels()]...)
		if err != nil {
			return all, err
		}
	}
}

// amplitude is that of a tone in one side, by correlation over the middle.
func amplitude(x []float32, channels, side, rate int, hz float64) float64 {
	n := len(x) / channels
	from, to := n/4, n/4+rate/10 // a tenth of a second: whole periods of 1000 and 1500 Hz
	var c, s float64
	for i := from; i < to; i++ {
		a := 2 * math.Pi * hz * float64(i) / float64(rate)
		c += float64(x[i*channels+side]) * math.Cos(a)
		s += float64(x[i*channels+side]) * math.Sin(a)
	}
	return 2 * math.Hypot(c, s) / float64(to-from)
}

// Files written by another program (testdata/README.md).
func TestFilesOfAnotherProgram(t *testing.T) {
	for _, c := range []struct {
		file, format string
		rate         int
		within       float64 // of the amplitude
		frames       int     // 0: an encoder pads
	}{
		{"u8.wav", "WAV", 8000, 0.004, 2000},
		{"s16.wav", "WAV", 8000, 0.0001, 2000},
		{"s24.wav", "WAV", 8000, 0.0001, 2000},
		{"s32.wav", "WAV", 8000, 0.0001, 2000},
		{"f32.wav", "WAV", 8000, 0.0001, 2000},
		{"f64.wav", "WAV", 8000, 0.0001, 2000},
		{"a-law.wav", "WAV", 8000, 0.01, 2000},
		{"mu-law.wav", "WAV", 8000, 0.01, 2000},
		{"s16.flac", "FLAC", 8000, 0.0001, 2000},
		{"s24.flac", "FLAC", 8000, 0.0001, 2000},
		{"vorbis.ogg", "Ogg Vorbis", 16000, 0.02, 4000},
		{"layer3.mp3", "MP3", 16000, 0.03, 0}, // its encoder takes 5 % off; SoX reads 0.478 from it
	} {
		t.Run(c.file, func(t *testing.T) {
			b, err := os.ReadFile(filepath.Join("testdata", c.file))
			if err != nil {
				t.Fatal(err)
			}
			s, err := Open(bytes.NewReader(b))
			if err != nil {
				t.Fatal(err)
			}
			if s.Format != c.format || s.Rate() != c.rate || s.Channels() != 2 {
				t.Fatalf("%s, %d Hz, %d channels", s.Format, s.Rate(), s.Channels())
			}
			x, err := readAll(s)
			if err != io.EOF {
				t.Error(err)
			}
			if n := len(x) / 2; c.frames > 0 && n != c.frames || n < c.rate/4 {
				t.Errorf("%d frames", n)
			}
			for side, hz := range []float64{1000, 1500} {
				if a := amplitude(x, 2, side, c.rate, hz); math.Abs(a-0.5) > c.within {
					t.Errorf("side %d: %.4f at %.0f Hz", side, a, hz)
				}
				if a := amplitude(x, 2, 1-side, c.rate, hz); a > 0.02 {
					t.Errorf("side %d: %.4f at %.0f Hz, which is the other's", 1-side, a, hz)
				}
			}
		})
	}
}

// chunkOf writes a RIFF chunk.
func chunkOf(name string, body []byte) []byte {
	b := append([]byte(name), 0, 0, 0, 0)
	binary.LittleEndian.PutUint32(b[4:], uint32(len(body)))
	b = append(b, body...)
	if len(body)%2 == 1 {
		b = append(b, 0)
	}
	return b
}

func format16(rate, channels int) []byte {
	b := binary.LittleEndian.AppendUint16(nil, codePCM)
	b = binary.LittleEndian.AppendUint16(b, uint16(channels))
	b = binary.LittleEndian.AppendUint32(b, uint32(rate))
	b = binary.LittleEndian.AppendUint32(b, uint32(rate*channels*2))
	b = binary.LittleEndian.AppendUint16(b, uint16(channels*2))
	return binary.LittleEndian.AppendUint16(b, 16)
}

func riff(kind string, chunks ...[]byte) []byte {
	b := append([]byte(kind), 0xff, 0xff, 0xff, 0xff)
	b = append(b, "WAVE"...)
	for _, c := range chunks {
		b = append(b, c...)
	}
	return b
}

// broadcast is a bext chunk as EBU Tech 3285 lays it out.
func broadcast(date, clock string, samples uint64) []byte {
	b := make([]byte, 602)
	copy(b[320:], date)
	copy(b[330:], clock)
	binary.LittleEndian.PutUint64(b[338:], samples)
	return b
}

func TestTimeStamps(t *testing.T) {
	day := time.Date(2027, 5, 14, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		name, date, clock string
		samples           uint64
		want              time.Time
	}{
		{"clock and count agree", "2027-05-14", "08:12:30", 8000*(8*3600+12*60+30) + 2000, day.Add(8*time.Hour + 12*time.Minute + 30250*time.Millisecond)},
		{"other separators", "2027:05:14", "08-12-30", 0, day.Add(8*time.Hour + 12*time.Minute + 30*time.Second)},
		{"a count from elsewhere", "2027-05-14", "08:12:30", 12345, day.Add(8*time.Hour + 12*time.Minute + 30*time.Second)},
		{"the count alone", "2027-05-14", "\x00\x00\x00\x00\x00\x00\x00\x00", 8000 * 3600, day.Add(time.Hour)},
		{"no day", "0000-00-00", "08:12:30", 0, time.Time{}},
		{"nothing", strings.Repeat("\x00", 10), strings.Repeat("\x00", 8), 0, time.Time{}},
	} {
		b := riff("RIFF", chunkOf("bext", broadcast(c.date, c.clock, c.samples)), chunkOf("fmt ", format16(8000, 1)), chunkOf("data", make([]byte, 160)))
		s, err := Open(bytes.NewReader(b))
		if err != nil {
			t.Fatal(c.name, err)
		}
		if !s.Start.Equal(c.want) {
			t.Errorf("%s: %v, want %v", c.name, s.Start, c.want)
		}
	}
}

func TestLongFilesHaveTheirLengthElsewhere(t *testing.T) {
	for _, kind := range []string{"RF64", "BW64"} {
		ds := make([]byte, 28)
		binary.LittleEndian.PutUint64(ds[8:], 400)
		data := chunkOf("data", make([]byte, 400))
		binary.LittleEndian.PutUint32(data[4:], 0xffffffff)
		b := riff(kind, chunkOf("ds64", ds), chunkOf("fmt ", format16(8000, 2)), data, chunkOf("LIST", make([]byte, 50)))
		s, err := Open(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		x, err := readAll(s)
		if err != io.EOF || len(x) != 200 || s.Frames != 100 {
			t.Errorf("%s: %d samples of %d frames, %v", kind, len(x), s.Frames, err)
		}
	}
}

func TestCutOffIsTold(t *testing.T) {
	data := chunkOf("data", make([]byte, 16000))
	whole := riff("RIFF", chunkOf("fmt ", format16(8000, 1)), data)
	s, err := Open(bytes.NewReader(whole[:len(whole)-8001]))
	if err != nil {
		t.Fatal(err)
	}
	x, err := readAll(s)
	if !errors.Is(err, ErrCut) || len(x) != 3999 || !strings.Contains(err.Error(), "0.5 of 1.0 s") {
		t.Errorf("%d samples, %v", len(x), err)
	}
	b, err := os.ReadFile(filepath.Join("testdata", "s16.flac"))
	if err != nil {
		t.Fatal(err)
	}
	if s, err = Open(bytes.NewReader(b[:len(b)-300])); err != nil {
		t.Fatal(err)
	}
	if x, err := readAll(s); !errors.Is(err, ErrCut) {
		t.Errorf("FLAC: %d samples, %v", len(x), err)
	}
}

func TestWhatIsNotSound(t *testing.T) {
	compressed := format16(8000, 1)
	compressed[0] = 0x11
	for _, c := range []struct {
		data []byte
		want string
	}{
		{nil, "is empty"},
		{[]byte("hello there, this is a letter"), "is not sound that is read here"},
		{[]byte("\x00\x00\x00\x20ftypM4A and so on"), "M4A"},
		{[]byte("FORM\x00\x00\x00\x00AIFFCOMM"), "AIFF"},
		{riff("RIFF", chunkOf("fmt ", compressed)), "is compressed (format 17)"},
		{riff("RIFF", chunkOf("data", make([]byte, 4))), "its sound comes before its format"},
		{riff("RIFF", chunkOf("fmt ", format16(8000, 1))), "holds no sound"},
		{riff("RIFF", chunkOf("fmt ", format16(10, 1)), chunkOf("data", make([]byte, 4))), "a rate of 10 Hz"},
		{riff("RIFF", chunkOf("fmt ", format16(8000, 0)), chunkOf("data", make([]byte, 4))), "has 0 channels"},
		{[]byte("fLaC and nothing of the kind"), "is a damaged FLAC file"},
		{[]byte("OggS and nothing of the kind"), "is an Ogg file without Vorbis sound"},
		{[]byte("ID3\x03\x00\x00\x00\x00\x00\x00 and no frame"), "is not an MP3 file that can be read"},
	} {
		_, err := Open(bytes.NewReader(c.data))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.20q: %v, want %q", c.data, err, c.want)
		}
	}
}

func TestNoSampleIsWild(t *testing.T) {
	f := format16(8000, 1)
	f[0], f[14], f[12] = codeFloat, 32, 4
	var data []byte
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 0.5} {
		data = binary.LittleEndian.AppendUint32(data, math.Float32bits(float32(v)))
	}
	s, err := Open(bytes.NewReader(riff("RIFF", chunkOf("fmt ", f), chunkOf("data", data))))
	if err != nil {
		t.Fatal(err)
	}
	x, _ := readAll(s)
	if len(x) != 4 || x[0] != 0 || x[1] != 8 || x[2] != -8 || x[3] != 0.5 {
		t.Error(x)
	}
}

// Whatever a file holds, reading it ends, in an error or in the end, with
// samples that are numbers.
func FuzzOpen(f *testing.F) {
	files, err := filepath.Glob("testdata/*.*")
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b[:min(len(b), 4000)])
	}
	f.Add(riff("RF64", chunkOf("ds64", make([]byte, 28)), chunkOf("bext", broadcast("2027-05-14", "08:12:30", 7)), chunkOf("fmt ", format16(8000, 1)), chunkOf("data", make([]byte, 40))))
	f.Fuzz(func(t *testing.T, b []byte) {
		s, err := Open(bytes.NewReader(b))
		if err != nil {
			if strings.Contains(err.Error(), "\n") {
				t.Errorf("more than a line: %q", err)
			}
			return
		}
		if _, err := OpenAt(bytes.NewReader(b), 0.1); err != nil {
			t.Errorf("at a moment: %v", err)
		}
		buf := make([]float32, 512*s.Channels())
		for range 4000 {
			n, err := s.Read(buf)
			for _, v := range buf[:n*s.Channels()] {
				if v != v || v > 8 || v < -8 {
					t.Fatal(v)
				}
			}
			if err != nil {
				return
			}
		}
	})
}

// Chunks without end are not gone through for ever.
func TestManyChunksAreNoSound(t *testing.T) {
	many := append([]byte("RIFF\xff\xff\xff\xffWAVE"), bytes.Repeat([]byte("junk\x00\x00\x00\x00"), 1<<20)...)
	r := bytes.NewReader(many)
	if _, err := Open(r); err == nil || !strings.Contains(err.Error(), "holds no sound") {
		t.Errorf("said %v", err)
	}
	if read := len(many) - r.Len(); read > 256<<10 {
		t.Errorf("%d bytes were read before it was told", read)
	}
}

// A medium that is taken away while it is read: one clause that goes on after "the recording".
func TestAFileThatVanishesIsTold(t *testing.T) {
	plain, err := os.ReadFile("testdata/s16.wav")
	if err != nil {
		t.Fatal(err)
	}
	gone := &fs.PathError{Op: "read", Path: "/media/stick/pass.wav", Err: errors.New("input/output error")}
	s, err := Open(io.MultiReader(bytes.NewReader(plain[:len(plain)/2]), iotest.ErrReader(gone)))
	if err != nil {
		t.Fatal(err)
	}
	buf := make([]float32, 1000)
	for err == nil {
		_, err = s.Read(buf)
	}
	if text := err.Error(); !strings.HasPrefix(text, "cannot be read on after ") || !strings.HasSuffix(text, " s (input/output error)") {
		t.Error(text)
	}
}
