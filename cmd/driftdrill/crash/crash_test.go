package crash

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// fall panics in a goroutine of its own and returns what came through.
func fall(value any) (through any) {
	done := make(chan any)
	go func() {
		defer func() { done <- recover() }()
		func() {
			defer Catch()
			panic(value)
		}()
	}()
	return <-done
}

// Without a handler, as in every test, a panic stays a panic.
func TestTestsSeePanics(t *testing.T) {
	if through := fall("oh"); through != "oh" {
		t.Errorf("%v came through", through)
	}
}

func TestPanicSavesAndReports(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "reports")
	var said bytes.Buffer
	status := 0
	remove := Install(Handler{Program: "driftdrill test", Folder: folder, Stderr: &said, Exit: func(s int) { status = s }})
	defer remove()
	saved := 0
	defer Save(func() { panic("the saver, too") })()
	defer Save(func() { saved++ })()
	forget := Save(func() { saved += 10 })
	forget()
	if through := fall("index out of range"); through != nil {
		t.Errorf("%v came through", through)
	}
	if status != 1 || saved != 1 {
		t.Errorf("status %d, saved %d times", status, saved)
	}
	files, _ := filepath.Glob(filepath.Join(folder, "crash-*.txt"))
	line := said.String()
	if len(files) != 1 || strings.Count(line, "\n") != 1 || !strings.Contains(line, "index out of range") || !strings.Contains(line, files[0]) || !strings.Contains(line, "the run so far is kept") {
		t.Fatalf("said %q, files %v", line, files)
	}
	text, err := os.ReadFile(files[0])
	if err != nil || !strings.Contains(string(text), "driftdrill test") || !strings.Contains(string(text), "crash.fall") {
		t.Errorf("%v, the report says %s", err, text)
	}
}

func TestNoPanicNothingHappens(t *testing.T) {
	remove := Install(Handler{Exit: func(int) { t.Error("ended") }})
	defer remove()
	func() { defer Catch() }()
}
