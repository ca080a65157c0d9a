package radio

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"net"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// DefaultPort is the port that the daemon takes where none is named.
const DefaultPort = "4532"

// patience is how long a connection or one answer may take: a radio on a slow
// line needs some tenths of a second. Our choice.
const patience = 3 * time.Second

// Address reads HOST:PORT, HOST or a bare address; the port is 4532 where none
// is named.
func Address(text string) (string, error) {
	bad := fmt.Errorf("%q is no address of a rig-control daemon; it looks like localhost:%s", text, DefaultPort)
	host, port := strings.TrimSpace(text), DefaultPort
	if h, p, err := net.SplitHostPort(host); err == nil {
		host, port = h, p
	} else if net.ParseIP(host) == nil && strings.Contains(host, ":") {
		return "", bad
	}
	n, err := strconv.Atoi(port)
	if host == "" || strings.ContainsAny(host, " \t/\\@\"'") || err != nil || n < 1 || n > 65535 {
		return "", bad
	}
	return net.JoinHostPort(host, strconv.Itoa(n)), nil
}

// conn is a connection to a daemon. One goroutine uses it.
type conn struct {
	c  net.Conn
	in *bufio.Reader
}

// open connects.
func open(ctx context.Context, address string) (*conn, error) {
	d := net.Dialer{Timeout: patience}
	c, err := d.DialContext(ctx, "tcp", address)
	if err != nil {
		return nil, plain(err, address)
	}
	return &conn{c, bufio.NewReaderSize(c, maxLine)}, nil
}

// close ends the connection; nothing is sent before.
func (c *conn) close() { _ = c.c.Close() }

// ask sends a request and reads its answer.
func (c *conn) ask(r request) (answer, error) {
	if err := c.c.SetDeadline(time.Now().Add(patience)); err != nil {
		return nil, err
	}
	if _, err := c.c.Write([]byte(r.line)); err != nil {
		return nil, plain(err, "")
	}
	a, err := readAnswer(c.in, r.name)
	return a, plain(err, "")
}

// plain says in plain words what went wrong with a connection.
func plain(err error, address string) error {
	var dns *net.DNSError
	var out net.Error
	switch {
	case err == nil:
		return nil
	case errors.Is(err, syscall.ECONNREFUSED):
		return fmt.Errorf("nothing listens at %s: is the rig-control daemon running?", address)
	case errors.As(err, &dns):
		return fmt.Errorf("there is no computer named %s", dns.Name)
	case errors.As(err, &out) && out.Timeout() && address != "":
		return fmt.Errorf("%s does not answer within %.0f s", address, patience.Seconds())
	case errors.As(err, &out) && out.Timeout():
		return fmt.Errorf("no answer within %.0f s: is it the daemon, and does it run without -o?", patience.Seconds())
	case errors.Is(err, syscall.ECONNRESET), errors.Is(err, syscall.EPIPE):
		return errGone
	}
	return err
}
