//go:build !nodesk && linux

package display

import (
	"encoding/binary"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// The package is initialised before the window library only while it needs
// nothing that the library does not need.
func TestImportsNothingThatTheWindowLibraryDoesNot(t *testing.T) {
	list := func(args ...string) []string {
		out, err := exec.Command("go", append([]string{"list"}, args...)...).Output()
		if err != nil {
			t.Fatalf("go list %v: %v", args, err)
		}
		return strings.Fields(string(out))
	}
	library := list("-deps", "github.com/hajimehoshi/ebiten/v2/internal/ui")
	if !slices.Contains(library, "os") {
		t.Fatal("the window library's imports were not listed")
	}
	for _, p := range list("-f", "{{join .Imports \"\\n\"}}", ".") {
		if !slices.Contains(library, p) {
			t.Errorf("display imports %s, which the window library does not: it would be initialised too late", p)
		}
	}
}

func TestWantsWindow(t *testing.T) {
	for line, want := range map[string]bool{
		"driftdrill":                        true,
		"driftdrill fly --drill x":          true,
		"driftdrill rehearse --drill fly":   false,
		"driftdrill --help":                 false,
		"driftdrill sky --site 50,8":        false,
		"/tmp/b001/driftdrill.test -test.v": true,
	} {
		if got := wantsWindow(strings.Fields(line)); got != want {
			t.Errorf("%q: %v, want %v", line, got, want)
		}
	}
}

// The window library still opens the display when it is initialised, whatever
// the program wants. Where this fails the package may not be needed any more.
func TestTheWindowLibraryOpensTheDisplayBeforeMain(t *testing.T) {
	dir, err := exec.Command("go", "list", "-f", "{{.Dir}}", "github.com/hajimehoshi/ebiten/v2/internal/ui").Output()
	if err != nil {
		t.Fatal(err)
	}
	source, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(dir)), "ui.go"))
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(source), "\nfunc init() {\n")
	body, _, _ := strings.Cut(rest, "\n}\n")
	if !ok || !strings.Contains(body, "newUserInterface()") || !strings.Contains(body, "panic(err)") {
		t.Errorf("init is now\n%s", body)
	}
}

// turnedAway is a server that answers every greeting with what it is given
// (X protocol, version 11, "Connection setup"), or hangs up.
func turnedAway(t *testing.T, number string, answer []byte) {
	t.Helper()
	l, err := net.Listen("unix", "@"+socketPrefix+number)
	if err != nil {
		t.Skip(err)
	}
	t.Cleanup(func() { l.Close() })
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			_, _ = c.Read(make([]byte, 12))
			_, _ = c.Write(answer)
			c.Close()
		}
	}()
}

func TestReachable(t *testing.T) {
	t.Setenv("XAUTHORITY", filepath.Join(t.TempDir(), "none"))
	turnedAway(t, "98761", append([]byte{0, 16, 11, 0, 0, 0, 4, 0}, "No cookie today\n"...))
	turnedAway(t, "98762", nil)
	for display, says := range map[string]string{
		"":             "DISPLAY is not set",
		":98765":       "nothing answers there",
		":98765.0":     "nothing answers there",
		"unix:98765":   "nothing answers there",
		"localhost:77": "nothing answers there", // a forward that is gone
		"wayland-0":    "that is no X display",
		":98761":       "does not let this program in (it says: No cookie today)",
		":98762":       "it hangs up",
	} {
		err := reachable(display, time.Minute)
		if err == nil || !strings.Contains(err.Error(), says) || strings.Contains(err.Error(), "\n") || !strings.HasPrefix(err.Error(), "no display: ") {
			t.Errorf("%q: %v, want %q", display, err, says)
		}
	}
}

// A server that takes the call and says nothing is given up, by a test later than
// by the program.
func TestASilentServerIsGivenUp(t *testing.T) {
	l, err := net.Listen("unix", "@"+socketPrefix+"98763")
	if err != nil {
		t.Skip(err)
	}
	defer l.Close() // what nobody accepts is not answered
	if err := reachable(":98763", 50*time.Millisecond); err == nil || !strings.Contains(err.Error(), "no answer within 50ms") {
		t.Error(err)
	}
	if patience([]string{"/usr/bin/driftdrill", "fly"}) != 5*time.Second || patience([]string{"/tmp/b001/kit.test"}) != time.Minute {
		t.Error("a program waits 5 s, a test a minute")
	}
}

// The greeting and replies have the lengths and places that the X protocol
// gives them (X Window System Protocol, version 11, appendix B), in both byte orders.
func TestServeSpeaksTheProtocol(t *testing.T) {
	for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
		t.Run(order.String(), func(t *testing.T) {
			client, server := net.Pipe()
			defer client.Close()
			go func() {
				serve(server)
				server.Close()
			}()
			hello := make([]byte, 12)
			hello[0] = 'l'
			if order == binary.BigEndian {
				hello[0] = 'B'
			}
			order.PutUint16(hello[2:], 11)
			send(t, client, hello)
			head := receive(t, client, 8)
			if head[0] != 1 || order.Uint16(head[2:]) != 11 {
				t.Fatalf("greeting % x", head)
			}
			rest := receive(t, client, 4*int(order.Uint16(head[6:])))
			if depth := rest[32+16+38]; depth != 24 {
				t.Errorf("root depth %d, want 24", depth)
			}
			send(t, client, request(order, 1, 0, nil)) // owed no reply, counts in the sequence
			send(t, client, request(order, internAtom, 0, make([]byte, 8)))
			atom := receive(t, client, 32)
			if atom[0] != 1 || order.Uint16(atom[2:]) != 2 || order.Uint32(atom[8:]) == 0 {
				t.Errorf("atom % x", atom)
			}
			send(t, client, request(order, getKeyboardMapping, 0, []byte{firstKey, lastKey - firstKey + 1, 0, 0}))
			keys := receive(t, client, 32)
			if units := order.Uint32(keys[4:]); units != lastKey-firstKey+1 {
				t.Fatalf("keyboard mapping of %d units", units)
			}
			receive(t, client, 4*(lastKey-firstKey+1))
		})
	}
}

func request(order binary.ByteOrder, opcode, data byte, body []byte) []byte {
	r := append([]byte{opcode, data, 0, 0}, body...)
	order.PutUint16(r[2:], uint16(len(r)/4))
	return r
}

func send(t *testing.T, c net.Conn, b []byte) {
	t.Helper()
	if _, err := c.Write(b); err != nil {
		t.Fatal(err)
	}
}

func receive(t *testing.T, c net.Conn, n int) []byte {
	t.Helper()
	b := make([]byte, n)
	for read := 0; read < n; {
		m, err := c.Read(b[read:])
		if err != nil {
			t.Fatal(err)
		}
		read += m
	}
	return b
}
