package radio

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// Bounds of an answer: far above what a daemon says. Our choice.
const (
	maxLine  = 512 // bytes, the line end among them
	maxLines = 16
	maxText  = 60 // characters of a name that is shown
)

// field is a line "Frequency: 145000000" of an answer.
type field struct{ name, value string }

// answer is an extended response.
type answer []field

// get is the value of the first field of a name.
func (a answer) get(name string) (string, bool) {
	for _, f := range a {
		if f.name == name {
			return f.value, true
		}
	}
	return "", false
}

// Refusal is the error of a request that the daemon took and could not carry
// out; the connection goes on.
type Refusal struct{ Code int }

// refusals say what the library's public header says of its codes, in plain words.
var refusals = map[int]string{
	-1: "it does not know the request", -4: "it has no way to read this from the radio", -5: "the radio does not answer it: is the radio on, and its cable in?",
	-6: "it cannot reach the radio: is its cable in?", -8: "it does not understand the radio: is it the right model?", -9: "the radio refused",
	-11: "this radio does not tell it", -14: "the radio's line is busy", -19: "it asks for a password", -20: "the radio is off",
}

// Error implements error.
func (r *Refusal) Error() string {
	if why, ok := refusals[r.Code]; ok {
		return fmt.Sprintf("the daemon answers with error %d: %s", r.Code, why)
	}
	return fmt.Sprintf("the daemon answers with error %d", r.Code)
}

// errCut is told of an answer that breaks off.
var errCut = errors.New("the connection was closed in the middle of an answer")

// errGone is told of a connection that ends between two answers.
var errGone = errors.New("the daemon closed the connection")

// strange is told of an answer that is none.
func strange(line string) error {
	return fmt.Errorf("%q is no answer of a rig-control daemon: is another program at this address?", legible(line))
}

// readAnswer reads one extended response to a request: a line that begins with
// its name, fields, and the code. A code other than 0 is a *Refusal; after any
// other error the connection is of no more use.
func readAnswer(in *bufio.Reader, name string) (answer, error) {
	var a answer
	for n := 0; ; n++ {
		line, err := readLine(in)
		if err != nil {
			if n > 0 && errors.Is(err, errGone) {
				err = errCut
			}
			return nil, err
		}
		if n == maxLines {
			return nil, fmt.Errorf("an answer has more than %d lines: is another program at this address?", maxLines)
		}
		if code, is := strings.CutPrefix(line, "RPRT "); is {
			return a.ended(line, code)
		}
		key, value, colon := strings.Cut(line, ":")
		if n == 0 {
			if !colon || key != name {
				return nil, strange(line)
			}
			continue
		}
		if colon {
			a = append(a, field{key, strings.TrimSpace(value)})
		} // a name may have more lines: the first will do
	}
}

// ended reads the code that an answer ends with.
func (a answer) ended(line, code string) (answer, error) {
	n, err := strconv.Atoi(strings.TrimSpace(code))
	switch {
	case err != nil || n > 0 || n < -1000:
		return nil, strange(line)
	case n < 0:
		return nil, &Refusal{n}
	}
	return a, nil
}

// readLine reads a line without its end; a longer one than any answer has is
// not read on.
func readLine(in *bufio.Reader) (string, error) {
	line, err := in.ReadSlice('\n')
	switch {
	case errors.Is(err, bufio.ErrBufferFull):
		return "", strange(string(line[:40]))
	case errors.Is(err, io.EOF) && len(line) > 0:
		return "", errCut
	case errors.Is(err, io.EOF):
		return "", errGone
	case err != nil:
		return "", err
	}
	return strings.TrimRight(string(line), "\r\n"), nil
}

// legible cuts a text and leaves out what is not printed.
func legible(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsPrint(r) && r != unicode.ReplacementChar {
			return r
		}
		return -1
	}, s)
	if r := []rune(s); len(r) > maxText {
		s = string(r[:maxText])
	}
	return strings.TrimSpace(s)
}

// frequencyOf reads a frequency in hertz, 1 Hz to 1 THz, which some radios
// tell with a fraction.
func frequencyOf(a answer) (int64, error) {
	text, ok := a.get("Frequency")
	hz, err := strconv.ParseFloat(text, 64)
	if !ok || err != nil || !(hz >= 1 && hz <= 1e12) {
		return 0, strange("Frequency: " + text)
	}
	return int64(math.Round(hz)), nil
}

// Mode is how a radio is set.
type Mode struct {
	Name       string // "USB"; "" = not told
	PassbandHz int    // 0 = not told
}

// modeOf reads a mode; what a radio does not tell stays empty.
func modeOf(a answer) Mode {
	name, _ := a.get("Mode")
	width, _ := a.get("Passband")
	hz, err := strconv.Atoi(width)
	if err != nil || hz < 0 || hz > 1e7 {
		hz = 0
	}
	return Mode{legible(name), hz}
}
