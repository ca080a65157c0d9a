package radio

import (
	"errors"
	"io"
	"net"
	"strings"
	"testing"
	"time"
)

// A radio is read, its dial is followed, and nothing but the three requests is
// ever sent, at the end neither.
func TestRadioIsReadAndNothingElse(t *testing.T) {
	t.Parallel()
	s := serve(t, honest)
	w, h := watch(t, s.address)
	until(t, "the first reading", func() bool { return h.count(at(435_140_000)) > 0 })
	for hz := int64(435_140_010); hz <= 435_140_100; hz += 10 {
		s.hz.Store(hz)
		until(t, "the dial's new place", func() bool { return h.count(at(hz)) > 0 })
	}
	until(t, "the mode", func() bool { return w.State().Mode.Name != "" })
	st := w.State()
	if !st.Connected || st.Trouble != nil || st.Name != "Nothing much" || st.Mode != (Mode{"USB", 2400}) || st.Hz != 435_140_100 || st.Lost != 0 {
		t.Errorf("%+v", st)
	}
	w.Close()
	sent := s.sent()
	if !strings.HasPrefix(sent, "+_\n+f\n") || !strings.Contains(sent, "+m\n") {
		t.Errorf("sent %.60q", sent)
	}
	n := h.count(func(Event) bool { return true })
	s.hz.Store(1)
	if h.count(func(Event) bool { return true }) != n || s.opened.Load() != 1 {
		t.Errorf("told of something after the end, or %d connections", s.opened.Load())
	}
}

// It is asked no more than 30 times a second, and hardly at all while nobody
// follows.
func TestRadioIsAskedAtItsPace(t *testing.T) {
	t.Parallel()
	s := serve(t, honest)
	began := time.Now()
	w, h := Watch(s.address), &heard{}
	t.Cleanup(w.Close)
	leave := w.Follow(h.add)
	until(t, "forty readings", func() bool { return h.count(at(435_140_000)) >= 40 })
	if took := time.Since(began); took < 39*time.Second/30 {
		t.Errorf("forty readings within %v: more than 30 a second", took)
	}
	leave()
	asked := func() int { return strings.Count(s.sent(), "+f\n") }
	before, since := asked(), time.Now()
	until(t, "two readings more", func() bool { return asked() >= before+2 })
	if took := time.Since(since); took < 900*time.Millisecond {
		t.Errorf("two readings within %v while nobody follows", took)
	}
	more := &heard{}
	w.Follow(more.add)
	leave() // who has left cannot send away who follows now
	until(t, "a reading for who follows now", func() bool { return more.count(at(435_140_000)) > 0 })
}

// Whatever a server does the program says one clear line, connects again, and
// sends nothing but its requests (onlyReads at the end of every test).
func TestRadioThatGoesWrong(t *testing.T) {
	t.Parallel()
	say := func(text string) answering {
		return func(s *recordingServer, c net.Conn, line string) bool {
			_, err := io.WriteString(c, text)
			return err == nil
		}
	}
	onF := func(do answering) answering {
		return func(s *recordingServer, c net.Conn, line string) bool {
			if line == "+f" {
				return do(s, c, line)
			}
			return honest(s, c, line)
		}
	}
	for name, c := range map[string]struct {
		do   answering
		want string
	}{
		"closes at once": {func(*recordingServer, net.Conn, string) bool { return false }, "the daemon closed the connection"},
		"closes in the middle": {onF(func(s *recordingServer, c net.Conn, _ string) bool {
			io.WriteString(c, "get_freq:\nFrequ")
			return false
		}), "in the middle of an answer"},
		"closes between lines":   {onF(func(s *recordingServer, c net.Conn, _ string) bool { io.WriteString(c, "get_freq:\n"); return false }), "in the middle of an answer"},
		"never answers":          {nil, "no answer within 3 s"},
		"another protocol":       {say("HTTP/1.1 400 Bad Request\r\n\r\n"), `"HTTP/1.1 400 Bad Request" is no answer of a rig-control daemon`},
		"garbage":                {say("\x00\xff\x1b[31m\x07\n"), `"[31m" is no answer`},
		"a line without end":     {say(strings.Repeat("a", 1<<16)), "is no answer"},
		"lines without end":      {say("get_info:\n" + strings.Repeat("Info: x\n", 100)), "more than 16 lines"},
		"the wrong answer":       {onF(say("get_mode:\nMode: USB\nRPRT 0\n")), `"get_mode:" is no answer`},
		"a frequency of words":   {onF(say("get_freq:\nFrequency: lots\nRPRT 0\n")), `"Frequency: lots"`},
		"a frequency of nothing": {onF(say("get_freq:\nRPRT 0\n")), `"Frequency:"`},
		"a negative frequency":   {onF(say("get_freq:\nFrequency: -7\nRPRT 0\n")), `"Frequency: -7"`},
		"no number":              {onF(say("get_freq:\nFrequency: NaN\nRPRT 0\n")), `"Frequency: NaN"`},
		"a code that is none":    {onF(say("RPRT x\n")), `"RPRT x"`},
		"the radio is off":       {onF(say("get_freq:\nRPRT -5\n")), "error -5: the radio does not answer it"},
		"a code nobody knows":    {onF(say("get_freq:\nRPRT -77\n")), "the daemon answers with error -77"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := serve(t, c.do)
			w, h := watch(t, s.address)
			until(t, "the trouble", func() bool { return w.State().Trouble != nil })
			got := w.State().Trouble.Error()
			if !strings.Contains(got, c.want) || strings.ContainsAny(got, "\n\x1b\x00") {
				t.Errorf("%q, want %q in it", got, c.want)
			}
			if w.State().Connected || h.count(func(Event) bool { return true }) > 0 {
				t.Error("told of something that was never read")
			}
		})
	}
}

