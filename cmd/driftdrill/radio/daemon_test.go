package radio

import (
	"bufio"
	"fmt"
	"net"
	"os/exec"
	"testing"
)

// daemon starts the library's own daemon with its dummy radio, where it is
// installed (.ci/install test), and returns its address.
func daemon(t testing.TB, options ...string) (address string, kill func()) {
	t.Helper()
	program, err := exec.LookPath("rigctld")
	if err != nil {
		t.Skip("rigctld is not installed; .ci/install test brings it")
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	host, port, _ := net.SplitHostPort(l.Addr().String())
	l.Close()
	cmd := exec.Command(program, append([]string{"-m", "1", "-T", host, "-t", port}, options...)...)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	kill = func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	}
	t.Cleanup(kill)
	until(t, "the daemon", func() bool {
		c, err := net.Dial("tcp", net.JoinHostPort(host, port))
		if err == nil {
			c.Close()
		}
		return err == nil
	})
	return net.JoinHostPort(host, port), kill
}

// turnTo lets another client of the daemon turn the dummy's dial.
func turnTo(t *testing.T, c net.Conn, hz int64) {
	t.Helper()
	fmt.Fprintf(c, "F %d\n", hz)
	if line, err := bufio.NewReader(c).ReadString('\n'); err != nil || line != "RPRT 0\n" {
		t.Fatalf("the dummy's dial cannot be turned: %q, %v", line, err)
	}
}

// The real daemon's dummy radio is read, its dial is followed while another
// client turns it, and its end is a loss.
func TestRealDaemon(t *testing.T) {
	t.Parallel()
	for _, options := range [][]string{nil, {"-C", "cache_timeout=0"}} {
		address, kill := daemon(t, options...)
		w, h := watch(t, address)
		until(t, "the dummy's first reading", func() bool { return w.State().Connected })
		until(t, "its mode", func() bool { return w.State().Mode.Name != "" })
		if st := w.State(); st.Name == "" || st.Hz != 145_000_000 || st.Mode != (Mode{"FM", 15000}) {
			t.Errorf("%+v", st)
		}
		c, err := net.Dial("tcp", address)
		if err != nil {
			t.Fatal(err)
		}
		for hz := int64(145_000_001); hz < 145_000_001+7*11; hz += 7 {
			turnTo(t, c, hz)
			until(t, "the dial's new place", func() bool { return h.count(at(hz)) > 0 })
		}
		c.Close()
		kill()
		until(t, "the loss", func() bool { return h.count(lost) == 1 })
		w.Close()
	}
}

// A daemon that wants a dial named with each request (its -o) gives no answer:
// that is said.
func TestRealDaemonThatWantsADialNamed(t *testing.T) {
	t.Parallel()
	address, _ := daemon(t, "-o")
	w, _ := watch(t, address)
	until(t, "the trouble", func() bool { // until it listens, the system may close what it takes
		err := w.State().Trouble
		return err != nil && err.Error() == "no answer within 3 s: is it the daemon, and does it run without -o?"
	})
}
