//go:build !nodesk && !js

package deskwire

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"driftdrill/cmd/driftdrill/desk/port"
	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/cmd/driftdrill/trainer"
	"driftdrill/scoring/logbook"
)

// moving is a logbook whose runs can be taken out and brought in; that of a
// store without files is none.
type moving interface {
	trainer.Book
	Export(ctx context.Context, folder string, entries []logbook.Entry, write logbook.WriteFile) (written int, bad []error, err error)
	Import(ctx context.Context, paths []string, operator string, rate logbook.Rate) ([]logbook.Imported, error)
}

func (w *wiring) movingBook() (moving, error) {
	b, err := w.trainer.Book()
	if err != nil {
		return nil, err
	}
	m, ok := b.(moving)
	if !ok {
		return nil, errors.New("this logbook keeps no files")
	}
	return m, nil
}

// takeOut implements port.Pages.TakeOut.
func (w *wiring) takeOut(ctx context.Context, operator string, p port.Progress) (says, where string, err error) {
	b, err := w.movingBook()
	if err != nil {
		return "", "", err
	}
	entries, err := b.List(ctx, logbook.Filter{Operator: operator})
	if err != nil {
		return "", "", err
	}
	if len(entries) == 0 {
		return "", "", errors.New("there are no runs yet")
	}
	where = filepath.Join(w.Kept, "logbook")
	done := 0
	n, bad, err := b.Export(ctx, where, entries, func(path string, text []byte) error {
		done++
		p(done, len(entries))
		return errors.Join(ctx.Err(), outfile.Write(path, text))
	})
	if err != nil {
		return "", "", err
	}
	says = fmt.Sprintf("%s written, %d were there; runs.csv lists them", counted(n, "sheet"), len(entries)-n-len(bad))
	if len(bad) > 0 {
		says += fmt.Sprintf(". Left out, damaged: %d; the first: %v", len(bad), bad[0])
	}
	return says, where, nil
}

// bringIn implements port.Pages.BringIn.
func (w *wiring) bringIn(ctx context.Context, path string, p port.Progress) (says string, err error) {
	b, err := w.movingBook()
	if err != nil {
		return "", err
	}
	files, err := logbook.SheetsIn(path)
	if err != nil {
		return "", trainer.PlainFileError(err)
	}
	if len(files) == 0 {
		return "", fmt.Errorf("%s: there is no run sheet (.jsonl) in this folder", path)
	}
	rate := trainer.RateOnLadders()
	added, there := 0, 0
	var refused []error
	for i, f := range files {
		p(i, len(files))
		if err := ctx.Err(); err != nil {
			return "", err
		}
		got, err := b.Import(ctx, []string{f}, "", rate)
		if err != nil {
			return "", err
		}
		for _, g := range got {
			switch {
			case g.Err != nil:
				refused = append(refused, g.Err)
			case g.Added:
				added++
			default:
				there++
			}
		}
	}
	says = fmt.Sprintf("%s brought in, %d were there", counted(added, "run"), there)
	if len(refused) > 0 {
		says += fmt.Sprintf(". Not taken: %d; the first: %v", len(refused), refused[0])
	}
	return says, nil
}

// counted is a number of things in words: "1 run", "3 runs".
func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
