package club

import (
	"context"
	"slices"
	"sync"

	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// listen collects what the browser complains of: errors of scripts, and what
// the content policy has refused.
func listen(ctx context.Context) (faults func() []string) {
	var mu sync.Mutex
	var all []string
	chromedp.ListenTarget(ctx, func(ev any) {
		mu.Lock()
		defer mu.Unlock()
		switch e := ev.(type) {
		case *log.EventEntryAdded:
			if e.Entry.Level == log.LevelError {
				all = append(all, e.Entry.Text+" "+e.Entry.URL)
			}
		case *runtime.EventExceptionThrown:
			all = append(all, e.ExceptionDetails.Error())
		}
	})
	return func() []string {
		mu.Lock()
		defer mu.Unlock()
		return slices.Clone(all)
	}
}
