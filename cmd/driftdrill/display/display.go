//go:build !nodesk && linux

package display

import (
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/jezek/xgb"
)

// socketPrefix and the display's number make the name of an X server's socket.
const socketPrefix = "/tmp/.X11-unix/X"

// reason tells why there is no real display behind the window library; nil where there is.
var reason error

// Err returns nil if a window can be opened, otherwise one line that says why
// not and what to do.
func Err() error { return reason }

// ErrNotSet is in what Err returns where DISPLAY names no display.
var ErrNotSet = errors.New("DISPLAY is not set")

func init() {
	xgb.Logger.SetOutput(io.Discard) // what it has to say is told here, in one line
	reason = errors.New("this command opens no window")
	if wantsWindow(os.Args) {
		reason = reachable(os.Getenv("DISPLAY"), patience(os.Args))
	}
	if reason == nil {
		return
	}
	if err := standIn(); err != nil {
		fmt.Fprintln(os.Stderr, "driftdrill: no display, and no stand-in for one:", err)
		os.Exit(1)
	}
}

// wantsWindow tells from the command line whether the desk may be opened: run
// bare, `fly`, or a test, which opens what it likes.
func wantsWindow(args []string) bool {
	if isTest(args) {
		return true
	}
	for i, a := range args[1:] {
		if args[i] == "--frame-log" { // a is its file
			continue
		}
		if a == "-h" || a == "--help" || a == "--version" {
			return false
		}
		if !strings.HasPrefix(a, "-") {
			return a == "fly" || a == "display"
		}
	}
	return true
}

func isTest(args []string) bool { return strings.HasSuffix(args[0], ".test") }

// patience is how long a display may take to answer; one at the other end of a
// line that is gone never does. A person waits for the window. A test waits on
// machines that do much else, and fails afterwards. Both are our choice.
func patience(args []string) time.Duration {
	if isTest(args) {
		return time.Minute
	}
	return 5 * time.Second
}

// whatToDo ends every reason.
const whatToDo = "run on a desktop, or use `rehearse`, which needs none"

// reachable returns nil if an X server lets this program in at a display within
// a time: it greets it as the window library will, with the same cookie. The
// library itself would end the process where it is turned away.
func reachable(display string, within time.Duration) error {
	if display == "" {
		return fmt.Errorf("no display: %w; %s", ErrNotSet, whatToDo)
	}
	answer := make(chan error, 1)
	go func() { answer <- greeted(display) }()
	var err error
	select {
	case err = <-answer:
	case <-time.After(within):
		err = fmt.Errorf("no answer within %s", within)
	}
	if err != nil {
		return fmt.Errorf("no display: DISPLAY=%s: %s; %s", display, plain(err), whatToDo)
	}
	return nil
}

// greeted shakes hands with the server of a display: at its socket, or where
// it has none in the file system at its abstract one, as X libraries do.
func greeted(display string) error {
	c, err := xgb.NewConnDisplay(display)
	number, local := strings.CutPrefix(strings.TrimPrefix(display, "unix"), ":")
	if local && err != nil && strings.HasPrefix(err.Error(), cannotConnect) {
		number, _, _ = strings.Cut(number, ".")
		if socket, e := net.Dial("unix", "@"+socketPrefix+number); e == nil {
			c, err = xgb.NewConnNet(socket)
		}
	}
	if err == nil {
		held = append(held, c)
	}
	return err
}

// held are the connections that were greeted. They stay open: a server whose last
// client goes starts anew, and turns away who comes at that moment.
var held []*xgb.Conn

// cannotConnect begins what the protocol library says where nothing listens.
const cannotConnect = "cannot connect to "

// plain says in a few words why a display does not let the program in.
func plain(err error) string {
	text := strings.TrimSpace(err.Error())
	said, refused := strings.CutPrefix(text, "x protocol authentication refused: ")
	switch {
	case strings.HasPrefix(text, cannotConnect):
		return "nothing answers there"
	case refused:
		return "it does not let this program in (it says: " + strings.TrimSpace(strings.TrimRight(said, "\x00\n")) + ")"
	case strings.HasPrefix(text, "bad display string"):
		return "that is no X display"
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, syscall.ECONNRESET):
		return "it hangs up"
	}
	return text
}

// standIn serves one client on a socket of its own and points DISPLAY at it.
// The socket is in the abstract namespace, where X libraries look first, and
// leaves no file. The number is the process's own, far above any real display.
// Once its client has come, DISPLAY is again what it was, for programs that this
// one starts; the client waits for its greeting meanwhile and reads no environment.
func standIn() error {
	before, named := os.LookupEnv("DISPLAY")
	number := strconv.Itoa(100000 + os.Getpid())
	l, err := net.Listen("unix", "@"+socketPrefix+number)
	if err != nil {
		return err
	}
	go func() {
		client, err := l.Accept()
		l.Close()
		if named {
			os.Setenv("DISPLAY", before)
		} else {
			os.Unsetenv("DISPLAY")
		}
		if err != nil {
			return
		}
		serve(client)
		client.Close()
	}()
	return os.Setenv("DISPLAY", ":"+number)
}
