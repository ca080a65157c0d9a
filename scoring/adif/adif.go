// Package adif writes contacts in the open amateur log format, ADIF 3.1.6
// (published 15 September 2025), as ADI text. Every record says that it is practice:
// none of these contacts was on the air.
package adif

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"time"

	"driftdrill/scoring"
	"driftdrill/sim"
)

// Version is the version of the format that is written.
const Version = "3.1.6"

// Comment stands in every record.
const Comment = "PRACTICE in a simulator, not a contact on the air: do not upload"

// bands of the format's Band enumeration in which linear birds work, MHz.
var bands = []struct {
	name      string
	low, high float64
}{{"10m", 28, 29.7}, {"2m", 144, 148}, {"70cm", 420, 450}, {"23cm", 1240, 1300}, {"13cm", 2300, 2450}, {"3cm", 10000, 10500}}

// bandOf names the band of a frequency in Hz; "" = none of them.
func bandOf(hz int64) string {
	for _, b := range bands {
		if mhz := float64(hz) / 1e6; mhz >= b.low && mhz <= b.high {
			return b.name
		}
	}
	return ""
}

// Loggable tells whether a contact can stand in a log: its call was noted whole.
func Loggable(c *scoring.Contact) bool { return whole(c.Noted[sim.NoteCall]) }

// whole tells whether nothing of an entry's field is missing.
func whole(noted string) bool {
	return noted != "" && !strings.ContainsRune(noted, sim.NoteUnheard)
}

// Write writes a header and one record for each contact that is Loggable, with
// what stood in the contact log of it, right or wrong; what was not noted whole is left out.
// The program names itself with its version; now is when the file is made.
func Write(w io.Writer, program, version string, now time.Time, contacts []scoring.Contact) error {
	out := bufio.NewWriter(w)
	fmt.Fprintln(out, "Practice contacts of a simulator. None of them was on the air: do not upload this file.")
	for _, f := range [][2]string{{"ADIF_VER", Version}, {"PROGRAMID", program}, {"PROGRAMVERSION", version}, {"CREATED_TIMESTAMP", now.UTC().Format("20060102 150405")}} {
		field(out, f[0], f[1])
		fmt.Fprintln(out)
	}
	fmt.Fprint(out, "<EOH>\n\n")
	for i := range contacts {
		if Loggable(&contacts[i]) {
			record(out, &contacts[i])
		}
	}
	return out.Flush()
}

func record(w io.Writer, c *scoring.Contact) {
	mode, sub := "SSB", c.UplinkSideband.String()
	if c.Voice == "cw" {
		mode, sub = "CW", ""
	}
	mhz := func(hz int64) string { return fmt.Sprintf("%d.%06d", hz/1e6, hz%1e6) }
	for _, f := range [][2]string{
		{"CALL", c.Noted[sim.NoteCall]}, {"QSO_DATE", c.From.UTC().Format("20060102")}, {"TIME_ON", c.From.UTC().Format("150405")},
		{"QSO_DATE_OFF", c.To.UTC().Format("20060102")}, {"TIME_OFF", c.To.UTC().Format("150405")},
		{"BAND", bandOf(c.UplinkHz)}, {"FREQ", mhz(c.UplinkHz)}, {"BAND_RX", bandOf(c.ReceiveHz)}, {"FREQ_RX", mhz(c.ReceiveHz)},
		{"MODE", mode}, {"SUBMODE", sub}, {"RST_RCVD", report(c.Noted[sim.NoteReport], mode)}, {"GRIDSQUARE", grid(c.Noted[sim.NoteLocator])},
		{"PROP_MODE", "SAT"}, {"SAT_NAME", c.Bird}, {"STATION_CALLSIGN", c.Own}, {"MY_GRIDSQUARE", c.OwnLocator}, {"COMMENT", Comment},
	} {
		field(w, f[0], f[1])
	}
	fmt.Fprint(w, "<EOR>\n")
}

// report is a report that was noted whole, with the tone where it was given in Morse.
func report(rs, mode string) string {
	switch {
	case len(rs) != 2 || !whole(rs):
		return ""
	case mode == "CW":
		return rs + "9"
	}
	return rs
}

// grid is a locator that was noted whole and can be one: two letters A to R, two digits.
func grid(noted string) string {
	if len(noted) != 4 || !whole(noted) {
		return ""
	}
	for i := range len(noted) {
		if low, high := "A0"[i/2], "R9"[i/2]; noted[i] < low || noted[i] > high {
			return ""
		}
	}
	return noted
}

// field writes a data specifier with its data: name, length in characters, value.
// Values are ASCII from space to tilde; what is not becomes a question mark. Empty ones are left out.
func field(w io.Writer, name, value string) {
	value = strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' {
			return '?'
		}
		return r
	}, value)
	if value != "" {
		fmt.Fprintf(w, "<%s:%d>%s ", name, len(value), value)
	}
}
