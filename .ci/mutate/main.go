// Command mutate changes the program on purpose, one small change at a time,
// and counts how many of them a package's tests notice.
//
//	go run ./.ci/mutate [-n 60] [-seed 1] [-tags nodesk] [-only REGEXP] PACKAGE...
//
// It draws N changes for each package among the lines that the package's own
// tests run with -short: a comparison's edge or sense, an arithmetic or logical
// operator, a sign, a whole number one greater, a statement left out. Each is
// compiled in place of the file by an overlay, so that the tree is never
// touched, and tried with those tests that run its line, the quick ones first.
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
	"strings"
)

// options are what the command line says.
type options struct {
	n    int            // changes for each package
	seed uint64         // of the draw
	tags string         // build tags
	only *regexp.Regexp // files, by name
	list bool           // print the sites and stop
}

// tally counts what became of the changes.
type tally struct{ killed, survived int }

func main() {
	var o options
	flag.IntVar(&o.n, "n", 60, "changes for each package")
	flag.Uint64Var(&o.seed, "seed", 1, "seed of the draw")
	flag.StringVar(&o.tags, "tags", "", "build tags")
	only := flag.String("only", "", "files to change, a regular expression over their names")
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
	fmt.Printf("%s: %d places on lines that its %d tests run in %.1f s\n", path, len(sites), len(p.tests), p.took().Seconds())
	if o.list {
		return t, nil
	}
	rng := rand.New(rand.NewPCG(o.seed, 0))
	rng.Shuffle(len(sites), func(i, j int) { sites[i], sites[j] = sites[j], sites[i] })
	dir, err := os.MkdirTemp("", "mutate")
	if err != nil {
		return t, err
	}
	defer os.RemoveAll(dir)
	for _, s := range sites {
		if t.killed+t.survived == o.n {
			break
		}
		switch p.try(o, dir, s) {
		case noticed:
			t.killed++
		case survived:
			t.survived++
			fmt.Printf("  survived, number %d: %s:%d: %s\n", t.killed+t.survived, filepath.Base(s.file), s.line, s.what)
		}
	}
	return t, nil
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
