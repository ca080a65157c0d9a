package outfile

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
)

// The test binary is its own child, which begins an output and waits.
func TestMain(m *testing.M) {
	if name := os.Getenv("OUTFILE_BEGIN"); name != "" {
		f, err := Create(name)
		if err == nil {
			_, err = f.Write([]byte("half"))
		}
		fmt.Println("begun", err)
		_, _ = io.Copy(io.Discard, os.Stdin) // for ever
		os.Exit(3)
	}
	os.Exit(m.Run())
}

func put(t *testing.T, path, text string, mode os.FileMode) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), mode); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(path, mode); err != nil {
		t.Fatal(err)
	}
}

// holds checks what is in a folder: names and what they hold.
func holds(t *testing.T, folder string, want map[string]string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		text, err := os.ReadFile(filepath.Join(folder, e.Name()))
		if w, known := want[e.Name()]; !known || err == nil && string(text) != w {
			t.Errorf("%s holds %q (%v), want %q, known %v", e.Name(), text, err, w, known)
		}
	}
	if len(entries) != len(want) {
		t.Errorf("%d files, want %d", len(entries), len(want))
	}
}

func TestWholeOrNotAtAll(t *testing.T) {
	folder := t.TempDir()
	old := filepath.Join(folder, "old")
	put(t, old, "before", 0o600)
	failed := errors.New("it failed")
	for _, name := range []string{old, filepath.Join(folder, "new")} {
		if err := WriteWith(name, func(w io.Writer) error {
			_, _ = w.Write([]byte("half"))
			return failed
		}); err != failed {
			t.Error(err)
		}
	}
	holds(t, folder, map[string]string{"old": "before"})
	f, err := Create(old)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Write([]byte("XXter")); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil { // as the head of a WAV file is
		t.Fatal(err)
	}
	if _, err := f.Write([]byte("af")); err != nil {
		t.Fatal(err)
	}
	if text, _ := os.ReadFile(old); string(text) != "before" {
		t.Errorf("before it was committed the file holds %q", text)
	}
	if err := f.Commit(); err != nil {
		t.Fatal(err)
	}
	f.Discard() // too late
	if f.Commit() == nil {
		t.Error("committed twice")
	}
	deep := filepath.Join(folder, "a", "b")
	if err := Write(filepath.Join(deep, "c"), []byte("deep")); err != nil {
		t.Fatal(err)
	}
	holds(t, deep, map[string]string{"c": "deep"})
	if text, _ := os.ReadFile(old); string(text) != "after" {
		t.Errorf("the file holds %q", text)
	}
}

// A mode that a file had it keeps, whatever the umask.
func TestModesStay(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no such modes")
	}
	for _, mode := range []os.FileMode{0o600, 0o640, 0o664, 0o755} {
		path := filepath.Join(t.TempDir(), "f")
		put(t, path, "x", mode)
		if err := Write(path, []byte("y")); err != nil {
			t.Fatal(err)
		}
		if info, err := os.Stat(path); err != nil || info.Mode().Perm() != mode {
			t.Errorf("%v became %v, %v", mode, info.Mode(), err)
		}
	}
}

func TestRefused(t *testing.T) {
	folder := t.TempDir()
	fixed := filepath.Join(folder, "fixed")
	put(t, fixed, "mine", 0o444)
	round := filepath.Join(folder, "round")
	if err := os.Symlink("round", round); err != nil {
		t.Skip(err)
	}
	for name, says := range map[string]string{fixed: "it is read-only", folder: "it is a folder", round: "", filepath.Join(fixed, "under"): ""} {
		err := Write(name, []byte("x"))
		if err == nil || !strings.HasPrefix(err.Error(), name+" cannot be written: ") || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v", name, err)
		}
		if Writable(name) == nil {
			t.Errorf("%s is writable", name)
		}
	}
	if text, _ := os.ReadFile(fixed); string(text) != "mine" {
		t.Errorf("%q", text)
	}
}

// A link leads where it leads, also to a file that is not there yet; a link
// under a name that a spare could have is not followed, for nobody can tell that name.
func TestLinks(t *testing.T) {
	folder, far := t.TempDir(), t.TempDir()
	there, later := filepath.Join(folder, "there"), filepath.Join(folder, "later")
	put(t, filepath.Join(far, "real"), "old", 0o644)
	put(t, filepath.Join(far, "victim"), "mine", 0o644)
	for to, name := range map[string]string{filepath.Join(far, "real"): there, filepath.Join(far, "unborn"): later} {
		if err := os.Symlink(to, name); err != nil {
			t.Skip(err)
		}
	}
	for _, trap := range []string{".new", ".part", ".new-1"} {
		if err := os.Symlink(filepath.Join(far, "victim"), there+trap); err != nil {
			t.Fatal(err)
		}
		if err := os.Symlink(filepath.Join(far, "victim"), filepath.Join(far, "real"+trap)); err != nil {
			t.Fatal(err)
		}
	}
	for _, name := range []string{there, later} {
		if err := Write(name, []byte("new")); err != nil {
			t.Fatal(err)
		}
		if info, err := os.Lstat(name); err != nil || info.Mode()&os.ModeSymlink == 0 {
			t.Errorf("%s is no link any more: %v, %v", name, info, err)
		}
	}
	for name, want := range map[string]string{"real": "new", "unborn": "new", "victim": "mine"} {
		if text, err := os.ReadFile(filepath.Join(far, name)); string(text) != want {
			t.Errorf("%s holds %q, %v", name, text, err)
		}
	}
}

