package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"strings"
	"testing"
	"time"
)

// fakeDaemon answers as a rig-control daemon does, by its manual page, with a
// dial that goes up by 30 Hz at each reading; after so many it closes (0 = never).
func fakeDaemon(t *testing.T, readings int) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go answerDial(c, readings)
		}
	}()
	return l.Addr().String()
}

func answerDial(c net.Conn, readings int) {
	defer c.Close()
	hz := 435_140_000
	buf := make([]byte, 3)
	for n := 0; readings == 0 || n < readings; {
		if _, err := io.ReadFull(c, buf); err != nil {
			return
		}
		switch string(buf) {
		case "+f\n":
			fmt.Fprintf(c, "get_freq:\nFrequency: %d\nRPRT 0\n", hz)
			hz += 30
			n++
		case "+m\n":
			fmt.Fprint(c, "get_mode:\nMode: USB\nPassband: 2400\nRPRT 0\n")
		case "+_\n":
			fmt.Fprint(c, "get_info:\nInfo: Nothing =much\nRPRT 0\n")
		default:
			return
		}
	}
}

func TestRadioCheck(t *testing.T) {
	t.Parallel()
	at := fakeDaemon(t, 0)
	var stdout, stderr bytes.Buffer
	if status := run([]string{"radio", "check", "--at", at, "--for", "1s", "--out", "json"}, &stdout, &stderr); status != exitDone {
		t.Fatalf("exit status %d: %s", status, stderr.String())
	}
	if !strings.HasPrefix(stderr.String(), "caution: transmitter off, dummy load") {
		t.Errorf("the caution does not stand first: %q", stderr.String())
	}
	var rows []struct {
		Name      string  `json:"name"`
		Hz        int64   `json:"frequency_hz"`
		Mode      string  `json:"mode"`
		Filter    int     `json:"passband_hz"`
		Readings  int64   `json:"readings"`
		PerSecond float64 `json:"readings_per_s"`
		Median    float64 `json:"delay_median_ms"`
		Worst     float64 `json:"delay_worst_ms"`
		Moved     int64   `json:"moved_hz"`
		Step      int64   `json:"step_hz"`
	}
	if err := json.Unmarshal(stdout.Bytes(), &rows); err != nil || len(rows) != 1 {
		t.Fatalf("%v: %s", err, stdout.String())
	}
	r := rows[0]
	if r.Name != "Nothing =much" || r.Mode != "USB" || r.Filter != 2400 || r.Step != 30 || r.Readings < 2 || r.Moved != 30*(r.Readings-1) ||
		r.Hz != 435_140_000+r.Moved || r.PerSecond <= 0 || r.PerSecond > 32 || r.Median <= 0 || r.Worst < r.Median {
		t.Errorf("%+v", r)
	}
}

// Every failure is one clear line after the caution, and the exit status is 1.
func TestRadioCheckFails(t *testing.T) {
	t.Parallel()
	closed, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	nobody := closed.Addr().String()
	closed.Close()
	for at, want := range map[string]string{
		nobody:           "nothing listens at " + nobody,
		fakeDaemon(t, 5): "it was lost while it was read: the daemon closed the connection",
	} {
		var stdout, stderr bytes.Buffer
		status := run([]string{"radio", "check", "--at", at, "--out", "text"}, &stdout, &stderr)
		lines := strings.Split(strings.TrimSpace(stderr.String()), "\n")
		if status != exitFailed || stdout.Len() > 0 || len(lines) != 2 || !strings.Contains(lines[1], want) {
			t.Errorf("status %d, %q, want %q", status, stderr.String(), want)
		}
	}
}

func TestRadioCheckIsInterrupted(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := checkRadio(ctx, fakeDaemon(t, 0), time.Hour); err != nil && err != context.Canceled {
		t.Error(err)
	}
}

// A daemon that answers from its memory is told from one that asks the radio:
// figures as seen of the dummy radio, 0.3 ms and 20 ms.
func TestRadioCheckSeesTheMemory(t *testing.T) {
	f := radioFound{delays: make([]time.Duration, 30)}
	for i := range f.delays {
		f.delays[i] = 300 * time.Microsecond
	}
	if f.remembered() {
		t.Error("a quick radio is taken for a memory")
	}
	f.delays[28], f.delays[29] = 20*time.Millisecond, 21*time.Millisecond
	if !f.remembered() {
		t.Error("a memory is not seen")
	}
	for i := range f.delays {
		f.delays[i] = 20 * time.Millisecond
	}
	if f.remembered() {
		t.Error("a slow radio is taken for a memory")
	}
}
