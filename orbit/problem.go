package orbit

import (
	"fmt"
	"strings"
)

// Problem is one thing that is wrong with an element file: where, whose, what.
type Problem struct {
	File         string
	Line, Column int    // 1-based; 0 where it does not apply
	Bird         string // name or number of the set, "" where it is not known
	Message      string // what is wrong and, where it helps, what to do
	Warning      bool   // the set was taken all the same
	GaveUp       bool   // the rest of the file was not read
}

// Error returns "file:line:column: bird: message", leaving out what is not known.
func (p Problem) Error() string {
	var b strings.Builder
	if p.File != "" {
		b.WriteString(p.File)
		b.WriteByte(':')
	}
	if p.Line > 0 {
		fmt.Fprintf(&b, "%d:", p.Line)
		if p.Column > 0 {
			fmt.Fprintf(&b, "%d:", p.Column)
		}
	}
	if b.Len() > 0 {
		b.WriteByte(' ')
	}
	if p.Bird != "" {
		b.WriteString(p.Bird)
		b.WriteString(": ")
	}
	b.WriteString(p.Message)
	return b.String()
}
