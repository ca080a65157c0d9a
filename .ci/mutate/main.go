// Command mutate changes the program on purpose, one small change at a time,
// and counts how many of them a package's tests notice.
//
//	go run ./.ci/mutate [-n 60] [-seed 1] [-for 3m] [-jobs 2] [-tags nodesk] [-only REGEXP] PACKAGE...
//
// It draws N changes for each package among the lines that the package's own
// tests run with -short: a comparison's edge or sense, an arithmetic or logical
// operator, a sign, a whole number one greater, a statement left out. Each is
// compiled in place of the file by an overlay, so that the tree is never
// touched, and tried with those tests that run its line, the quick ones first,
// to the first that fails. Several are tried side by side; which are drawn and
// what is printed do not depend on how many. -only takes places by file and
// line: -only '^series.go:4' tries those of lines 4 and 40 to 49 again.
// A change that does not compile does not count; one that makes a test hang or
// ask for more than 8 GB counts as noticed. (Unix only.) What survives is
// printed with file and line: either a test is missing or the change makes no
// difference. Four kinds that make none are left out by rule: the edge of a
// comparison of floating-point numbers (there the sense is turned instead), the
// capacity in make, the size 64 in strconv.ParseFloat, and x = x[:len(y)], which
// spares the compiler a check.
package main

import (
	"errors"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"time"
)

// options are what the command line says.
type options struct {
	n    int            // changes for each package
	seed uint64         // of the draw
	long time.Duration  // after which no further change is tried; 0 = none
	tags string         // build tags
	jobs int            // changes tried side by side
	dir  string         // for what is made on the way
	only *regexp.Regexp // places, by FILE:LINE
	list bool           // print the sites and stop
}

// tally counts what became of the changes.
type tally struct{ killed, survived int }

func main() {
	var o options
	flag.IntVar(&o.n, "n", 60, "changes for each package")
	flag.Uint64Var(&o.seed, "seed", 1, "seed of the draw")
	flag.DurationVar(&o.long, "for", 0, "stop after so long, 0 = never; what was tried by then is counted")
	flag.StringVar(&o.tags, "tags", "", "build tags")
	flag.IntVar(&o.jobs, "jobs", runtime.NumCPU(), "changes tried side by side")
	only := flag.String("only", "", "places to change, a regular expression over FILE:LINE")
	flag.BoolVar(&o.list, "list", false, "print how many places there are and stop")
	flag.Parse()
	o.only = regexp.MustCompile(*only)
	if err := run(o, flag.Args()); err != nil {
		fmt.Fprintln(os.Stderr, "mutate:", err)
		os.Exit(1)
	}
}

func run(o options, packages []string) error {
	var all tally
	for _, p := range packages {
		t, err := one(o, p)
		if err != nil {
			return fmt.Errorf("%s: %w", p, err)
		}
		fmt.Printf("%s: %s\n", p, t)
		all.killed += t.killed
		all.survived += t.survived
	}
	fmt.Printf("all: %s\n", all)
	return nil
}

// String gives the share noticed with its 95 % interval (Wilson, JASA 22 (1927) 209).
func (t tally) String() string {
	n := float64(t.killed + t.survived)
	if n == 0 {
		return "no changes"
	}
	const z = 1.96
	p := float64(t.killed) / n
	middle := (p + z*z/(2*n)) / (1 + z*z/n)
	half := z / (1 + z*z/n) * math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	return fmt.Sprintf("%d of %d changes noticed, %.0f %% (95 %%: %.0f to %.0f)", t.killed, t.killed+t.survived, 100*p, 100*(middle-half), 100*(middle+half))
}

// one draws and tries the changes of one package.
func one(o options, path string) (tally, error) {
	var t tally
	p, err := load(o, path)
	if err != nil {
		return t, err
	}
	sites, err := p.sites(o)
	if err != nil {
		return t, err
	}
	fmt.Printf("%s: %d places on lines that its %d tests run, with %.1f s of a processor\n", path, len(sites), len(p.tests), p.took().Seconds())
	if o.list {
		return t, nil
	}
	rng := rand.New(rand.NewPCG(o.seed, 0))
	rng.Shuffle(len(sites), func(i, j int) { sites[i], sites[j] = sites[j], sites[i] })
	if o.dir, err = os.MkdirTemp("", "mutate"); err != nil {
		return t, err
	}
	defer os.RemoveAll(o.dir)
	var stop atomic.Bool
	defer stop.Store(true)
	begun := time.Now()
	for i, next := range p.fates(o, sites, &stop) {
		switch <-next {
		case noticed:
			t.killed++
		case survived:
			t.survived++
			s := sites[i]
			fmt.Printf("  survived, number %d: %s:%d: %s\n", t.killed+t.survived, filepath.Base(s.file), s.line, s.what)
		}
		if t.killed+t.survived == o.n || o.long > 0 && time.Since(begun) > o.long {
			break
		}
	}
	return t, nil
}

// together is how many changes are compiled into one test binary.
const together = 40

// fates tries the changes in order, several side by side, until it is told to
// stop, and tells what became of each on a channel of its own.
func (p *pkg) fates(o options, sites []site, stop *atomic.Bool) []chan fate {
	told := make([]chan fate, len(sites))
	for i := range told {
		told[i] = make(chan fate, 1)
	}
	go func() {
		for from := 0; from < len(sites) && !stop.Load(); from += together {
			p.tryTogether(o, sites[from:min(from+together, len(sites))], told[from:], stop)
		}
	}()
	return told
}

// tryTogether tries some changes with one test binary, as far as that can be.
func (p *pkg) tryTogether(o options, sites []site, told []chan fate, stop *atomic.Bool) {
	dir, err := os.MkdirTemp(o.dir, "together")
	if err != nil {
		return
	}
	defer os.RemoveAll(dir)
	binary, with := p.compiled(o, dir, sites)
	var next atomic.Int64
	var side sync.WaitGroup
	for range max(1, o.jobs) {
		side.Go(func() {
			for !stop.Load() {
				i := int(next.Add(1)) - 1
				if i >= len(sites) {
					return
				}
				if with[i] {
					told[i] <- p.try(binary, i+1, sites[i])
				} else {
					told[i] <- p.alone(o, sites[i])
				}
			}
		})
	}
	side.Wait()
}

// goCommand runs the go command and returns its standard output.
func goCommand(args ...string) (string, error) {
	out, err := exec.Command("go", args...).Output()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		err = fmt.Errorf("go %s: %s", args[0], strings.TrimSpace(string(exit.Stderr)+string(out)))
	}
	return string(out), err
}
