package adif_test

import (
	"bytes"
	"regexp"
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

// fields that the specification defines (ADIF 3.1.6, "QSO Fields") with what
// their data types and enumerations allow.
var fields = map[string]*regexp.Regexp{
	"CALL": regexp.MustCompile(`^[A-Z0-9/]+$`), "STATION_CALLSIGN": regexp.MustCompile(`^[A-Z0-9/]+$`),
	"QSO_DATE": regexp.MustCompile(`^(19[3-9]\d|2\d{3})(0[1-9]|1[0-2])(0[1-9]|[12]\d|3[01])$`), "QSO_DATE_OFF": regexp.MustCompile(`^\d{8}$`),
	"TIME_ON": regexp.MustCompile(`^([01]\d|2[0-3])[0-5]\d[0-5]\d$`), "TIME_OFF": regexp.MustCompile(`^([01]\d|2[0-3])[0-5]\d[0-5]\d$`),
	"BAND": regexp.MustCompile(`^(2m|70cm)$`), "BAND_RX": regexp.MustCompile(`^(2m|70cm)$`),
	"FREQ": regexp.MustCompile(`^\d+\.\d+$`), "FREQ_RX": regexp.MustCompile(`^\d+\.\d+$`),
	"MODE": regexp.MustCompile(`^(SSB|CW)$`), "SUBMODE": regexp.MustCompile(`^(LSB|USB)$`),
	"RST_RCVD": regexp.MustCompile(`^\d\d\d?$`), "GRIDSQUARE": regexp.MustCompile(`^[A-R]{2}\d\d([A-Xa-x]{2})?$`), "MY_GRIDSQUARE": regexp.MustCompile(`^[A-R]{2}\d\d([A-Xa-x]{2})?$`),
	"PROP_MODE": regexp.MustCompile(`^SAT$`), "SAT_NAME": regexp.MustCompile(`^[ -~]+$`), "COMMENT": regexp.MustCompile(`^[ -~]+$`),
}

// Edges of the Band enumeration, MHz.
var edges = map[string][2]float64{"2m": {144, 148}, "70cm": {420, 450}}

func example() scoring.Contact {
	from := time.Date(2026, 11, 27, 23, 59, 40, 0, time.UTC)
	return scoring.Contact{From: from, To: from.Add(45 * time.Second), Call: "Q3FEN", Locator: "JO26", Report: "57", Own: "Q5HTH", OwnLocator: "JO40aa", Bird: "DIPPER-2",
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
	if len(records) != 2 {
		t.Fatalf("%d records", len(records))
	}
	for _, r := range records {
		for name, value := range r {
			if allowed := fields[name]; allowed == nil || !allowed.MatchString(value) {
				t.Errorf("%s: %q is not what the specification allows", name, value)
			}
		}
		for _, pair := range [][2]string{{"BAND", "FREQ"}, {"BAND_RX", "FREQ_RX"}} {
			mhz, err := strconv.ParseFloat(r[pair[1]], 64)
			if e := edges[r[pair[0]]]; err != nil || mhz < e[0] || mhz > e[1] {
				t.Errorf("%s %s with %s %s", pair[0], r[pair[0]], pair[1], r[pair[1]])
			}
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
