package logbook

import (
	"path/filepath"
	"testing"

	"driftdrill/sim"
)

// BenchmarkRemark marks anew a logbook of sheets of 15 minutes on all cores,
// without rating them. The metric of interest is ms/sheet.
func BenchmarkRemark(b *testing.B) {
	const sheets = 100
	setup := template(b)
	setup.Length = 900 * sim.TicksPerSecond
	setup.Drill.Plan.Overs = 0
	text, err := flown(setup, nil)
	if err != nil {
		b.Fatal(err)
	}
	body, err := pack(text)
	if err != nil {
		b.Fatal(err)
	}
	book := open(b, filepath.Join(b.TempDir(), "l.sqlite"))
	fill(b, book, sheets)
	if _, err := book.db.Exec("UPDATE sheets SET body = ?, size = ?, sum = ?", body, len(text), sumOf(body)); err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(len(body))/1024, "kB/sheet")
	for b.Loop() {
		if _, err := book.db.Exec("UPDATE runs SET formula = 0"); err != nil {
			b.Fatal(err)
		}
		done, failed, err := book.Remark(ctx, nil)
		if err != nil || done != sheets || len(failed) > 0 {
			b.Fatal(done, failed, err)
		}
	}
	b.ReportMetric(b.Elapsed().Seconds()*1000/float64(b.N)/sheets, "ms/sheet")
}
