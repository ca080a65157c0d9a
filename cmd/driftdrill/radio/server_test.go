package radio

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// recordingServer stands in for a daemon and keeps every byte that it is sent.
type recordingServer struct {
	t       testing.TB
	address string
	hz      atomic.Int64
	refused atomic.Int64 // code with which it answers; 0 = it answers
	opened  atomic.Int64

	mu    sync.Mutex
	bytes []byte
	conns []net.Conn
}

// answering is how a server answers one line; false closes the connection.
type answering func(s *recordingServer, c net.Conn, line string) bool

// honest answers as the daemon's manual page says.
func honest(s *recordingServer, c net.Conn, line string) bool {
	_, err := io.WriteString(c, s.answer(line))
	return err == nil
}

func (s *recordingServer) answer(line string) string {
	name := map[string]string{"+f": "get_freq", "+m": "get_mode", "+_": "get_info"}[line]
	if code := s.refused.Load(); code != 0 {
		return fmt.Sprintf("%s:\nRPRT %d\n", name, code)
	}
	switch line {
	case "+f":
		return fmt.Sprintf("get_freq:\nFrequency: %d\nRPRT 0\n", s.hz.Load())
	case "+m":
		return "get_mode:\nMode: USB\nPassband: 2400\nRPRT 0\n"
	case "+_":
		return "get_info:\nInfo: Nothing much\nRPRT 0\n"
	}
	return "RPRT -1\n"
}

// serve starts a server that answers every line so; nil reads and says nothing.
func serve(t testing.TB, do answering) *recordingServer {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	s := &recordingServer{t: t, address: l.Addr().String()}
	s.hz.Store(435_140_000)
	t.Cleanup(func() { l.Close(); s.cut(); s.onlyReads() })
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			s.opened.Add(1)
			s.mu.Lock()
			s.conns = append(s.conns, c)
			s.mu.Unlock()
			go s.listen(c, do)
		}
	}()
	return s
}

func (s *recordingServer) listen(c net.Conn, do answering) {
	defer c.Close()
	in := bufio.NewReader(io.TeeReader(c, s))
	for {
		line, err := in.ReadString('\n')
		if err != nil {
			return
		}
		if do != nil && !do(s, c, strings.TrimSuffix(line, "\n")) {
			return
		}
	}
}

// Write keeps what a client has sent.
func (s *recordingServer) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.bytes = append(s.bytes, p...)
	return len(p), nil
}

// cut closes every connection.
func (s *recordingServer) cut() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, c := range s.conns {
		c.Close()
	}
	s.conns = nil
}

func (s *recordingServer) sent() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return string(s.bytes)
}

// onlyReads demands that every byte that ever came is one of the three requests.
func (s *recordingServer) onlyReads() {
	s.t.Helper()
	for rest := s.sent(); rest != ""; {
		known := false
		for _, may := range []string{"+_\n", "+f\n", "+m\n"} {
			if after, is := strings.CutPrefix(rest, may); is {
				rest, known = after, true
				break
			}
		}
		if !known {
			s.t.Errorf("the program sent %.40q, which is no request for name, frequency or mode", rest)
			return
		}
	}
}

// until waits for what must come.
func until(t testing.TB, what string, ready func() bool) {
	t.Helper()
	for deadline := time.Now().Add(60 * time.Second); !ready(); time.Sleep(2 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("waited in vain for %s", what)
		}
	}
}

// heard collects what a follower is told.
type heard struct {
	mu     sync.Mutex
	events []Event
}

func (h *heard) add(e Event) {
	h.mu.Lock()
	h.events = append(h.events, e)
	h.mu.Unlock()
}

func (h *heard) count(is func(Event) bool) (n int) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, e := range h.events {
		if is(e) {
			n++
		}
	}
	return n
}

func lost(e Event) bool { return e.Hz == 0 }

func at(hz int64) func(Event) bool { return func(e Event) bool { return e.Hz == hz } }

// watch watches a server for one test.
func watch(t testing.TB, address string) (*Watcher, *heard) {
	t.Helper()
	w, h := Watch(address), &heard{}
	w.Follow(h.add)
	t.Cleanup(w.Close)
	return w, h
}
