package orbit

import (
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"driftdrill/orbit/legible"
)

// ommField is one keyword of a message and its value.
type ommField struct {
	key, value string
	number     bool
}

// shortest writes a number with the digits that give it back exactly.
func shortest(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// scientific is shortest with an exponent.
func scientific(v float64) string { return strconv.FormatFloat(v, 'e', -1, 64) }

// ommEpoch writes an epoch to the microsecond, or to the nanosecond where it needs that.
func ommEpoch(t time.Time) string {
	t = t.UTC()
	if t.Nanosecond()%1000 != 0 {
		return t.Format("2006-01-02T15:04:05.000000000")
	}
	return t.Format("2006-01-02T15:04:05.000000")
}

// The parts of a message, in the order of CCSDS 502.0-B-3, tables 4-2 and 4-3.

func (e Elements) ommMetadata() []ommField {
	return []ommField{
		{"OBJECT_NAME", e.Label(), false},
		{"OBJECT_ID", designatorToOMM(e.Designator), false},
		{"CENTER_NAME", "EARTH", false},
		{"REF_FRAME", "TEME", false},
		{"TIME_SYSTEM", "UTC", false},
		{"MEAN_ELEMENT_THEORY", "SGP4", false},
	}
}

func (e Elements) ommMeanElements() []ommField {
	return []ommField{
		{"EPOCH", ommEpoch(e.Epoch), false},
		{"MEAN_MOTION", shortest(e.MeanMotion), true},
		{"ECCENTRICITY", shortest(e.Eccentricity), true},
		{"INCLINATION", shortest(e.InclinationDeg), true},
		{"RA_OF_ASC_NODE", shortest(e.NodeDeg), true},
		{"ARG_OF_PERICENTER", shortest(e.PerigeeDeg), true},
		{"MEAN_ANOMALY", shortest(e.AnomalyDeg), true},
	}
}

func (e Elements) ommTLEParameters() []ommField {
	return []ommField{
		{"EPHEMERIS_TYPE", strconv.Itoa(e.EphemerisType), true},
		{"CLASSIFICATION_TYPE", strings.TrimSpace(string(rune(e.Classification))), false},
		{"NORAD_CAT_ID", strconv.Itoa(e.Catalog), true},
		{"ELEMENT_SET_NO", strconv.Itoa(e.SetNumber), true},
		{"REV_AT_EPOCH", strconv.Itoa(e.RevolutionCount), true},
		{"BSTAR", scientific(e.BStar), true},
		{"MEAN_MOTION_DOT", scientific(e.MeanMotionDot), true},
		{"MEAN_MOTION_DDOT", scientific(e.MeanMotionDDot), true},
	}
}

func (e Elements) ommFields() []ommField {
	return append(append(e.ommMetadata(), e.ommMeanElements()...), e.ommTLEParameters()...)
}

const ommOriginator = "DRIFTDRILL"

// WriteElements writes sets in any of the formats. created is put into the
// header of XML and KVN messages. Sets that a two-line form cannot hold are
// an error there (FitsTLE).
func WriteElements(w io.Writer, format Format, sets []Elements, created time.Time) error {
	switch format {
	case FormatTLE:
		return writeTLEs(w, sets)
	case FormatJSON:
		return writeJSON(w, sets)
	case FormatXML:
		return writeXML(w, sets, created)
	case FormatKVN:
		return writeKVN(w, sets, created)
	case FormatCSV:
		return writeCSV(w, sets)
	}
	return fmt.Errorf("orbit: %q is no format to write elements in", format)
}

func writeTLEs(w io.Writer, sets []Elements) error {
	for _, e := range sets {
		if err := e.FitsTLE(); err != nil {
			return err
		}
		line1, line2 := e.TLE()
		if e.Name != "" {
			line1 = e.Name + "\n" + line1
		}
		if _, err := fmt.Fprintf(w, "%s\n%s\n", line1, line2); err != nil {
			return err
		}
	}
	return nil
}

func writeJSON(w io.Writer, sets []Elements) error {
	var b strings.Builder
	b.WriteString("[")
	for i, e := range sets {
		if i > 0 {
			b.WriteString(",")
		}
		b.WriteString("\n  {")
		for k, f := range e.ommFields() {
			value := f.value
			if !f.number {
				quoted, err := json.Marshal(f.value)
				if err != nil {
					return err
				}
				value = string(quoted)
			}
			if k > 0 {
				b.WriteString(", ")
			}
			fmt.Fprintf(&b, "%q: %s", f.key, value)
		}
		b.WriteString("}")
	}
	b.WriteString("\n]\n")
	_, err := io.WriteString(w, b.String())
	return err
}

func writeXML(w io.Writer, sets []Elements, created time.Time) error {
	var b strings.Builder
	b.WriteString(xml.Header + "<ndm>\n")
	for _, e := range sets {
		fmt.Fprintf(&b, "  <omm id=\"CCSDS_OMM_VERS\" version=\"2.0\">\n    <header>\n      <CREATION_DATE>%s</CREATION_DATE>\n      <ORIGINATOR>%s</ORIGINATOR>\n    </header>\n    <body>\n      <segment>\n",
			ommEpoch(created), ommOriginator)
		part := func(indent, name string, fields []ommField) error {
			fmt.Fprintf(&b, "%s<%s>\n", indent, name)
			for _, f := range fields {
				fmt.Fprintf(&b, "%s  <%s>", indent, f.key)
				if err := xml.EscapeText(&b, []byte(f.value)); err != nil {
					return err
				}
				fmt.Fprintf(&b, "</%s>\n", f.key)
			}
			fmt.Fprintf(&b, "%s</%s>\n", indent, name)
			return nil
		}
		if err := part("        ", "metadata", e.ommMetadata()); err != nil {
			return err
		}
		b.WriteString("        <data>\n")
		if err := part("          ", "meanElements", e.ommMeanElements()); err != nil {
			return err
		}
		if err := part("          ", "tleParameters", e.ommTLEParameters()); err != nil {
			return err
		}
		b.WriteString("        </data>\n      </segment>\n    </body>\n  </omm>\n")
	}
	b.WriteString("</ndm>\n")
	_, err := io.WriteString(w, b.String())
	return err
}

func writeKVN(w io.Writer, sets []Elements, created time.Time) error {
	var b strings.Builder
	for _, e := range sets {
		fields := append([]ommField{
			{"CCSDS_OMM_VERS", "2.0", false}, {"CREATION_DATE", ommEpoch(created), false}, {"ORIGINATOR", ommOriginator, false},
		}, e.ommFields()...)
		for _, f := range fields {
			if f.value != "" {
				fmt.Fprintf(&b, "%-19s = %s\n", f.key, f.value)
			}
		}
		b.WriteString("\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func writeCSV(w io.Writer, sets []Elements) error {
	out := csv.NewWriter(w)
	var header []string
	for _, f := range (Elements{}).ommFields() {
		header = append(header, f.key)
	}
	if err := out.Write(header); err != nil {
		return err
	}
	for _, e := range sets {
		var row []string
		for _, f := range e.ommFields() {
			if !f.number { // nothing that a spreadsheet would run
				f.value = legible.Cell(f.value)
			}
			row = append(row, f.value)
		}
		if err := out.Write(row); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}
