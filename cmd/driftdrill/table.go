package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
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

func (c cell) human() string {
	if c.text == "" {
		return c.machine()
	}
	return c.text
}

// printTable writes a table as text (columns in line), csv (with a header
// row) or json (an array of objects).
func printTable(w io.Writer, form string, t *table) error {
	switch form {
	case "csv":
		return t.writeCSV(w)
	case "json":
		return t.writeJSON(w)
	}
	return t.writeText(w)
}

func (t *table) writeCSV(w io.Writer) error {
	n := t.csv
	if n == 0 {
		n = len(t.columns)
	}
	out := csv.NewWriter(w)
	record := make([]string, n)
	for i := range n {
		record[i] = t.columns[i].name
	}
	if err := out.Write(record); err != nil {
		return err
	}
	for _, row := range t.rows {
		for i := range n {
			record[i] = row[i].machine()
		}
		if err := out.Write(record); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func (t *table) writeJSON(w io.Writer) error {
	var b strings.Builder
	b.WriteByte('[')
	for i, row := range t.rows {
		if i > 0 {
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
			fmt.Fprintf(&b, "%q: %s", t.columns[k].name, value)
		}
		b.WriteByte('}')
		if b.Len() > 1<<16 {
			if _, err := io.WriteString(w, b.String()); err != nil {
				return err
			}
			b.Reset()
		}
	}
	if len(t.rows) > 0 {
		b.WriteByte('\n')
	}
	b.WriteString("]\n")
	_, err := io.WriteString(w, b.String())
	return err
}

func (t *table) writeText(w io.Writer) error {
	width := make([]int, len(t.columns))
	numeric := make([]bool, len(t.columns))
	for i, c := range t.columns {
		width[i] = utf8.RuneCountInString(c.head)
		numeric[i] = len(t.rows) > 0
		for _, row := range t.rows {
			width[i] = max(width[i], utf8.RuneCountInString(row[i].human()))
			if _, isText := row[i].value.(string); isText {
				numeric[i] = false
			}
		}
	}
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
	if err := line(func(i int) string { return t.columns[i].head }); err != nil {
		return err
	}
	for _, row := range t.rows {
		if err := line(func(i int) string { return row[i].human() }); err != nil {
			return err
		}
	}
	return nil
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
