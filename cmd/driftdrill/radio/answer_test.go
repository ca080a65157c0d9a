package radio

import (
	"bufio"
	"strings"
	"testing"
)

// The answers of the daemon's dummy radio, as version 4.5.4 gives them, and
// what its manual page says of others.
func TestAnswers(t *testing.T) {
	read := func(text, name string) (answer, error) {
		return readAnswer(bufio.NewReaderSize(strings.NewReader(text), maxLine), name)
	}
	a, err := read("get_freq:\nFrequency: 145000000\nRPRT 0\n", "get_freq")
	if hz, e := frequencyOf(a); err != nil || e != nil || hz != 145_000_000 {
		t.Errorf("%v, %v, %d", err, e, hz)
	}
	a, err = read("get_freq: currVFO\r\nFrequency: 145000000.600000\r\nRPRT 0\r\n", "get_freq")
	if hz, e := frequencyOf(a); err != nil || e != nil || hz != 145_000_001 {
		t.Errorf("%v, %v, %d", err, e, hz)
	}
	a, err = read("get_mode:\nMode: FM\nPassband: 15000\nRPRT 0\n", "get_mode")
	if m := modeOf(a); err != nil || m != (Mode{"FM", 15000}) {
		t.Errorf("%v, %+v", err, m)
	}
	if m := modeOf(answer{{"Mode", "USB"}, {"Passband", "-1"}}); m != (Mode{Name: "USB"}) {
		t.Errorf("%+v", m)
	}
	a, err = read("get_info:\nInfo: one\ntwo\nRPRT 0\n", "get_info")
	if name, _ := a.get("Info"); err != nil || name != "one" {
		t.Errorf("%v, %q", err, name)
	}
	if _, err = read("RPRT -1\n", "get_freq"); fatal(err) || err == nil {
		t.Errorf("a refusal without a first line: %v", err)
	}
}

// Whatever bytes come, an answer is bounded, and what is shown of it can be read.
func FuzzAnswer(f *testing.F) {
	for _, s := range []string{"get_freq:\nFrequency: 145000000\nRPRT 0\n", "get_freq:\nRPRT -5\n", "RPRT 0\n", "get_freq:\nFrequency: 1e300\nRPRT 0\n",
		"get_freq:;Frequency: 145000000;RPRT 0\n", "145000000\n", "\x00\xff\n", strings.Repeat("x", 600), "get_freq:\nMode: \x1b[2J\nPassband: 99999999999999999999\nRPRT 0\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		a, err := readAnswer(bufio.NewReaderSize(strings.NewReader(string(data)), maxLine), "get_freq")
		if err != nil {
			if text := err.Error(); len(text) > 400 || strings.ContainsAny(text, "\n\r\x1b\x00") {
				t.Errorf("the error is %q", text)
			}
			return
		}
		if len(a) > maxLines {
			t.Errorf("%d fields", len(a))
		}
		if hz, err := frequencyOf(a); err == nil && (hz < 1 || hz > 1e12) {
			t.Errorf("frequency %d", hz)
		} else if err != nil && (len(err.Error()) > 400 || strings.ContainsAny(err.Error(), "\n\x1b")) {
			t.Errorf("the error is %q", err)
		}
		if m := modeOf(a); len([]rune(m.Name)) > maxText || strings.ContainsAny(m.Name, "\n\x1b\x00") || m.PassbandHz < 0 {
			t.Errorf("mode %+v", m)
		}
	})
}
