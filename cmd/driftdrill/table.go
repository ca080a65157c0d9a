package main

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"driftdrill/orbit/legible"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// column is one column of a table that a command prints.
type column struct {
	name string // for machines: name and unit, lower case
	head string // for people; "" leaves the column out of the text form
}

// cell is one value: for machines, and as people like to read it.
type cell struct {
	value any    // string, float with its digits as json.Number, int, bool or nil
	text  string // "" prints value
}

// table is what sky, passes, dial and elements print.
type table struct {
	columns []column
	csv     int // how many columns the CSV form has, from the first on; 0 = all
	rows    [][]cell

	width   []int // of the text form, once its head is written
	numeric []bool
}

// fixed returns a number with so many digits behind the point for machines, as
// JSON number and in CSV, and with fewer for people.
func fixed(v float64, digits, textDigits int) cell {
	return cell{json.Number(fmt.Sprintf("%.*f", digits, v)), fmt.Sprintf("%.*f", textDigits, v)}
}

// word returns a text cell.
func word(s string) cell { return cell{s, s} }

func (c cell) machine() string {
	if c.value == nil {
		return ""
	}
	return fmt.Sprint(c.value)
}

// csv is the value for a CSV cell, which no spreadsheet runs.
func (c cell) csv() string {
	if s, text := c.value.(string); text {
		return legible.Cell(s)
	}
	return c.machine()
}

func (c cell) human() string {
	if c.text == "" {
		return c.machine()
	}
	return c.text
}

// printTable writes a table as text (columns in line), csv (with a header
// row) or json (an array of objects).
func printTable(w io.Writer, form string, t *table) error {
	p := newTablePrinter(w, form, t)
	for _, row := range t.rows {
		if err := p.add(row); err != nil {
			return err
		}
	}
	return p.close()
}

// tablePrinter writes a table row by row, so that a long one needs no room.
// Only the text form waits for all rows, to know how wide its columns are.
type tablePrinter struct {
	w     *bufio.Writer
	form  string
	t     table // the columns, and for text the rows so far
	csv   *csv.Writer
	field []string
	rows  int
	err   error
}

// newTablePrinter prints to w under the columns of t; its rows are not looked at.
func newTablePrinter(w io.Writer, form string, t *table) *tablePrinter {
	p := &tablePrinter{w: bufio.NewWriterSize(w, 1<<16), form: form, t: table{columns: t.columns, csv: t.csv}}
	switch form {
	case "csv":
		n := t.csv
		if n == 0 {
			n = len(t.columns)
		}
		p.csv, p.field = csv.NewWriter(p.w), make([]string, n)
		for i := range n {
			p.field[i] = t.columns[i].name
		}
		p.err = p.csv.Write(p.field)
	case "json":
		_, p.err = p.w.WriteString("[")
	}
	return p
}

// add prints one row.
func (p *tablePrinter) add(row []cell) error {
	if p.err != nil {
		return p.err
	}
	switch p.form {
	case "csv":
		for i := range p.field {
			p.field[i] = row[i].csv()
		}
		p.err = p.csv.Write(p.field)
	case "json":
		p.err = p.addObject(row)
	default:
		p.t.rows = append(p.t.rows, row)
	}
	p.rows++
	return p.err
}

func (p *tablePrinter) addObject(row []cell) error {
	var b bytes.Buffer
	if p.rows > 0 {
		b.WriteByte(',')
	}
	b.WriteString("\n  {")
	for k, c := range row {
		value, err := json.Marshal(c.value)
		if err != nil {
			return err
		}
		if k > 0 {
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "%q: %s", p.t.columns[k].name, value)
	}
	b.WriteByte('}')
	_, err := b.WriteTo(p.w)
	return err
}

