// Package licences holds the licence of this program and the licences of
// everything that is built into it, for the command and the page that print them.
package licences

import (
	_ "embed"
	"strings"
)

// Text is this program's licence and, after it, every third party's: a list of
// names, then the texts, each under a line that begins with Mark. The tests of
// this package write it (`go test ./assets/licences -update`) from the modules
// that `go list -deps` names, and fail where it is out of date.
//
//go:embed texts.txt
var Text string

// Mark begins the line above each text in Text; the rest of the line names the
// parties whose text it is.
const Mark = "==== "

// Names returns who has a part in the program, in the order of Text.
func Names() []string {
	var names []string
	for line := range strings.Lines(Text) {
		if rest, ok := strings.CutPrefix(line, Mark); ok {
			names = append(names, strings.Split(strings.TrimSpace(rest), ", ")...)
		}
	}
	return names
}
