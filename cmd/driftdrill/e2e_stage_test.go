//go:build e2e && linux

package main

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// stage is a machine of the test's own for the program to run on: an X
// display, a sound server with one pair of ears, a home directory.
type stage struct {
	t       *testing.T
	dir     string
	program string
	env     []string
	mouse   io.Writer   // commands for xdotool, one a line
	sound   *background // the sound server
}

// patience is how long the stage waits for something that a busy machine may
// be slow to do. Nothing that is measured depends on it.
const patience = 90 * time.Second

// newStage builds the program and starts the display and the sound server.
func newStage(t *testing.T) *stage {
	t.Helper()
	for _, tool := range []string{"Xvfb", "xdotool", "pulseaudio", "parec"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Fatalf("%s is missing; .ci/install test brings it", tool)
		}
	}
	s := &stage{t: t, dir: t.TempDir()}
	s.program = filepath.Join(s.dir, "driftdrill")
	build := exec.Command("go", "build", "-o", s.program, ".")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("build: %v\n%s", err, out)
	}
	home, runtime := filepath.Join(s.dir, "home"), filepath.Join(s.dir, "runtime")
	for _, d := range []string{home, runtime} {
		if err := os.Mkdir(d, 0o700); err != nil {
			t.Fatal(err)
		}
	}
	for _, v := range os.Environ() {
		name, _, _ := strings.Cut(v, "=")
		if name == "HOME" || name == "DISPLAY" || name == "WAYLAND_DISPLAY" || strings.HasPrefix(name, "XDG_") || strings.HasPrefix(name, "PULSE_") {
			continue
		}
		s.env = append(s.env, v)
	}
	s.env = append(s.env, "HOME="+home, "XDG_RUNTIME_DIR="+runtime, "PULSE_SERVER=unix:"+filepath.Join(runtime, "ears"),
		"LP_NUM_THREADS=1") // drawing in software leaves a core to the sound
	s.startDisplay()
	s.startSound(home, runtime)
	mouse, err := s.start("xdotool", "-").StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	s.mouse = mouse
	return s
}

// start makes a command with the stage's surroundings that ends with the test.
// The caller starts it.
func (s *stage) start(name string, args ...string) *background {
	cmd := exec.Command(name, args...)
	cmd.Env = s.env
	cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL}
	return &background{Cmd: cmd, t: s.t}
}

// background is a process that is ended with the test.
type background struct {
	*exec.Cmd
	t      *testing.T
	output bytes.Buffer
	ended  chan struct{}
	err    error // once ended is closed
}

// StdinPipe starts the process too: what is written to it is its work.
func (b *background) StdinPipe() (io.WriteCloser, error) {
	w, err := b.Cmd.StdinPipe()
	if err == nil {
		b.begin()
	}
	return w, err
}

func (b *background) begin() {
	b.t.Helper()
	if b.Stdout == nil {
		b.Stdout = &b.output
	}
	if b.Stderr == nil {
		b.Stderr = &b.output
	}
	if err := b.Start(); err != nil {
		b.t.Fatalf("%s: %v", b.Path, err)
	}
	b.ended = make(chan struct{})
	go func() {
		b.err = b.Wait()
		close(b.ended)
	}()
	b.t.Cleanup(func() {
		b.Process.Kill()
		<-b.ended
	})
}

// running tells whether the process still runs.
func (b *background) running() bool {
	select {
	case <-b.ended:
		return false
	default:
		return true
	}
}

// wait waits for the process to end, at most for d, and tells whether it still runs.
func (b *background) wait(d time.Duration) bool {
	select {
	case <-b.ended:
		return false
	case <-time.After(d):
		return true
	}
}

// endedWell fails the test unless the process has ended by itself and well.
func (b *background) endedWell() {
	b.t.Helper()
	if b.wait(patience) {
		b.t.Fatalf("%s did not end\n%s", b.Path, b.output.String())
	}
	if b.err != nil {
		b.t.Fatalf("%s: %v\n%s", b.Path, b.err, b.output.String())
	}
}

// startDisplay starts an X server that keeps its memory: where page faults
// are dear that makes a frame three times cheaper.
func (s *stage) startDisplay() {
	s.t.Helper()
	r, w, err := os.Pipe()
	if err != nil {
		s.t.Fatal(err)
	}
	x := s.start("Xvfb", "-displayfd", "3", "-screen", "0", "1280x720x24", "-nolisten", "tcp")
	x.Env = append(x.Env, "MALLOC_MMAP_THRESHOLD_=1073741824", "MALLOC_TRIM_THRESHOLD_=2147483648", "MALLOC_TOP_PAD_=33554432")
	x.ExtraFiles = []*os.File{w}
	x.begin()
	w.Close()
	number, err := bufio.NewReader(r).ReadString('\n')
	if err != nil {
		s.t.Fatalf("Xvfb did not start: %v\n%s", err, x.output.String())
	}
	s.env = append(s.env, "DISPLAY=:"+strings.TrimSpace(number))
}

// startSound starts a sound server whose only device is a pair of ears that
// can be recorded, and routes ALSA to it.
func (s *stage) startSound(home, runtime string) {
	s.t.Helper()
	socket := filepath.Join(runtime, "ears")
	script := filepath.Join(s.dir, "ears.pa")
	s.write(script, "load-module module-native-protocol-unix auth-anonymous=1 socket="+socket+"\n"+
		"load-module module-null-sink sink_name=ears format=float32le rate=48000 channels=2\nset-default-sink ears\n")
	s.write(filepath.Join(home, ".asoundrc"), "pcm.!default { type pulse }\nctl.!default { type pulse }\n")
	server := s.start("pulseaudio", "-n", "-F", script, "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no", "--log-target=stderr")
	server.begin()
	s.sound = server
	s.until("the sound server", func() bool {
		_, err := os.Stat(socket)
		return err == nil
	})
}

