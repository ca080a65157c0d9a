//go:build e2e && linux

package main

import (
	"bufio"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/sim"
)

// The desk flies while another client turns the dial of the rig-control
// daemon's dummy radio: the run's uplink follows it hertz by hertz, the sheet
// replays without the radio, and keys turn on after the daemon has gone.
func TestEndToEndRadio(t *testing.T) {
	program, err := exec.LookPath("rigctld")
	if err != nil {
		t.Fatal("rigctld is missing; .ci/install test brings it")
	}
	s := newStage(t)
	s.settings(port.Settings{WheelNotches: 1, StepHz: 20, Welcomed: true})
	daemon, address := s.dummyRadio(program)
	path := filepath.Join(s.dir, "radio.jsonl")
	app := s.start(s.program, "fly", "--drill", "testdata/short.toml", "--seed", "7", "--sheet", path, "--quit-at-end", "--audio", "silent", "--radio", address)
	app.begin()
	s.window(app)
	s.until("the run", func() bool { return written(path) >= 2 })
	dummy, err := net.Dial("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	defer dummy.Close()
	answers := bufio.NewReader(dummy)
	const turns, byHz = 9, 37
	var turned []time.Time
	for i := int64(1); i <= turns && app.running(); i++ {
		fmt.Fprintf(dummy, "F %d\n", 145_000_000+i*byHz)
		if line, err := answers.ReadString('\n'); err != nil || line != "RPRT 0\n" {
			t.Fatalf("the dummy's dial cannot be turned: %q, %v", line, err)
		}
		turned = append(turned, time.Now())
		time.Sleep(200 * time.Millisecond)
	}
	s.until("the last turn in the sheet", func() bool { return tunedHz(path) == turns*byHz || !app.running() })
	daemon.Process.Kill()
	<-daemon.ended
	s.do("key Up")
	s.until("the key's notch in the sheet", func() bool { return strings.Contains(contents(path), `"do":"knob","value":1}`) || !app.running() })
	app.endedWell()
	if !strings.HasPrefix(app.output.String(), "caution: transmitter off") {
		t.Errorf("the caution does not stand first: %q", app.output.String())
	}
	sh := s.debriefed(path)
	last := int64(0)
	d, err := sim.Replay(sh, sim.TicksPerSecond, func(st *sim.State) { last = st.UplinkHz })
	if err != nil || d.What != "" {
		t.Errorf("the sheet without the radio: %v, %q", err, d.What)
	}
	if want := sh.Setup.StartUplinkHz + turns*byHz + 20; last != want || sh.Setup.Knob != sim.KnobRadioMovement {
		t.Errorf("the uplink ends at %d, want %d; the knob is %q", last, want, sh.Setup.Knob)
	}
	t.Logf("%d turns of %d Hz; %s", turns, byHz, delays(sh, turned))
}

// dummyRadio starts the daemon with its dummy radio.
func (s *stage) dummyRadio(program string) (daemon *background, address string) {
	s.t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		s.t.Fatal(err)
	}
	address = l.Addr().String()
	l.Close()
	_, number, _ := net.SplitHostPort(address)
	daemon = s.start(program, "-m", "1", "-T", "127.0.0.1", "-t", number)
	daemon.begin()
	s.until("the rig-control daemon", func() bool {
		c, err := net.Dial("tcp", address)
		if err == nil {
			c.Close()
		}
		return err == nil
	})
	return daemon, address
}

func contents(path string) string {
	text, _ := os.ReadFile(path)
	return string(text)
}

// tunedHz is how far a radio has turned the uplink by a sheet so far.
func tunedHz(path string) (sum int64) {
	for _, line := range strings.Split(contents(path), "\n") {
		var tick, by int64
		if n, _ := fmt.Sscanf(line, `{"tick":%d,"do":"tune-uplink","value":%d}`, &tick, &by); n == 2 {
			sum += by
		}
	}
	return sum
}

// delays tells how evenly turns of the dummy's dial came into the run: each
// against the quickest, which hides the time between the two clocks.
func delays(sh *sim.Sheet, turned []time.Time) string {
	var late []time.Duration
	i := 0
	for _, c := range sh.Commands {
		if c.Kind == sim.CommandTuneUplink && i < len(turned) {
			late = append(late, time.Duration(c.Tick)*sim.TickLength-turned[i].Sub(turned[0]))
			i++
		}
	}
	if len(late) == 0 {
		return "none came"
	}
	slices.Sort(late)
	return fmt.Sprintf("%d of them apart, within %v of each other, the middle one %v after the quickest", len(late), late[len(late)-1]-late[0], late[len(late)/2]-late[0])
}
