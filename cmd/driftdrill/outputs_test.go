package main

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// The test binary is its own program where a test asks for a process of its own.
func TestMain(m *testing.M) {
	if file := os.Getenv("DRIFTDRILL_MEASURE"); file != "" {
		os.Exit(measured(file, os.Args[1:]))
	}
	if os.Getenv("DRIFTDRILL_RUN") == "" {
		os.Exit(m.Run())
	}
	if most, err := strconv.Atoi(os.Getenv("DRIFTDRILL_DISK")); err == nil {
		limitFiles(uint64(most))
	}
	os.Exit(run(os.Args[1:], os.Stdout, os.Stderr))
}

// process prepares the program in a process of its own.
func process(env string, args ...string) *exec.Cmd {
	cmd := exec.Command(os.Args[0], args...)
	cmd.Env = append(os.Environ(), "DRIFTDRILL_RUN=1", env)
	return cmd
}

// What would overwrite an input or another output is refused before anything
// is computed, and everything is as it was.
func TestOutputsThatClash(t *testing.T) {
	sheet, text := aSheet(t, "good")
	folder := filepath.Dir(sheet)
	drill := writeInput(t, "own.toml", bundledFile(t, "drills/first-hold.toml"))
	bird := writeInput(t, "bird.toml", bundledFile(t, "birds/fulmar-3.toml"))
	voice := writeInput(t, "me.wav", "no sound at all")
	elements := writeInput(t, "birds.tle", bundledFile(t, "elements/demo.tle"))
	linked := filepath.Join(folder, "linked")
	if err := os.Symlink(sheet, linked); err != nil {
		t.Skip(err)
	}
	new1 := filepath.Join(folder, "new")
	for _, c := range []struct {
		line string
		says []string
	}{
		{"debrief " + sheet + " --report " + sheet, []string{"the run sheet and --report", sheet}},
		{"debrief " + sheet + " --report " + linked, []string{"the run sheet and --report"}},
		{"debrief " + sheet + " --wav " + sheet, []string{"the run sheet and --wav"}},
		{"rehearse --drill " + drill + " --sheet " + drill, []string{"--drill and --sheet"}},
		{"rehearse --bird " + bird + " --report " + bird, []string{"--bird and --report"}},
		{"rehearse --voice " + voice + " --wav " + voice, []string{"--voice and --wav"}},
		{"rehearse --elements " + elements + " --wav " + elements, []string{"--elements and --wav"}},
		{"rehearse --sheet " + new1 + " --report " + new1, []string{"--sheet and --report"}},
		{"rehearse --wav " + new1 + " --sheet " + new1 + " --report " + new1, []string{"--wav and --sheet"}},
		{"rehearse --iq " + new1 + " --sheet " + new1 + ".sigmf-meta", []string{"--iq and --sheet"}},
		{"rehearse --sheet - --report -", []string{"--sheet and --report"}},
		{"fly --drill " + drill + " --sheet " + drill, []string{"--drill and --sheet"}},
		{"fly --sheet " + folder, []string{"it is a folder"}},
		{"dial --bird " + bird + " --site 50,8 --pdf " + bird, []string{"--bird and --pdf"}},
		{"dial --bird lark-1 --site 50,8 --elements " + elements + " --pdf " + elements, []string{"--elements and --pdf"}},
	} {
		status, out, errs := call(strings.Fields(c.line)...)
		if status != exitUsage || out != "" || strings.Count(errs, "\n") != 1 {
			t.Errorf("%s: status %d, %q, %q", c.line, status, out, errs)
		}
		for _, want := range c.says {
			if !strings.Contains(errs, want) {
				t.Errorf("%s: %q does not say %q", c.line, errs, want)
			}
		}
	}
	if now, _ := os.ReadFile(sheet); !bytes.Equal(now, text) {
		t.Error("the sheet was changed")
	}
	if entries, _ := os.ReadDir(folder); len(entries) != 2 {
		t.Errorf("%d files in the folder", len(entries))
	}
}

// A device stays one, standard output takes a whole output, and what a person
// is told then goes to standard error.
func TestOutputsToStandardOutput(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no devices")
	}
	for args, begins := range map[string]string{
		"rehearse --sheet -":                         `{"driftdrill_sheet":`,
		"rehearse --report -":                        "<!doctype html>",
		"rehearse --sheet /dev/stdout":               `{"driftdrill_sheet":`,
		"rehearse --wav -":                           "RIFF",
		"dial --bird lark-1 --site 50,8 --pdf -":     "%PDF-",
		"rehearse --wav /dev/null --sheet /dev/null": "Short on",
	} {
		if strings.HasPrefix(args, "rehearse") {
			args += " --drill testdata/short.toml" // twelve seconds are as good as minutes
		}
		cmd := process("", strings.Fields(args)...)
		var out, errs bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &errs
		if err := cmd.Run(); err != nil || !strings.HasPrefix(strings.ToLower(out.String()), strings.ToLower(begins)) {
			t.Errorf("%s: %v, %.40q, %s", args, err, out.String(), errs.String())
		}
		if begins == "RIFF" && (out.Len() < 1<<20 || !strings.Contains(errs.String(), "hold index")) {
			t.Errorf("%s: %d bytes, said %q", args, out.Len(), errs.String())
		}
	}
	if info, err := os.Stat("/dev/null"); err != nil || info.Mode()&os.ModeDevice == 0 {
		t.Fatal("/dev/null was replaced")
	}
}

