package adif_test

import (
	"bytes"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"driftdrill/scoring"
	"driftdrill/scoring/adif"
	"driftdrill/sim"

	"pgregory.net/rapid"
)

// parse reads ADI text by the rules of the published specification (ADIF 3.1.6,
// "ADI File Format"): a header only where the first character is no "<"; data
// specifiers <NAME:LENGTH> or <NAME:LENGTH:TYPE> followed by exactly LENGTH characters; <EOH>, <EOR>;
// anything between is left out.
func parse(t interface{ Fatalf(string, ...any) }, text string) (header map[string]string, records []map[string]string) {
	header = map[string]string{}
	now, inHeader := map[string]string{}, !strings.HasPrefix(text, "<")
	for {
		from := strings.IndexByte(text, '<')
		if from < 0 {
			break
		}
		to := strings.IndexByte(text[from:], '>') + from
		parts := strings.Split(text[from+1:to], ":")
		text = text[to+1:]
		switch name := strings.ToUpper(parts[0]); {
		case name == "EOH":
			header, now, inHeader = now, map[string]string{}, false
		case name == "EOR":
			records, now = append(records, now), map[string]string{}
		default:
			n, err := strconv.Atoi(parts[1])
			if err != nil || n > len(text) {
				t.Fatalf("field %q", parts)
			}
			if _, twice := now[name]; twice {
				t.Fatalf("%s twice in one record", name)
			}
			now[name], text = text[:n], text[n:]
		}
	}
	if inHeader || len(now) > 0 {
		t.Fatalf("not ended: header %v, %v", inHeader, now)
	}
	return header, records
}

// What a data type of the specification allows (ADIF 3.1.6, "Data Types"; held against the
// published tables of 3.1.7 of 22 March 2026, which are the same for these).
var types = map[string]*regexp.Regexp{
	"String": regexp.MustCompile(`^[ -~]+$`), // Characters: ASCII 32 to 126
	// "19300101" is the first date; months and days as in the calendar.
	"Date":       regexp.MustCompile(`^(19[3-9]\d|[2-9]\d{3})(0[1-9]|1[0-2])(0[1-9]|[12]\d|3[01])$`),
	"Time":       regexp.MustCompile(`^([01]\d|2[0-3])[0-5]\d([0-5]\d)?$`),
	"Number":     regexp.MustCompile(`^-?(\d+\.?\d*|\.\d+)$`),
	"GridSquare": regexp.MustCompile(`^(?i)[A-R]{2}(\d\d([A-X]{2}(\d\d)?)?)?$`),
	"Timestamp":  regexp.MustCompile(`^\d{8} \d{6}$`), // CREATED_TIMESTAMP: a String of 15 characters, a date and a time
	"Version":    regexp.MustCompile(`^\d+\.\d\.\d$`), // ADIF_VER: a String X.Y.Z
}

// fields that may stand in a record, with their data types or enumerations (ADIF 3.1.6, "QSO Fields"), and those of the header.
var fields = map[string]string{
	"CALL": "String", "STATION_CALLSIGN": "String", "QSO_DATE": "Date", "QSO_DATE_OFF": "Date", "TIME_ON": "Time", "TIME_OFF": "Time", "BAND": "Band", "BAND_RX": "Band",
	"FREQ": "Number", "FREQ_RX": "Number", "MODE": "Mode", "SUBMODE": "Submode", "RST_RCVD": "String", "GRIDSQUARE": "GridSquare", "MY_GRIDSQUARE": "GridSquare",
	"PROP_MODE": "Propagation", "SAT_NAME": "String", "COMMENT": "String",
}

var headerFields = map[string]string{"ADIF_VER": "Version", "PROGRAMID": "String", "PROGRAMVERSION": "String", "CREATED_TIMESTAMP": "Timestamp"}

// Enumerations of the specification, as far as they concern a voice or Morse by satellite; that
// of propagation modes whole.
var enumerations = map[string][]string{
	"Propagation": strings.Fields("AS AUE AUR BS ECH EME ES F2 FAI GWAVE INTERNET ION IRL LOS MS RPT RS SAT TEP TR"),
	"Mode":        {"AM", "CW", "FM", "SSB"},
	"Submode":     {"LSB", "USB"}, // of the mode SSB
	"Band":        {"10m", "2m", "70cm", "23cm", "13cm", "3cm"},
}

// Edges of the Band enumeration, MHz.
var edges = map[string][2]float64{"10m": {28, 29.7}, "2m": {144, 148}, "70cm": {420, 450}, "23cm": {1240, 1300}, "13cm": {2300, 2450}, "3cm": {10000, 10500}}

// allowed tells whether the specification allows a value for a field.
func allowed(kind, value string) bool {
	if re := types[kind]; re != nil {
		return re.MatchString(value)
	}
	return slices.Contains(enumerations[kind], value)
}

