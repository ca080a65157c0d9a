package speech

import (
	"strings"
	"testing"
	"unicode"
)

// How people read these aloud: common practice, no published source; the
// spelling alphabet is that of the ITU Radio Regulations, appendix 14.
func TestReadsAsPeopleDo(t *testing.T) {
	known := func(w string) bool { return w != "zqx" && !strings.HasPrefix(w, "kowalska") }
	for text, want := range map[string]string{
		"":                                  "",
		"Hello, world. Again":               "hello , world . again",
		"LARK-1 on 145.900 MHz":             "lark one on one hundred and forty five point nine zero zero megahertz",
		"400 Hz too high.":                  "four hundred hertz too high",
		"-12.5 dB":                          "minus twelve point five decibels",
		"+3 dB":                             "plus three decibels",
		"1 min 10 s":                        "one minute ten seconds",
		"61 % of the time":                  "sixty one percent of the time",
		"34° high":                          "thirty four degrees high",
		"at 15:04":                          "at fifteen oh four",
		"at 19:00 UTC":                      "at nineteen hundred U T C",
		"19:04:10":                          "nineteen oh four ten",
		"0:05":                              "zero oh five",
		"Q7OWL":                             "quebec seven oscar whiskey lima",
		"JO40aa":                            "juliett oscar four zero alfa alfa",
		"F1 says it":                        "F one says it",
		"F12, f5":                           "F twelve , F five",
		"F1 s":                              "F one S",
		"FT8 and MP3":                       "F T eight and M P three",
		"RFC3339":                           "R F C three three three nine",
		"F0A, FO1 and 2E0Q":                 "foxtrot zero alfa , F O one and two echo zero quebec",
		"JO40 or IO91":                      "juliett oscar four zero or india oscar nine one",
		"Ü8":                                "eight",
		"press A, then key B":               "press A , then key B",
		"A tick":                            "a tick",
		"zqx":                               "Z Q X",
		"Kowalska's":                        "K O W A L S K A S",
		"the bird's name":                   "the bird's name",
		"10 to 61 Hz/s there":               "ten to sixty one hertz a second there",
		"15-20 minutes":                     "fifteen to twenty minutes",
		"1,234,567":                         "one million two hundred and thirty four thousand five hundred and sixty seven",
		"1000000":                           "one million",
		"2005":                              "two thousand and five",
		"99901":                             "ninety nine thousand nine hundred and one",
		"0042":                              "zero zero four two",
		"12345678901234":                    "one two three four five six seven eight nine zero one two three four",
		"three notches – then wait":         "three notches , then wait",
		"open /home/x.toml":                 "open slash home , X dot T O M L",
		"435MHz":                            "four hundred and thirty five megahertz",
		"best 812 · next":                   "best eight hundred and twelve , next",
		"wait... done":                      "wait . done",
		"1 seconds left":                    "one second left",
		"Esc stops":                         "escape stops",
		"I am here":                         "i am here",
		"turn up/turn down":                 "turn up , turn down",
		"Drill 6, Come back":                "drill six , come back",
		"50.0, 8.0, 150":                    "fifty point zero , eight point zero , one hundred and fifty",
		"50.000° N, 8.000° E, locator JO40": "fifty point zero zero zero degrees N , eight point zero zero zero degrees E , locator juliett oscar four zero",
	} {
		if got := strings.Join(Read(text, known), " "); got != want {
			t.Errorf("%q is read\n\t%s, want\n\t%s", text, got, want)
		}
	}
}

// No token of three characters or fewer stops the reader, whatever it is made of.
func TestReadsEveryShortToken(t *testing.T) {
	signs := []rune("FfTt0189:.,'-/ éß")
	for _, a := range signs {
		for _, b := range signs {
			for _, c := range signs {
				Read(string([]rune{a, b, c}), func(string) bool { return false })
			}
		}
	}
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{"LARK-1 on 145.900 MHz, -12.5 dB.", "1:2:3", "5..6", "a'b'c'", "−1,234", "F", "F1", "9Hz", "F0A", "FT8", "fé", "F1:00:7.5"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, known := range []func(string) bool{func(string) bool { return true }, func(string) bool { return false }} {
			names := Read(text, known)
			for i, n := range names {
				if n == "" || strings.IndexFunc(n, unicode.IsSpace) >= 0 {
					t.Fatalf("%q: word %q", text, n)
				}
				if (n == shortPause || n == longPause) && (i == 0 || i == len(names)-1) {
					t.Fatalf("%q: a pause at an end of %q", text, names)
				}
			}
		}
	})
}

func FuzzIndex(f *testing.F) {
	f.Add("0 100 turn up\n120 50 a\n")
	f.Add("0 -1 x")
	f.Add("99999999999999999999 1 x")
	f.Fuzz(func(t *testing.T, text string) {
		spans, err := readIndex([]byte(text), 1000)
		if err != nil {
			return
		}
		for name, s := range spans {
			if s.start < 0 || s.length <= 0 || s.start+s.length > 1000 {
				t.Fatalf("%q: %+v", name, s)
			}
		}
	})
}
