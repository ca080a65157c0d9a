// Package vocabulary collects what the program may say from its own sources:
// the texts in its code, and those of the drills and birds. It is for the
// developers' tools that record the words and check that none is missing.
package vocabulary

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"driftdrill/audio/speech"
)

// sources hold texts that may reach the ear: the window first, then what it
// shows of others.
var sources = []string{"cmd/driftdrill/desk/*.go", "assets/drills/*.toml", "assets/birds/*.toml", "cmd/driftdrill/desk_*.go", "scoring/*.go",
	"sim/*.go", "orbit/*.go", "audio/*.go", "audio/out/*.go", "cmd/driftdrill/*.go"}

// extra words come with the times and the system, from no text of ours.
const extra = "Monday Tuesday Wednesday Thursday Friday Saturday Sunday January February March April May June July August September October November December " +
	"Mon Tue Wed Thu Fri Sat Sun Jan Feb Mar Apr Jun Jul Aug Sep Oct Nov Dec " +
	"dot slash underscore at minus plus point hundred thousand million billion oh and control shift alt tab home insert delete enter return escape page " +
	"pause print scroll lock caps number quote semicolon tilde menu left right up down button stick trigger no such file or directory permission denied " +
	"connection refused timeout host not found disk full read only network unreachable"

// Texts returns the texts of a source tree in a fixed order, each once: string
// literals split at their verbs of formatting, and the strings of the drills.
func Texts(tree fs.FS) ([]string, error) {
	var all []string
	for _, pattern := range sources {
		files, err := fs.Glob(tree, pattern)
		if err != nil {
			return nil, err
		}
		for _, f := range files {
			if strings.HasSuffix(f, "_test.go") {
				continue
			}
			data, err := fs.ReadFile(tree, f)
			if err != nil {
				return nil, err
			}
			if bytes.HasPrefix(data, []byte("//go:build manual")) {
				continue // what only the build of a release runs speaks to nobody
			}
			texts, err := textsOf(f, data)
			if err != nil {
				return nil, err
			}
			all = append(all, texts...)
		}
	}
	all = append(all, extra)
	return once(all), nil
}

func once(all []string) []string {
	seen := map[string]bool{}
	return slices.DeleteFunc(all, func(s string) bool {
		was := seen[s]
		seen[s] = true
		return was
	})
}

var (
	verb      = regexp.MustCompile(`%[-+ #0-9.*\[\]]*[a-zA-Z]`)
	tomlValue = regexp.MustCompile(`"((?:[^"\\]|\\.)*)"`)
)

func textsOf(name string, data []byte) ([]string, error) {
	var out []string
	if strings.HasSuffix(name, ".toml") {
		for _, m := range tomlValue.FindAllSubmatch(data, -1) {
			out = append(out, string(m[1]))
		}
		return out, nil
	}
	file, err := parser.ParseFile(token.NewFileSet(), name, data, 0)
	if err != nil {
		return nil, fmt.Errorf("texts of the program: %w", err)
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch v := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.Field:
			v.Tag = nil
		case *ast.CallExpr:
			return !asksSystem(v)
		case *ast.BasicLit:
			if s, err := strconv.Unquote(v.Value); err == nil && v.Kind == token.STRING {
				out = append(out, pieces(s)...)
			}
		}
		return true
	})
	return out, nil
}

// asksSystem tells whether a call asks the system for a variable: its name is
// for nobody's ear.
func asksSystem(call *ast.CallExpr) bool {
	f, ok := call.Fun.(*ast.SelectorExpr)
	return ok && (f.Sel.Name == "Getenv" || f.Sel.Name == "LookupEnv")
}

// pieces splits a text of formatting at its verbs, and leaves out what nobody
// would say: names of keys and fields, queries.
func pieces(s string) []string {
	if strings.Contains(s, "CREATE TABLE") || strings.Contains(s, "SELECT ") {
		return nil
	}
	return verb.Split(strings.ReplaceAll(s, "%%", " percent "), -1)
}

var (
	plainWord = regexp.MustCompile(`[A-Za-z'_]+[0-9_]*`)
	spoken    = regexp.MustCompile(`^([A-Z]?[a-z]+('[a-z]+)?|[A-Z]{3,}|[A-Z]+-?)$`)
)

// Words returns the words of texts, lower-case and in order, that would be
// spelled if they were not recorded. Names of fields and keys (twoWords,
// two_words) are not words.
func Words(texts []string) []string {
	var words []string
	for _, t := range texts {
		t = plainWord.ReplaceAllStringFunc(t, func(w string) string {
			if spoken.MatchString(w) {
				return w
			}
			return " "
		})
		speech.Read(t, func(w string) bool {
			if len(w) > 1 || w == "a" || w == "i" {
				words = append(words, w)
			}
			return true
		})
	}
	slices.Sort(words)
	return slices.Compact(words)
}

// sentence cuts texts after the end of a sentence.
var sentence = regexp.MustCompile(`[.?!:]\s+`)

// Phrases returns the fixed parts of texts with at least three words, in the
// order of the texts, as they would be written.
func Phrases(texts []string) []string {
	var out []string
	for _, t := range texts {
		if strings.Contains(t, "_") || strings.Contains(t, "  ") {
			continue
		}
		for _, p := range sentence.Split(t, -1) {
			p = strings.TrimLeft(strings.TrimSpace(p), ".,:;!?) ")
			if len(strings.Fields(p)) >= 3 && len(p) < 160 && !strings.ContainsAny(p, "{}=<>\"/\\|#0123456789") {
				out = append(out, p)
			}
		}
	}
	return once(out)
}
