//go:build !nodesk

package desktest

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
)

// drawnSlack is by how much a number in a drawing may be another one: what
// processors round otherwise, and less than the eye sees. Places are in dips,
// parts of colours of 255, alphas in per cent; sizes of text come in quarters.
const drawnSlack = 0.15

// mostDifferences is how many lines are shown.
const mostDifferences = 20

// drawnNumber is a number outside quotes; what is written has to be the very same.
var drawnNumber = regexp.MustCompile(`"(?:[^"\\]|\\.)*"|-?\d+\.\d+`)

// drawnLine is a line of a drawing, its numbers apart.
type drawnLine struct {
	words   string
	numbers []float64
}

func readDrawn(line string) (d drawnLine) {
	d.words = drawnNumber.ReplaceAllStringFunc(line, func(s string) string {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			return s
		}
		d.numbers = append(d.numbers, v)
		return "#"
	})
	return d
}

func (d drawnLine) same(o drawnLine) bool {
	return d.words == o.words && slices.EqualFunc(d.numbers, o.numbers, func(a, b float64) bool { return math.Abs(a-b) <= drawnSlack })
}

func readAll(lines []string) (out []drawnLine) {
	for _, l := range lines {
		out = append(out, readDrawn(l))
	}
	return out
}

// changes are the lines by which one drawing becomes another, with - and +, in order.
func changes(from, to []string) (out []string) {
	a, b := readAll(from), readAll(to)
	longest := make([][]int, len(a)+1) // of what is common from here on
	for i := range longest {
		longest[i] = make([]int, len(b)+1)
	}
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			if longest[i][j] = max(longest[i+1][j], longest[i][j+1]); a[i].same(b[j]) {
				longest[i][j] = longest[i+1][j+1] + 1
			}
		}
	}
	i, j := 0, 0
	for i < len(a) || j < len(b) {
		switch {
		case i < len(a) && j < len(b) && a[i].same(b[j]):
			i, j = i+1, j+1
		case j == len(b) || i < len(a) && longest[i+1][j] >= longest[i][j+1]:
			out = append(out, "- "+from[i])
			i++
		default:
			out = append(out, "+ "+to[j])
			j++
		}
	}
	return out
}

// differences are the first lines by which a drawing differs from another; nil = none.
func differences(want, got []string) []string {
	off := changes(want, got)
	if more := len(off) - mostDifferences; more > 0 {
		off = append(off[:mostDifferences], fmt.Sprintf("and %d more", more))
	}
	return off
}
