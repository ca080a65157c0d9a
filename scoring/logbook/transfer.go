//go:build !js

package logbook

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"sort"
	"strconv"
	"strings"
	"sync"
	"time"

	"driftdrill/orbit/legible"
	"driftdrill/scoring"
	"driftdrill/sim"
)

// WriteCSV writes runs as CSV with a header line.
func WriteCSV(w io.Writer, entries []Entry) error {
	out := csv.NewWriter(w)
	text := legible.Cell // a name that a spreadsheet would run is none
	out.Write([]string{"run", "operator", "flown_utc", "start_utc", "drill", "bird", "top_deg", "hand", "formula", "hold_index", "found_s", "rating", "rating_sd", "goal_met", "counts", "why_not"})
	for _, e := range entries {
		rating, sd := "", ""
		if e.Rating != nil {
			rating, sd = number(e.Rating.Hand), number(e.Rating.SD)
		}
		found, goal := "", ""
		if e.FoundS != nil {
			found = number(*e.FoundS)
		}
		if e.GoalMet != nil {
			goal = strconv.FormatBool(*e.GoalMet)
		}
		out.Write([]string{strconv.FormatInt(e.ID, 10), text(legible.Line(e.Operator)), e.Flown.Format(time.RFC3339), e.Start.Format(time.RFC3339), text(e.Drill), text(legible.Line(e.Bird)), number(e.TopDeg), text(e.Hand),
			strconv.Itoa(e.Formula), number(e.HoldIndex), found, rating, sd, goal, strconv.FormatBool(e.Counts), e.WhyNot})
	}
	out.Flush()
	return out.Error()
}

// number writes a figure with three digits at most behind the point.
func number(x float64) string {
	return strconv.FormatFloat(math.Round(x*1000)/1000, 'f', -1, 64)
}

// exportIndex is the file beside exported sheets that says whose they are and when they were flown.
const exportIndex = "runs.csv"

// Export writes the sheets of runs into a folder, with runs.csv beside them.
// Sheets that are there already under the same name are left alone. A sheet
// that is damaged is left out and told of in bad; the others go on.
func (b *Book) Export(ctx context.Context, folder string, entries []Entry, write WriteFile) (written int, bad []error, err error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return 0, nil, explain(folder, err)
	}
	for _, e := range entries {
		path := filepath.Join(folder, SheetName(e))
		if _, err := os.Stat(path); err == nil {
			continue
		}
		text, err := b.Sheet(ctx, e.ID)
		if err != nil {
			bad = append(bad, err)
			continue
		}
		if err := write(path, text); err != nil {
			return written, bad, err
		}
		written++
	}
	var index bytes.Buffer
	if err := WriteCSV(&index, entries); err != nil {
		return written, bad, err
	}
	return written, bad, write(filepath.Join(folder, exportIndex), index.Bytes())
}

// SheetName is the name of a run's exported sheet.
func SheetName(e Entry) string {
	return fmt.Sprintf("%s-%s-%d.jsonl", e.Flown.Format("20060102-150405"), e.Drill, e.ID)
}

// Imported says what became of one sheet.
type Imported struct {
	Path  string
	ID    int64
	Added bool
	Err   error // why it was not taken
}

// Rate flies the ladder for a setup; nil leaves a run unrated.
type Rate func(setup *sim.Setup, m scoring.Marks, tr *scoring.Trace) *scoring.Rating

// Import takes sheets from files and folders. Each is replayed; one that does
// not agree with its commands is refused, one that is there already is left.
// A runs.csv beside the sheets says whose they are and when they were flown;
// otherwise the operator is the sheet's, or the one given, and the time the file's.
func (b *Book) Import(ctx context.Context, paths []string, operator string, rate Rate) ([]Imported, error) {
	var out []Imported
	for _, path := range paths {
		files, err := SheetsIn(path)
		if err != nil {
			return out, err
		}
		for _, f := range files {
			i := Imported{Path: f}
			i.ID, i.Added, i.Err = b.importOne(ctx, f, operator, rate)
			out = append(out, i)
			if errors.Is(i.Err, ErrFull) || errors.Is(i.Err, ErrReadOnly) {
				return out, i.Err
			}
		}
	}
	return out, nil
}

// SheetsIn returns a file itself, or the sheets of a folder and those below it
// in the order of their names.
func SheetsIn(path string) ([]string, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.IsDir() {
		return []string{path}, nil
	}
	var files []string
	err = filepath.WalkDir(path, func(p string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && strings.HasSuffix(p, ".jsonl") {
			files = append(files, p)
		}
		return err
	})
	sort.Strings(files)
	return files, err
}

