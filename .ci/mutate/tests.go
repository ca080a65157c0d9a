package main

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"syscall"
	"time"
)

// pkg is one package under test.
type pkg struct {
	path, dir string
	files     []string // absolute
	set       *token.FileSet
	trees     []*ast.File // of files
	types     map[ast.Expr]types.TypeAndValue
	checked   *types.Package
	exports   map[string]string // import path -> file of compiled declarations
	tests     []test
	runs      map[string]map[int][]int // file name -> line -> tests that run it, by index
}

// test is a test, example or fuzz target with its seeds.
type test struct {
	Name string
	Took time.Duration // of processor
}

// load finds a package's files, its tests, and the lines that each test runs.
func load(o options, path string) (*pkg, error) {
	out, err := goCommand("list", "-tags", o.tags, "-f", "{{.ImportPath}}\n{{.Dir}}\n{{join .GoFiles \"\\n\"}}", path)
	if err != nil {
		return nil, err
	}
	lines := strings.Split(strings.TrimSpace(out), "\n")
	p := &pkg{path: lines[0], dir: lines[1], runs: map[string]map[int][]int{}}
	for _, f := range lines[2:] {
		p.files = append(p.files, filepath.Join(p.dir, f))
	}
	if err := p.check(o); err != nil {
		return nil, err
	}
	work, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(work)
	return p, p.cover(o, work)
}

// check parses the files and finds the types of their expressions.
func (p *pkg) check(o options) error {
	p.set, p.types = token.NewFileSet(), map[ast.Expr]types.TypeAndValue{}
	for _, file := range p.files {
		tree, err := parser.ParseFile(p.set, file, nil, 0)
		if err != nil {
			return err
		}
		p.trees = append(p.trees, tree)
	}
	out, err := goCommand("list", "-tags", o.tags, "-export", "-deps", "-f", "{{.ImportPath}} {{.Export}}", p.path, "os", "strconv")
	if err != nil {
		return err
	}
	p.exports = map[string]string{}
	for _, row := range strings.Split(out, "\n") {
		name, file, _ := strings.Cut(row, " ")
		p.exports[name] = file
	}
	conf := types.Config{Importer: p.importer(p.set)}
	p.checked, err = conf.Check(p.path, p.set, p.trees, &types.Info{Types: p.types})
	return err
}

// importer gives the declarations of what the package imports.
func (p *pkg) importer(set *token.FileSet) types.Importer {
	return importer.ForCompiler(set, "gc", func(path string) (io.ReadCloser, error) { return os.Open(p.exports[path]) })
}

// cover finds which lines each test runs. What it finds is kept in the user's
// cache, under the hash of the test binary, for the next draw.
func (p *pkg) cover(o options, work string) error {
	binary := filepath.Join(work, "covered.test") // by its ending a window is let in
	if _, err := goCommand("test", "-c", "-cover", "-tags", o.tags, "-o", binary, p.path); err != nil {
		return err
	}
	kept, err := keptCover(binary)
	if err != nil {
		return err
	}
	saved := struct {
		Tests *[]test
		Runs  *map[string]map[int][]int
	}{&p.tests, &p.runs}
	if text, err := os.ReadFile(kept); err == nil && json.Unmarshal(text, &saved) == nil {
		return nil
	}
	p.tests, p.runs = nil, map[string]map[int][]int{}
	if err := p.runEach(o, binary, filepath.Join(work, "profile")); err != nil {
		return err
	}
	text, err := json.Marshal(saved)
	if err != nil {
		return err
	}
	return os.WriteFile(kept, text, 0o600)
}

// keptCover is the file in the user's cache that holds what a test binary runs.
func keptCover(binary string) (string, error) {
	text, err := os.ReadFile(binary)
	if err != nil {
		return "", err
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		return "", err
	}
	dir := filepath.Join(cache, "driftdrill-mutate")
	return filepath.Join(dir, fmt.Sprintf("%x.json", sha256.Sum256(text))), os.MkdirAll(dir, 0o700)
}

// runEach runs every test by itself and notes which lines it runs.
func (p *pkg) runEach(o options, binary, profile string) error {
	list := exec.Command(binary, "-test.list", "^(Test|Example|Fuzz)")
	list.Dir = p.dir
	out, err := list.Output()
	if err != nil {
		return err
	}
	names := strings.Fields(string(out))
	p.tests = make([]test, len(names))
	failed := make([]error, len(names))
	var side sync.WaitGroup
	free := make(chan struct{}, max(1, o.jobs))
	for i, name := range names {
		free <- struct{}{}
		side.Go(func() {
			defer func() { <-free }()
			cmd := exec.Command(binary, "-test.short", "-test.run", "^"+name+"$", "-test.coverprofile", profile+name)
			cmd.Dir = p.dir
			if out, err := cmd.CombinedOutput(); err != nil {
				failed[i] = fmt.Errorf("%s by itself: %w\n%s", name, err, out)
				return
			}
			p.tests[i] = test{name, cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()}
		})
	}
	side.Wait()
	for i, name := range names {
		if err := cmp.Or(failed[i], p.readProfile(profile+name, i)); err != nil {
			return err
		}
	}
	return nil
}

