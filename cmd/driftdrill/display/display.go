//go:build !nodesk && linux

package display

import (
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"
	"syscall"
)

// socketPrefix and the display's number make the name of an X server's socket.
const socketPrefix = "/tmp/.X11-unix/X"

// reason tells why there is no real display behind the window library; nil where there is.
var reason error

// Err returns nil if a window can be opened, otherwise one line that says why
// not and what to do.
func Err() error { return reason }

func init() {
	name := os.Getenv("DISPLAY")
	reason = reachable(name)
	if reason == nil && wantsWindow(os.Args) {
		return
	}
	if reason == nil {
		reason = errors.New("this command opens no window")
	}
	if err := standIn(); err != nil {
		fmt.Fprintln(os.Stderr, "driftdrill: no display, and no stand-in for one:", err)
		os.Exit(1)
	}
}

// wantsWindow tells from the command line whether the desk may be opened: run
// bare, `fly`, or a test, which opens what it likes.
func wantsWindow(args []string) bool {
	if strings.HasSuffix(args[0], ".test") {
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

// reachable returns nil if an X server answers at the display's local socket,
// or if the display is on another machine, where only the library can tell.
func reachable(display string) error {
	if display == "" {
		return errors.New("no display: DISPLAY is not set; run on a desktop, or use `rehearse`, which needs none")
	}
	host, rest, ok := strings.Cut(display, ":")
	if !ok || (host != "" && host != "unix") {
		return nil
	}
	number, _, _ := strings.Cut(rest, ".")
	path := socketPrefix + number
	for _, p := range []string{"@" + path, path} {
		fd, err := syscall.Socket(syscall.AF_UNIX, syscall.SOCK_STREAM|syscall.SOCK_CLOEXEC, 0)
		if err != nil {
			return fmt.Errorf("no display: %w", err)
		}
		err = syscall.Connect(fd, &syscall.SockaddrUnix{Name: p})
		syscall.Close(fd)
		if err == nil {
			return nil
		}
	}
	return fmt.Errorf("no display: nothing answers at DISPLAY=%s; run on a desktop, or use `rehearse`, which needs none", display)
}

// standIn serves one client on a socket of its own and points DISPLAY at it.
// The socket is in the abstract namespace, where X libraries look first, and
// leaves no file. The number is the process's own, far above any real display.
func standIn() error {
	fd, err := syscall.Socket(syscall.AF_UNIX, syscall.SOCK_STREAM|syscall.SOCK_CLOEXEC, 0)
	if err != nil {
		return err
	}
	number := strconv.Itoa(100000 + os.Getpid())
	if err := syscall.Bind(fd, &syscall.SockaddrUnix{Name: "@" + socketPrefix + number}); err != nil {
		return err
	}
	if err := syscall.Listen(fd, 1); err != nil {
		return err
	}
	go func() {
		client, _, err := syscall.Accept(fd)
		syscall.Close(fd)
		if err != nil {
			return
		}
		serve(stream(client))
		syscall.Close(client)
	}()
	return os.Setenv("DISPLAY", ":"+number)
}

// stream reads and writes a socket without the poller, which is not running yet.
type stream int

func (s stream) Read(p []byte) (int, error) {
	for {
		n, err := syscall.Read(int(s), p)
		if err == syscall.EINTR {
			continue
		}
		if n <= 0 && err == nil {
			return 0, errors.New("closed")
		}
		return max(n, 0), err
	}
}

func (s stream) Write(p []byte) (int, error) {
	for done := 0; done < len(p); {
		n, err := syscall.Write(int(s), p[done:])
		if err != nil && err != syscall.EINTR {
			return done, err
		}
		done += max(n, 0)
	}
	return len(p), nil
}