// Devices and pipes are written straight to, and stay what they are.
func TestDevicesAndPipes(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("needs /dev/full and FIFOs")
	}
	if err := Write("/dev/full", []byte("x")); err == nil || !strings.Contains(err.Error(), "no space left") {
		t.Errorf("a full device: %v", err)
	}
	before, _ := os.Stat("/dev/null")
	if err := Write("/dev/null", []byte("x")); err != nil {
		t.Error(err)
	}
	if after, err := os.Stat("/dev/null"); err != nil || !os.SameFile(before, after) {
		t.Fatal("/dev/null was replaced")
	}
	fifo := filepath.Join(t.TempDir(), "fifo")
	if err := exec.Command("mkfifo", fifo).Run(); err != nil {
		t.Skip(err)
	}
	read := make(chan string)
	go func() {
		text, _ := os.ReadFile(fifo)
		read <- string(text)
	}()
	if err := Write(fifo, []byte("through")); err != nil {
		t.Fatal(err)
	}
	if got := <-read; got != "through" {
		t.Errorf("%q came through the pipe", got)
	}
	if info, err := os.Lstat(fifo); err != nil || info.Mode()&os.ModeNamedPipe == 0 {
		t.Error("the pipe was replaced")
	}
}

// Ctrl-C, a closed terminal and the system's end leave what was there and nothing beside it.
func TestInterrupted(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("signals")
	}
	for _, s := range []syscall.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.Signal(1)} {
		folder := t.TempDir()
		put(t, filepath.Join(folder, "old"), "before", 0o644)
		for _, name := range []string{"old", "new"} {
			cmd := exec.Command(os.Args[0])
			cmd.Env = append(os.Environ(), "OUTFILE_BEGIN="+filepath.Join(folder, name))
			in, _ := cmd.StdinPipe()
			out, _ := cmd.StdoutPipe()
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			if line, _ := bufio.NewReader(out).ReadString('\n'); line != "begun <nil>\n" {
				t.Fatalf("%q", line)
			}
			if entries, _ := os.ReadDir(folder); len(entries) != 2 {
				t.Errorf("%d files while it is written, want the old one and a spare", len(entries))
			}
			if err := cmd.Process.Signal(s); err != nil {
				t.Fatal(err)
			}
			_ = cmd.Wait()
			in.Close()
			if got := cmd.ProcessState.ExitCode(); got != 128+int(s) {
				t.Errorf("%v: exit status %d", s, got)
			}
		}
		holds(t, folder, map[string]string{"old": "before"})
	}
}

func TestClashes(t *testing.T) {
	folder := t.TempDir()
	at := func(name string) string { return filepath.Join(folder, name) }
	put(t, at("in"), "x", 0o644)
	for _, link := range []func(string, string) error{os.Link, os.Symlink} {
		name := at(fmt.Sprintf("%p", link))
		if err := link(at("in"), name); err != nil {
			t.Skip(err)
		}
		defer os.Remove(name)
		if err := Check([]Named{{"the sheet", at("in")}}, []Named{{"--report", name}}); err == nil {
			t.Error("a link to an input is taken as an output")
		}
	}
	in := []Named{{"the sheet", at("in")}, {"--voice", ""}}
	for _, c := range []struct {
		out  []Named
		says string
	}{
		{[]Named{{"--report", at("in")}}, "the sheet and --report are the same file"},
		{[]Named{{"--report", folder + "/./in"}}, "the sheet and --report"},
		{[]Named{{"--wav", at("out")}, {"--sheet", folder + "/x/../out"}}, "--wav and --sheet are the same file"},
		{[]Named{{"--wav", "-"}, {"--sheet", "-"}}, "--wav and --sheet"},
		{[]Named{{"--wav", "/dev/null"}, {"--sheet", "/dev/null"}}, ""},
		{[]Named{{"--wav", at("a")}, {"--sheet", at("b")}, {"--report", ""}, {"--pdf", "-"}}, ""},
	} {
		err := Check(in, c.out)
		if (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%v: %v, want %q", c.out, err, c.says)
		}
	}
}