// took is what all tests take of a processor.
func (p *pkg) took() (d time.Duration) {
	for _, t := range p.tests {
		d += t.Took
	}
	return d
}

// readProfile takes the lines that a test covers: FILE:LINE.COL,LINE.COL STATEMENTS COUNT.
func (p *pkg) readProfile(name string, test int) error {
	text, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	for _, row := range strings.Split(string(text), "\n")[1:] {
		file, rest, ok := strings.Cut(row, ":")
		if !ok || strings.HasSuffix(rest, " 0") {
			continue
		}
		var l0, c0, l1, c1 int
		if _, err := fmt.Sscanf(rest, "%d.%d,%d.%d", &l0, &c0, &l1, &c1); err != nil {
			return fmt.Errorf("coverage profile: %q: %w", row, err)
		}
		lines := p.runs[filepath.Base(file)]
		if lines == nil {
			lines = map[int][]int{}
			p.runs[filepath.Base(file)] = lines
		}
		for l := l0; l <= l1; l++ {
			if n := len(lines[l]); n == 0 || lines[l][n-1] != test {
				lines[l] = append(lines[l], test)
			}
		}
	}
	return nil
}

// fate is what became of one change.
type fate int

const (
	unbuildable fate = iota
	noticed
	survived
)

// alone compiles the package with one change and tries it.
func (p *pkg) alone(o options, s site) fate {
	dir, err := os.MkdirTemp(o.dir, "alone")
	if err != nil {
		return unbuildable
	}
	defer os.RemoveAll(dir)
	text, err := os.ReadFile(s.file)
	if err != nil {
		return unbuildable
	}
	changed, binary := filepath.Join(dir, "changed.go"), filepath.Join(dir, "changed.test")
	mutant := slices.Concat(text[:s.from], []byte(s.by), text[s.to:])
	if os.WriteFile(changed, mutant, 0o600) != nil || p.compile(o, dir, binary, map[string]string{s.file: changed}) != nil {
		return unbuildable
	}
	return p.try(binary, 0, s)
}

// compile makes a test binary with other files in the place of the package's.
func (p *pkg) compile(o options, dir, binary string, replace map[string]string) error {
	overlay := filepath.Join(dir, "overlay.json")
	text, err := json.Marshal(map[string]map[string]string{"Replace": replace})
	if err != nil {
		return err
	}
	if err := os.WriteFile(overlay, text, 0o600); err != nil {
		return err
	}
	_, err = goCommand("test", "-c", "-tags", o.tags, "-overlay", overlay, "-ldflags", "-s -w", "-o", binary, p.path)
	return err
}

// try runs the tests that run a change's line, with that change.
func (p *pkg) try(binary string, number int, s site) fate {
	for _, batch := range p.batches(s.tests) {
		if !p.passes(binary, number, batch) {
			return noticed
		}
	}
	return survived
}

// batches are the tests of less than a fifth of a second together, then the
// others one by one by what they take.
func (p *pkg) batches(tests []int) [][]test {
	var quick []test
	var slow [][]test
	for _, i := range tests {
		if t := p.tests[i]; t.Took < 200*time.Millisecond {
			quick = append(quick, t)
		} else {
			slow = append(slow, []test{t})
		}
	}
	slices.SortFunc(slow, func(a, b []test) int { return cmp.Compare(a[0].Took, b[0].Took) })
	if quick != nil {
		return append([][]test{quick}, slow...)
	}
	return slow
}

// patience is how long a test may stand without taking processor time: one that
// waits for ever is noticed after it. Processor time is bounded much closer, so
// that a busy machine makes no difference.
const patience = 3 * time.Minute

// passes runs tests and says whether nothing was noticed.
func (p *pkg) passes(binary string, number int, tests []test) bool {
	var names []string
	var took time.Duration
	for _, t := range tests {
		took += t.Took
		names = append(names, regexp.QuoteMeta(t.Name))
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	limits := fmt.Sprintf(`ulimit -v 8388608; ulimit -t %d; exec "$@"`, 2+3*int(math.Ceil(took.Seconds())))
	run := exec.CommandContext(ctx, "sh", "-c", limits, "sh", binary, "-test.short", "-test.failfast", "-test.run", "^("+strings.Join(names, "|")+")$")
	run.Dir = p.dir
	run.Env = append(os.Environ(), fmt.Sprintf("MUTANT=%d", number))
	run.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} // what the test started goes with it
	run.Cancel = func() error { return syscall.Kill(-run.Process.Pid, syscall.SIGKILL) }
	run.WaitDelay = time.Second
	var said bytes.Buffer
	run.Stdout, run.Stderr = &said, &said
	err := run.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) && ctx.Err() == nil {
		fmt.Fprintln(os.Stderr, "mutate:", err) // the test could not be started: not the change's doing
	}
	return err == nil
}
