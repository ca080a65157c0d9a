package orbit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// TLE writes the set as two lines with their checksums. A catalogue number
// above 339999 does not fit and leaves its columns blank, which no reader
// takes for another bird; FitsTLE says so beforehand. Digits beyond those of
// the format are rounded.
func (e Elements) TLE() (line1, line2 string) {
	class := e.Classification
	if class < ' ' || class > '~' {
		class = ' '
	}
	epoch := e.Epoch.UTC().Round(864 * time.Microsecond)
	fraction := epoch.Sub(time.Date(epoch.Year(), epoch.Month(), epoch.Day(), 0, 0, 0, 0, time.UTC)) / (864 * time.Microsecond)
	number := formatAlpha5(e.Catalog)
	line1 = fmt.Sprintf("1 %s%c %-8.8s %02d%03d.%08d %s %s %s %1d %4d",
		number, class, ascii(e.Designator), epoch.Year()%100, epoch.YearDay(), fraction,
		tleDot(e.MeanMotionDot), tlePower(e.MeanMotionDDot), tlePower(e.BStar), e.EphemerisType%10, e.SetNumber%10000)
	line2 = fmt.Sprintf("2 %s %8.4f %8.4f %07.0f %8.4f %8.4f %11.8f%5d",
		number, e.InclinationDeg, e.NodeDeg, e.Eccentricity*1e7, e.PerigeeDeg, e.AnomalyDeg, e.MeanMotion, e.RevolutionCount%100000)
	return line1 + strconv.Itoa(tleChecksum(line1)), line2 + strconv.Itoa(tleChecksum(line2))
}

// ascii puts a question mark in place of what has no room in one column.
func ascii(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' {
			return '?'
		}
		return r
	}, s)
}

// FitsTLE says why a set cannot be written as two lines without loss of what
// it means; nil where it can.
func (e Elements) FitsTLE() error {
	switch {
	case e.Catalog < 0 || e.Catalog > greatestTLECatalog:
		return fmt.Errorf("%s: catalogue number %d has no room in a two-line set (greatest: %d)", e.Label(), e.Catalog, greatestTLECatalog)
	case math.Abs(e.MeanMotionDot) >= 1:
		return fmt.Errorf("%s: a mean motion derivative of %g has no room in a two-line set", e.Label(), e.MeanMotionDot)
	case e.Epoch.Year() < 1957 || e.Epoch.Year() > 2056:
		return fmt.Errorf("%s: the year %d cannot be told in a two-line set", e.Label(), e.Epoch.Year())
	}
	return nil
}

// tleDot writes the first derivative in ten columns, without the zero in front.
func tleDot(v float64) string {
	s := fmt.Sprintf("%.8f", math.Abs(v))
	sign := " "
	if math.Signbit(v) && s != "0.00000000" {
		sign = "-"
	}
	return sign + strings.TrimPrefix(s, "0")
}

// tlePower writes a number in eight columns with an assumed leading point.
func tlePower(v float64) string {
	if v == 0 {
		return " 00000+0"
	}
	sign := ' '
	if v < 0 {
		sign = '-'
	}
	mantissa, exponentText, _ := strings.Cut(fmt.Sprintf("%.4e", math.Abs(v)), "e")
	exponent, _ := strconv.Atoi(exponentText)
	exponent++ // 1.2345e-4 is .12345e-3
	digits := strings.Replace(mantissa, ".", "", 1)
	switch {
	case exponent < -9: // too small for one digit of exponent
		shifted := math.Round(math.Abs(v) * 1e14)
		if shifted == 0 {
			return " 00000+0"
		}
		return fmt.Sprintf("%c%05.0f-9", sign, shifted)
	case exponent > 9:
		return fmt.Sprintf("%c99999+9", sign)
	case exponent <= 0:
		return fmt.Sprintf("%c%s-%d", sign, digits, -exponent)
	}
	return fmt.Sprintf("%c%s+%d", sign, digits, exponent)
}

// formatAlpha5 writes a number in five columns; blank where it cannot be.
func formatAlpha5(n int) string {
	switch {
	case n < 0 || n > greatestTLECatalog:
		return "     "
	case n < 100000:
		return fmt.Sprintf("%05d", n)
	}
	return fmt.Sprintf("%c%04d", alpha5Letters[n/10000-10], n%10000)
}