// A daemon that is not there.
func TestNoRadio(t *testing.T) {
	t.Parallel()
	const address = "127.0.0.1:1" // nobody listens there; a port that was free a moment ago another test may have by now
	w, _ := watch(t, address)
	until(t, "the refusal", func() bool { return w.State().Trouble != nil })
	if got, want := w.State().Trouble.Error(), "nothing listens at "+address+": is the rig-control daemon running?"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// A loss is told once, and the readings go on after it; the radio is asked
// again with pauses in between.
func TestRadioIsLostAndComesBack(t *testing.T) {
	t.Parallel()
	s := serve(t, honest)
	w, h := watch(t, s.address)
	for round := range 2 {
		before := h.count(at(435_140_000))
		until(t, "a reading", func() bool { return h.count(at(435_140_000)) > before })
		began := time.Now()
		s.cut()
		until(t, "the loss", func() bool { return h.count(lost) == round+1 })
		until(t, "the radio again", func() bool { return w.State().Connected })
		if took := time.Since(began); took < firstWait*9/10 {
			t.Errorf("connected again after %v", took)
		}
	}
	if st := w.State(); st.Lost != 2 || h.count(lost) != 2 || s.opened.Load() != 3 {
		t.Errorf("lost %d times, told %d times, %d connections", st.Lost, h.count(lost), s.opened.Load())
	}
}

// A radio that its daemon cannot read for a moment is not lost; for longer it
// is, over the same connection.
func TestRadioThatIsSwitchedOff(t *testing.T) {
	t.Parallel()
	s := serve(t, honest)
	w, h := watch(t, s.address)
	until(t, "a reading", func() bool { return h.count(at(435_140_000)) > 3 })
	s.refused.Store(-5)
	until(t, "the loss", func() bool { return h.count(lost) == 1 })
	if err := w.State().Trouble; err == nil || !strings.Contains(err.Error(), "is the radio on") {
		t.Errorf("trouble %v", err)
	}
	s.hz.Store(435_141_000)
	s.refused.Store(0)
	until(t, "the radio again", func() bool { return h.count(at(435_141_000)) > 0 })
	if s.opened.Load() != 1 || h.count(lost) != 1 {
		t.Errorf("%d connections, lost %d times", s.opened.Load(), h.count(lost))
	}
}

// Lines that come byte by byte are whole lines, and a slow radio is asked as
// fast as it answers.
func TestRadioThatIsSlow(t *testing.T) {
	t.Parallel()
	s := serve(t, func(s *recordingServer, c net.Conn, line string) bool {
		for _, b := range []byte(s.answer(line)) {
			time.Sleep(2 * time.Millisecond)
			if _, err := c.Write([]byte{b}); err != nil {
				return false
			}
		}
		return true
	})
	_, h := watch(t, s.address)
	until(t, "ten readings", func() bool { return h.count(at(435_140_000)) >= 10 })
	if h.count(lost) > 0 {
		t.Error("a slow radio is lost")
	}
	if h.count(func(e Event) bool { return e.Delay < 60*time.Millisecond }) > 0 { // 41 bytes and more, 2 ms each
		t.Error("an answer took less than its bytes")
	}
}

func TestRadioEndsWhileItWaits(t *testing.T) {
	t.Parallel()
	s := serve(t, nil)
	w := Watch(s.address)
	until(t, "the request", func() bool { return s.sent() != "" })
	began := time.Now()
	w.Close()
	if took := time.Since(began); took > patience*2/3 {
		t.Errorf("the end waited %v for an answer", took)
	}
}

func TestAddress(t *testing.T) {
	for text, want := range map[string]string{"localhost": "localhost:4532", "localhost:4533": "localhost:4533", " 192.0.2.7 ": "192.0.2.7:4532", "[::1]:9": "[::1]:9", "::1": "[::1]:4532"} {
		if got, err := Address(text); err != nil || got != want {
			t.Errorf("%q: %q, %v", text, got, err)
		}
	}
	for _, text := range []string{"", ":4532", "a:b", "a:0", "a:65536", "http://a:4532", "a b", "a:1:2", "a/b"} {
		if got, err := Address(text); err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%q is taken as %q", text, got)
		}
	}
}

func TestPlainWords(t *testing.T) {
	if got := plain(&net.DNSError{Name: "nowhere.invalid", IsNotFound: true}, "nowhere.invalid:4532").Error(); got != "there is no computer named nowhere.invalid" {
		t.Error(got)
	}
	if err := errors.New("other"); plain(err, "") != err {
		t.Error("another error is lost")
	}
}