func (b *Book) importOne(ctx context.Context, path, operator string, rate Rate) (int64, bool, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return 0, false, err
	}
	info, err := os.Stat(path)
	if err != nil {
		return 0, false, err
	}
	p, err := Prepare(Run{Operator: operator, Flown: info.ModTime(), Sheet: text}, path)
	if err != nil {
		return 0, false, err
	}
	if id, there, err := b.holds(ctx, p); there || err != nil {
		return id, false, explain(b.path, err)
	}
	if a := scoring.Verify(p.Sheet, p.Trace, p.Marks); !a.Agrees {
		return 0, false, fmt.Errorf("%s: does not agree with its commands: %s; not taken", path, a.Why)
	}
	if who, when, ok := indexed(path); ok {
		p.Run.Flown = when
		if operator == "" {
			p.Run.Operator = who
		}
	}
	if rate != nil {
		p.Run.Rating = rate(&p.Sheet.Setup, p.Marks, p.Trace)
	}
	id, added, err := b.write(ctx, p)
	return id, added, explain(b.path, err)
}

// holds says whether a run is in the logbook already: by what was flown,
// whatever this version makes of it.
func (b *Book) holds(ctx context.Context, p *Prepared) (id int64, there bool, err error) {
	err = b.db.QueryRowContext(ctx, "SELECT id FROM runs WHERE hash = ?", p.Hash[:]).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) {
		return 0, false, nil
	}
	return id, err == nil, err
}

// indexed looks a sheet up in the runs.csv beside it.
func indexed(path string) (operator string, flown time.Time, ok bool) {
	f, err := os.Open(filepath.Join(filepath.Dir(path), exportIndex))
	if err != nil {
		return "", time.Time{}, false
	}
	defer f.Close()
	rows, err := csv.NewReader(io.LimitReader(f, 64<<20)).ReadAll()
	if err != nil {
		return "", time.Time{}, false
	}
	name := filepath.Base(path)
	for _, r := range rows[min(1, len(rows)):] {
		if len(r) < 5 {
			continue
		}
		id, err1 := strconv.ParseInt(r[0], 10, 64)
		at, err2 := time.Parse(time.RFC3339, r[2])
		if err1 == nil && err2 == nil && SheetName(Entry{ID: id, Flown: at, Drill: r[4]}) == name {
			return legible.FromCell(r[1]), at, true
		}
	}
	return "", time.Time{}, false
}

// Remark marks anew, on all cores, the runs that were marked by another
// formula. It returns how many there were and the sheets that could not be.
func (b *Book) Remark(ctx context.Context, rate Rate) (done int, failed []error, err error) {
	ids, err := b.outdated(ctx)
	if err != nil {
		return 0, nil, explain(b.path, err)
	}
	var mu sync.Mutex
	var wait sync.WaitGroup
	next := make(chan int64)
	for range runtime.GOMAXPROCS(0) {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for id := range next {
				err := b.remarkOne(ctx, id, rate)
				mu.Lock()
				if err != nil {
					failed = append(failed, fmt.Errorf("run %d: %w", id, err))
				} else {
					done++
				}
				mu.Unlock()
			}
		}()
	}
	for _, id := range ids {
		next <- id
	}
	close(next)
	wait.Wait()
	return done, failed, nil
}

func (b *Book) outdated(ctx context.Context) ([]int64, error) {
	rows, err := b.db.QueryContext(ctx, "SELECT id FROM runs WHERE formula <> ?", scoring.Formula)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var ids []int64
	for rows.Next() {
		var id int64
		if err := rows.Scan(&id); err != nil {
			return nil, err
		}
		ids = append(ids, id)
	}
	return ids, rows.Err()
}

func (b *Book) remarkOne(ctx context.Context, id int64, rate Rate) error {
	text, err := b.Sheet(ctx, id)
	if err != nil {
		return err
	}
	sh, err := sim.ReadSheet(bytes.NewReader(text), fmt.Sprintf("run %d", id))
	if err != nil {
		return err
	}
	m, tr, err := scoring.Mark(sh)
	if err != nil {
		return err
	}
	marks, err := json.Marshal(m)
	if err != nil {
		return err
	}
	set := "formula = ?, hold_index = ?, found_s = ?, stopped = ?, marks = ?"
	args := []any{m.Formula, m.HoldIndex, m.FoundS, m.Stopped, string(marks)}
	if rate != nil {
		if r := rate(&sh.Setup, m, tr); r != nil {
			rating, err := json.Marshal(r)
			if err != nil {
				return err
			}
			set += ", rating = ?, axes = ?"
			args = append(args, string(rating), packAxes(scoring.CountedRating(&sh.Setup, m, tr, r)))
		}
	}
	_, err = b.db.ExecContext(ctx, "UPDATE runs SET "+set+" WHERE id = ?", append(args, id)...)
	return explain(b.path, err)
}