// flush brings the rows so far to where they go. In the text form the columns
// are as wide from then on as these rows made them.
func (p *tablePrinter) flush() error {
	switch {
	case p.err != nil:
	case p.csv != nil:
		p.csv.Flush()
		p.err = p.csv.Error()
	case p.form != "json" && len(p.t.rows) > 0:
		p.err = p.t.writeText(p.w)
		p.t.rows = nil
	}
	if p.err == nil {
		p.err = p.w.Flush()
	}
	return p.err
}

// close writes what is left.
func (p *tablePrinter) close() error {
	if p.err != nil {
		return p.err
	}
	switch p.form {
	case "csv":
		p.csv.Flush()
		p.err = p.csv.Error()
	case "json":
		if p.rows > 0 {
			p.w.WriteByte('\n') // an error stays with the writer
		}
		p.w.WriteString("]\n")
	default:
		if len(p.t.rows) > 0 || p.rows == 0 {
			p.err = p.t.writeText(p.w)
		}
	}
	if err := p.w.Flush(); p.err == nil {
		p.err = err
	}
	return p.err
}

func (t *table) writeText(w io.Writer) error {
	begun := t.width != nil
	if !begun {
		t.measure()
	}
	width, numeric := t.width, t.numeric
	line := func(text func(int) string) error {
		var parts []string
		for i, c := range t.columns {
			if c.head == "" {
				continue
			}
			s := text(i)
			pad := strings.Repeat(" ", max(0, width[i]-utf8.RuneCountInString(s)))
			if numeric[i] {
				parts = append(parts, pad+s)
			} else {
				parts = append(parts, s+pad)
			}
		}
		_, err := fmt.Fprintln(w, strings.TrimRight(strings.Join(parts, "  "), " "))
		return err
	}
	if !begun {
		if err := line(func(i int) string { return t.columns[i].head }); err != nil {
			return err
		}
	}
	for _, row := range t.rows {
		if err := line(func(i int) string { return row[i].human() }); err != nil {
			return err
		}
	}
	return nil
}

// measure finds how wide the columns of the text form are, and which hold numbers.
func (t *table) measure() {
	t.width, t.numeric = make([]int, len(t.columns)), make([]bool, len(t.columns))
	for i, c := range t.columns {
		t.width[i] = utf8.RuneCountInString(c.head)
		t.numeric[i] = len(t.rows) > 0
		for _, row := range t.rows {
			t.width[i] = max(t.width[i], utf8.RuneCountInString(row[i].human()))
			switch row[i].value.(type) {
			case string, bool:
				t.numeric[i] = false
			}
		}
	}
}

// outForms are the forms of a table.
var outForms = []string{"text", "csv", "json"}

const outHelp = "`form`: text, csv or json (left out: text on a terminal, csv into a file or pipe)"

// tableForm checks the form asked for and fills in one that was left out.
func tableForm(cmd *cobra.Command, form string) (string, error) {
	switch {
	case form != "":
		return form, oneOf("--out", form, outForms...)
	case terminal(cmd.OutOrStdout()) != nil:
		return "text", nil
	}
	return "csv", nil
}

// span is a length of time in an option: 90s, 15m, 1h30m, 2d, or plain seconds.
type span struct{ d *time.Duration }

func (s span) String() string {
	if s.d == nil {
		return ""
	}
	return s.d.String()
}

func (s span) Type() string { return "duration" }

func (s span) Set(text string) error {
	if d, err := time.ParseDuration(text); err == nil {
		*s.d = d
		return nil
	}
	number, unit := strings.TrimSuffix(text, "d"), time.Second
	if number != text {
		unit = 24 * time.Hour
	}
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || !(math.Abs(v*float64(unit)) < 9e18) {
		return errors.New("a length of time looks like 90s, 15m, 1h30m or 2d")
	}
	*s.d = time.Duration(math.Round(v * float64(unit)))
	return nil
}

// spanVar defines an option that takes a length of time.
func spanVar(fl *pflag.FlagSet, d *time.Duration, name string, usual time.Duration, help string) {
	*d = usual
	fl.Var(span{d}, name, help)
}