func (s *stage) write(path, text string) {
	s.t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		s.t.Fatal(err)
	}
}

// until waits for something that must come.
func (s *stage) until(what string, ready func() bool) {
	s.t.Helper()
	for deadline := time.Now().Add(patience); !ready(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(deadline) {
			s.t.Fatalf("waited %v in vain for %s", patience, what)
		}
	}
}

// do sends one command to the mouse and keyboard.
func (s *stage) do(format string, args ...any) {
	s.t.Helper()
	if _, err := fmt.Fprintf(s.mouse, format+"\n", args...); err != nil {
		s.t.Fatalf("xdotool: %v", err)
	}
}

// run runs the program to its end and returns what it printed.
func (s *stage) run(args ...string) string {
	s.t.Helper()
	cmd := exec.Command(s.program, args...)
	cmd.Env = s.env
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		s.t.Fatalf("driftdrill %s: %v\n%s", strings.Join(args, " "), err, stderr.String())
	}
	return string(out)
}

// window waits for the program's window and gives it the keyboard and, over
// the knob, the mouse.
func (s *stage) window(app *background) {
	s.t.Helper()
	var id string
	s.until("the window", func() bool {
		select {
		case <-app.ended:
			s.t.Fatalf("driftdrill ended at once: %v\n%s", app.err, app.output.String())
		default:
		}
		find := exec.Command("xdotool", "search", "--onlyvisible", "--class", "driftdrill")
		find.Env = s.env
		out, _ := find.Output()
		id, _, _ = strings.Cut(strings.TrimSpace(string(out)), "\n")
		return id != ""
	})
	s.do("windowfocus %s", id)
	s.do("mousemove --window %s %d %d", id, knobX, knobY)
}

// knobX and knobY lie on the knob in a window of 1280 x 720.
const knobX, knobY = 640, 590

// ears record what the sound server plays.
type ears struct {
	mu      sync.Mutex
	samples []float32    // left, right
	begun   machineTimes // when listening began
}

// listen records from the sound server's monitor until the test ends.
func (s *stage) listen() *ears {
	s.t.Helper()
	e := &ears{samples: make([]float32, 0, 2*48000*200), begun: timesNow()}
	rec := s.start("parec", "--device=ears.monitor", "--format=float32le", "--rate=48000", "--channels=2", "--raw", "--latency-msec=20")
	rec.Stdout = e
	rec.begin()
	s.until("the first recorded sample", func() bool { return e.frames() > 0 })
	return e
}

// machineTimes is what a machine's processors have done since it was started,
// in the kernel's ticks: in all, nothing, and the work of these tests.
type machineTimes struct{ all, idle, own float64 }

// timesNow reads the kernel's counts (proc(5)). The work of these tests is that
// of their process group: the program, display, sound server and recorder.
func timesNow() (m machineTimes) {
	system, err := os.ReadFile("/proc/stat")
	if err != nil {
		return m
	}
	line, _, _ := strings.Cut(string(system), "\n")
	// cpu, user, nice, system, idle, waiting for disks, interrupts (two), and
	// what a machine around this one has taken; guests count among the users.
	for i, f := range strings.Fields(line)[:9] {
		n, _ := strconv.ParseFloat(f, 64)
		m.all += n
		if i == 4 || i == 5 {
			m.idle += n
		}
	}
	group := strconv.Itoa(syscall.Getpgrp())
	processes, _ := filepath.Glob("/proc/[0-9]*/stat")
	for _, p := range processes {
		text, err := os.ReadFile(p)
		if err != nil {
			continue // it has ended
		}
		// After the name in brackets: state, parent, group, ..., user and system
		// time, and those of children that have ended.
		f := strings.Fields(string(text[bytes.LastIndexByte(text, ')')+1:]))
		if f[2] == group {
			for _, ticks := range f[11:15] {
				n, _ := strconv.ParseFloat(ticks, 64)
				m.own += n
			}
		}
	}
	return m
}

// others is the share of the processors' time since an earlier moment that went
// to others than these tests; 0 where the system does not say.
func (m machineTimes) others(since machineTimes) float64 {
	all := m.all - since.all
	if all <= 0 {
		return 0
	}
	return max(0, all-(m.idle-since.idle)-(m.own-since.own)) / all
}

// Write takes raw samples; parec writes whole frames.
func (e *ears) Write(p []byte) (int, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	for i := 0; i+4 <= len(p); i += 4 {
		e.samples = append(e.samples, math.Float32frombits(binary.LittleEndian.Uint32(p[i:])))
	}
	return len(p), nil
}

func (e *ears) frames() int {
	e.mu.Lock()
	defer e.mu.Unlock()
	return len(e.samples) / 2
}

// ear copies one ear's samples from frame from, n of them; fewer if that many
// are not recorded yet.
func (e *ears) ear(side, from, n int) []float64 {
	e.mu.Lock()
	defer e.mu.Unlock()
	n = min(n, len(e.samples)/2-from)
	if n <= 0 {
		return nil
	}
	x := make([]float64, n)
	for i := range x {
		x[i] = float64(e.samples[2*(from+i)+side])
	}
	return x
}