func example() scoring.Contact {
	from := time.Date(2026, 11, 27, 23, 59, 40, 0, time.UTC)
	return scoring.Contact{From: from, To: from.Add(45 * time.Second), Call: "Q3FEN", Locator: "JO26", Report: "57", Noted: [3]string{"Q3FEN", "57", "JO26"}, Own: "Q5HTH", OwnLocator: "JO40aa", Bird: "DIPPER-2",
		UplinkHz: 435251230, ReceiveHz: 145959000, UplinkSideband: sim.LSB, Voice: "call"}
}

func TestAgainstTheSpecification(t *testing.T) {
	second := example()
	second.Voice = "cw"
	var out bytes.Buffer
	if err := adif.Write(&out, "driftdrill", "0.2", time.Date(2026, 11, 28, 1, 2, 3, 0, time.UTC), []scoring.Contact{example(), second}); err != nil {
		t.Fatal(err)
	}
	header, records := parse(t, out.String())
	if header["ADIF_VER"] != "3.1.6" || header["PROGRAMID"] != "driftdrill" || header["CREATED_TIMESTAMP"] != "20261128 010203" {
		t.Errorf("header %v", header)
	}
	for name, value := range header {
		if kind := headerFields[name]; kind == "" || !allowed(kind, value) {
			t.Errorf("header, %s: %q is not what the specification allows", name, value)
		}
	}
	if len(records) != 2 {
		t.Fatalf("%d records", len(records))
	}
	for _, r := range records {
		for name, value := range r {
			if kind := fields[name]; kind == "" || !allowed(kind, value) {
				t.Errorf("%s: %q is not what the specification allows", name, value)
			}
		}
		for _, pair := range [][2]string{{"BAND", "FREQ"}, {"BAND_RX", "FREQ_RX"}} {
			mhz, err := strconv.ParseFloat(r[pair[1]], 64)
			if e := edges[r[pair[0]]]; err != nil || mhz < e[0] || mhz > e[1] {
				t.Errorf("%s %s with %s %s", pair[0], r[pair[0]], pair[1], r[pair[1]])
			}
		}
		if r["SUBMODE"] != "" && r["MODE"] != "SSB" {
			t.Errorf("submode %s of mode %s", r["SUBMODE"], r["MODE"])
		}
		if _, err := time.Parse("20060102150405", r["QSO_DATE"]+r["TIME_ON"]); err != nil {
			t.Error(err)
		}
		if r["PROP_MODE"] != "SAT" || r["SAT_NAME"] != "DIPPER-2" || !strings.Contains(strings.ToLower(r["COMMENT"]), "practice") {
			t.Errorf("%v", r)
		}
	}
	if a, b := records[0], records[1]; a["MODE"] != "SSB" || a["SUBMODE"] != "LSB" || a["RST_RCVD"] != "57" || a["QSO_DATE_OFF"] != "20261128" || b["MODE"] != "CW" || b["SUBMODE"] != "" || b["RST_RCVD"] != "579" {
		t.Errorf("%v\n%v", a, b)
	}
}

// Whatever a bird or an operator is called, the text can be read again, and
// every record says that it is practice.
func TestNamesOfAnyKind(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := example()
		c.Bird, c.Own = rapid.String().Draw(rt, "bird"), rapid.String().Draw(rt, "own")
		var out bytes.Buffer
		if err := adif.Write(&out, "driftdrill", "0.2", time.Unix(0, 0), []scoring.Contact{c, c}); err != nil {
			rt.Fatal(err)
		}
		_, records := parse(rt, out.String())
		if len(records) != 2 || records[1]["COMMENT"] != adif.Comment || records[1]["CALL"] != "Q3FEN" {
			rt.Fatalf("%v", records)
		}
	})
}

// A log holds what was noted, right or wrong; what was not noted whole, or cannot be what
// its field takes, is left out, and without a call the whole contact.
func TestWhatWasNotNotedIsLeftOut(t *testing.T) {
	for noted, want := range map[[3]string][3]string{
		{"Q3FEN", "57", "JO26"}: {"Q3FEN", "57", "JO26"}, {"Q7OWL", "59", "JN58"}: {"Q7OWL", "59", "JN58"},
		{"Q3FEN", "5?", "J?2?"}: {"Q3FEN", "", ""}, {"Q3FEN", "5", "JO2"}: {"Q3FEN", "", ""}, {"Q3FEN", "", "26JO"}: {"Q3FEN", "", ""}, {"Q3FEN", "", "JS26"}: {"Q3FEN", "", ""},
		{"Q?F?N", "57", "JO26"}: {}, {"", "57", "JO26"}: {},
	} {
		c := example()
		c.Noted = noted
		var out bytes.Buffer
		if err := adif.Write(&out, "driftdrill", "0.2", time.Unix(0, 0), []scoring.Contact{c}); err != nil {
			t.Fatal(err)
		}
		_, records := parse(t, out.String())
		if (want[0] != "") != (len(records) == 1) || adif.Loggable(&c) != (len(records) == 1) {
			t.Errorf("%q: %d records", noted, len(records))
			continue
		}
		if want[0] != "" && (records[0]["CALL"] != want[0] || records[0]["RST_RCVD"] != want[1] || records[0]["GRIDSQUARE"] != want[2]) {
			t.Errorf("%q: %v", noted, records[0])
		}
	}
}
