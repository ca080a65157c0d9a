//go:build unix

package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// hostileSize is how large the hostile files are; `make fuzz` takes 64 MiB, the
// most that is read.
var hostileSize = flag.Int("hostile", 1<<20, "size of the hostile files in bytes")

// most memory that a hostile file may cost, whatever its size.
const mostHostileMB = 300

// hostileFiles are inputs that cost a careless reader memory or time: what
// stands once at the beginning, and what is repeated behind it.
var hostileFiles = []struct{ name, head, again string }{
	{"names.tle", "", "A\n"}, {"blank.tle", "", "\n"}, {"comments.tle", "", "#\n"}, {"line.tle", "", "A"}, {"first-lines.tle", "", "1 \n"},
	{"both-lines.tle", "", "1 \n2 \n"}, {"good.tle", "", larkSet},
	{"lists.json", "", "["}, {"objects.json", "", "{}"}, {"object-list.json", "[", "{},"}, {"nested.json", "", `{"A":`}, {"value.json", `{"EPOCH":"`, "x"},
	{"keywords.json", "{", "\"K%d\":1,"}, {"sets.json", "", `{"EPOCH":1}`}, {"spaces.json", "[", " "},
	{"tags.xml", "", "<a>"}, {"pairs.xml", "", "<a></a>"}, {"messages.xml", "", "<omm></omm>"}, {"text.xml", "<omm><EPOCH>", "x"}, {"attributes.xml", "<omm ", "a='1' "},
	{"keywords.xml", "<omm>", "<K%d>1</K%[1]d>"}, {"comments.xml", "<omm><A>", "<!-- -->x"},
	{"lines.kvn", "CCSDS_OMM_VERS = 2.0\n", "A\n"}, {"keywords.kvn", "CCSDS_OMM_VERS = 2.0\n", "K%d = 1\n"}, {"names.kvn", "CCSDS_OMM_VERS = 2.0\n", "OBJECT_NAME=\n"},
	{"rows.csv", "OBJECT_NAME,MEAN_MOTION\n", "1\n"}, {"empty.csv", "OBJECT_NAME,MEAN_MOTION\n", "\n"}, {"header.csv", "MEAN_MOTION", ",K%d"},
	{"row.csv", "OBJECT_NAME,MEAN_MOTION\n", ","}, {"quote.csv", "OBJECT_NAME,MEAN_MOTION\n\"", "\n"},
	{"nothing.bin", "", "\x00"}, {"lists.toml", "a=", "["}, {"tables.toml", "", "[[a]]\n"}, {"dots.toml", "a", ".a"}, {"inline.toml", "", "a={"}, {"birds.toml", "", "[[transponder]]\n"},
	{"sheet.jsonl", "", "{\"tick\":1,\"do\":\"knob\"}\n"}, {"header.jsonl", "{\"setup\":{\"others\":[", "{},"}, {"long.jsonl", "", "{"},
	{"own.wav", "RIFF\xff\xff\xff\xffWAVEfmt \x10\x00\x00\x00\x01\x00\x01\x00\x80\xbb\x00\x00\x00\x77\x01\x00\x02\x00\x10\x00data\xff\xff\xff\xff", "\x00\x01"},
	{"chunks.wav", "RIFF\xff\xff\xff\xffWAVE", "junk\x00\x00\x00\x00"},
}

// hostileLine is the command that reads a file of a kind.
func hostileLine(file string) []string {
	switch filepath.Ext(file) {
	case ".toml":
		return []string{"rehearse", "--hand", "none", "--drill", file}
	case ".jsonl":
		return []string{"debrief", "--unrated", file}
	case ".wav":
		return []string{"rehearse", "--hand", "none", "--voice", file, "--wav", os.DevNull}
	}
	return []string{"elements", "check", file}
}

// writeHostile fills a file up to a size.
func writeHostile(t *testing.T, path, head, again string, size int) {
	t.Helper()
	var b bytes.Buffer
	b.Grow(size)
	b.WriteString(head)
	for i := 0; b.Len()+len(again)+8 < size; i++ {
		if strings.Contains(again, "%") {
			fmt.Fprintf(&b, again, i)
		} else {
			b.WriteString(again)
		}
	}
	if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// Whatever a file holds, it costs less than 300 MB, ends with a status and at
// most a hundred lines and a few, and not in a panic. The time is told, not held.
func TestHostileFiles(t *testing.T) {
	program := filepath.Join(t.TempDir(), "driftdrill")
	build := exec.Command("go", "build", "-tags", "nodesk", "-o", program, ".")
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	home := t.TempDir()
	for _, h := range hostileFiles {
		t.Run(h.name, func(t *testing.T) {
			file := filepath.Join(t.TempDir(), h.name)
			writeHostile(t, file, h.head, h.again, *hostileSize)
			ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
			defer cancel()
			told := filepath.Join(t.TempDir(), "memory")
			cmd := exec.CommandContext(ctx, os.Args[0], append([]string{program}, hostileLine(file)...)...)
			cmd.Env = append(os.Environ(), "DRIFTDRILL_MEASURE="+told, "HOME="+home, "XDG_DATA_HOME="+home, "XDG_CONFIG_HOME="+home, "XDG_CACHE_HOME="+home)
			var stderr bytes.Buffer
			cmd.Stderr = &stderr
			begun := time.Now()
			_ = cmd.Run() // its status is looked at
			took := time.Since(begun)
			mb := toldMB(t, told)
			first, _, _ := strings.Cut(stderr.String(), "\n")
			first = strings.ReplaceAll(first, filepath.Dir(file)+"/", "")
			t.Logf("%3d MB %5.1f s, status %d: %.110s", mb, took.Seconds(), cmd.ProcessState.ExitCode(), first)
			if status := cmd.ProcessState.ExitCode(); status < exitDone || status > exitUsage || strings.Contains(stderr.String(), "goroutine ") || strings.Contains(stderr.String(), "a mistake in the program") {
				t.Errorf("status %d, said %.2000s", status, stderr.String())
			}
			if mb > mostHostileMB {
				t.Errorf("%d MB of memory", mb)
			}
			if n := strings.Count(stderr.String(), "\n"); n > 150 {
				t.Errorf("%d lines on standard error", n)
			}
		})
	}
}

// measured runs a program in between and writes down the most memory that it
// had, MB: a process begins with the figure of the one that starts it, and the
// tests themselves are large.
func measured(file string, args []string) int {
	cmd := exec.Command(args[0], args[1:]...)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = os.Stdin, os.Stdout, os.Stderr
	_ = cmd.Run() // its status is handed on
	if cmd.ProcessState == nil || os.WriteFile(file, []byte(strconv.FormatInt(rssMB(cmd.ProcessState), 10)), 0o600) != nil {
		return 99
	}
	return cmd.ProcessState.ExitCode()
}

func toldMB(t *testing.T, file string) int64 {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	mb, err := strconv.ParseInt(string(text), 10, 64)
	if err != nil || mb == 0 {
		t.Fatalf("memory %q", text)
	}
	return mb
}

// rssMB is the most memory that a process had.
func rssMB(p *os.ProcessState) int64 {
	u, ok := p.SysUsage().(*syscall.Rusage)
	if !ok {
		return 0
	}
	kb := int64(u.Maxrss)
	if runtime.GOOS == "darwin" {
		kb >>= 10
	}
	return kb >> 10
}
