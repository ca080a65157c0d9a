package main

import (
	"errors"
	"html/template"
	"os"
	"path/filepath"
)

var reportPage = template.Must(template.New("report").Parse(`<!doctype html>
<html lang="en"><meta charset="utf-8"><title>{{.Drill}} on {{.Bird}}</title>
<h1>{{.Drill}} on {{.Bird}}</h1>
<p>{{.Start}}</p>
<p>Hold index {{printf "%.0f" .HoldIndex}} of 1000. {{.Advice.Headline}} {{.Advice.Detail}}</p>
<table>
<tr><td>within 25 Hz<td>{{.ShareWithin25Hz}}
<tr><td>within 50 Hz<td>{{.ShareWithin50Hz}}
<tr><td>within 100 Hz<td>{{.ShareWithin100Hz}}
<tr><td>RMS, Hz<td>{{.RMSHz}}
<tr><td>bias, Hz<td>{{.BiasHz}}
</table>
</html>
`))

// writeReport writes a page about a run.
func writeReport(path string, o outcome) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	return errors.Join(reportPage.Execute(f, o.Debrief), f.Close())
}