// A disk that is full in the middle of an output leaves none of it. The limit
// of the size of a file stands in for the disk.
func TestFullDiskLeavesNoPart(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("needs limits and /dev/full")
	}
	short, err := filepath.Abs("testdata/short.toml")
	if err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"--wav", "a.wav"}, {"--iq", "a"}, {"--sheet", "a.jsonl"}, {"--wav", "a.wav", "--iq", "a"}} {
		folder := t.TempDir()
		cmd := process("DRIFTDRILL_DISK=2000", append([]string{"rehearse", "--drill", short}, args...)...)
		cmd.Dir = folder
		said, err := cmd.CombinedOutput()
		if cmd.ProcessState.ExitCode() != exitFailed || bytes.Count(said, []byte("\n")) != 1 || !bytes.Contains(said, []byte("cannot be written: file too large")) {
			t.Errorf("%v: %v, %s", args, err, said)
		}
		if entries, _ := os.ReadDir(folder); len(entries) != 0 {
			t.Errorf("%v: left: %v", args, entries)
		}
	}
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip(err)
	}
	defer full.Close()
	for _, args := range []string{"rehearse --hand none", "--help", "fly --help", "--version", "drills list", "licences"} {
		var errs bytes.Buffer
		if status := run(strings.Fields(args), full, &errs); status != exitFailed || strings.Count(errs.String(), "\n") != 1 {
			t.Errorf("%s, standard output is full: status %d, %q", args, status, errs.String())
		}
	}
}

// limitFiles lets no file of this process grow beyond so many bytes.
func limitFiles(most uint64) {
	signal.Ignore(syscall.Signal(25)) // SIGXFSZ, which would end it
	limit(most)
}

// Ctrl-C in the middle of the sound leaves nothing behind, and what was there stays.
func TestInterruptedOutputs(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("signals")
	}
	folder := t.TempDir()
	wav := filepath.Join(folder, "a.wav")
	if err := os.WriteFile(wav, []byte("before"), 0o644); err != nil {
		t.Fatal(err)
	}
	cmd := process("", "rehearse", "--drill", "real-afternoon", "--wav", wav, "--iq", filepath.Join(folder, "a"), "--sheet", filepath.Join(folder, "a.jsonl"))
	cmd.Stderr = io.Discard
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	for deadline := time.Now().Add(time.Minute); ; time.Sleep(5 * time.Millisecond) {
		if entries, _ := os.ReadDir(folder); len(entries) >= 3 { // the old file and spares
			break
		}
		if time.Now().After(deadline) {
			t.Fatal("nothing was begun")
		}
	}
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	_ = cmd.Wait()
	if got := cmd.ProcessState.ExitCode(); got != 130 {
		t.Errorf("exit status %d", got)
	}
	if entries, _ := os.ReadDir(folder); len(entries) != 1 {
		t.Errorf("left: %v", entries)
	}
	if text, _ := os.ReadFile(wav); string(text) != "before" {
		t.Errorf("what was there holds %q", text)
	}
}

// Modes stay and read-only files are refused, by every output of a file.
func TestModesOfOutputs(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no such modes")
	}
	for _, args := range [][]string{{"rehearse", "--drill", "testdata/short.toml", "--sheet"}, {"rehearse", "--drill", "testdata/short.toml", "--report"}, {"rehearse", "--drill", "testdata/short.toml", "--wav"}, {"dial", "--bird", "lark-1", "--site", "50,8", "--pdf"}} {
		path := filepath.Join(t.TempDir(), "out")
		if err := os.WriteFile(path, []byte("mine"), 0o600); err != nil {
			t.Fatal(err)
		}
		if status, _, errs := call(append(args, path)...); status != exitDone {
			t.Errorf("%v: status %d, %s", args, status, errs)
		}
		if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 || info.Size() < 100 {
			t.Errorf("%v: %v, %v", args, info, err)
		}
		if err := os.WriteFile(path, []byte("mine"), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(path, 0o400); err != nil {
			t.Fatal(err)
		}
		status, _, errs := call(append(args, path)...)
		if text, _ := os.ReadFile(path); status == exitDone || string(text) != "mine" || !strings.Contains(errs, "it is read-only") {
			t.Errorf("%v, read-only: status %d, %s", args, status, errs)
		}
	}
}
