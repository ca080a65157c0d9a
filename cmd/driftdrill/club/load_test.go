package club

import (
	"context"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"driftdrill/sim"
)

var load = flag.Int("load", 0, "members who send sheets of five minutes at once in TestLoad; 0 lets 40 send sheets of a minute")

// fiveMinutes is a drill whose run takes five minutes.
var fiveMinutes = strings.NewReplacer("length_s = 75", "length_s = 300", "overs = 3", "overs = 0").Replace(testDrill)

// Members who send their sheets in the same moment: none is lost and each is
// marked. How long until then, until the wall shows the last, and what memory it
// takes is told with -v and held to nothing: run it alone with -load 200 -v.
func TestLoad(t *testing.T) {
	count, drill := *load, fiveMinutes
	if count == 0 {
		count, drill = 40, testDrill
	}
	n := newNightOf(t, nightText, drill)
	n.open(1)
	waitFor(t, func() bool { n.parMu.Lock(); defer n.parMu.Unlock(); return len(n.pars) == 2 })
	setup := n.setup(1, "no aids")
	sheets := make([][]byte, count)
	total := 0
	for i := range sheets {
		sheets[i] = sheetOf(t, setup, []string{"level:0.1", "level:0.4", "regular", "expert"}[i%4], uint64(i+1))
		total += len(sheets[i])
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	go func() { _ = n.Serve(ctx, l) }()
	runtime.GC()
	before := resident(t)
	peak := before
	stop := make(chan struct{})
	var watch sync.WaitGroup
	var walls []time.Duration
	base := "http://" + l.Addr().String()
	watch.Go(func() {
		for {
			peak = max(peak, resident(t))
			began := time.Now()
			if res, err := http.Get(base + "/wall"); err == nil {
				_, _ = io.Copy(io.Discard, res.Body)
				_ = res.Body.Close()
			}
			walls = append(walls, time.Since(began))
			select {
			case <-stop:
				return
			case <-time.After(100 * time.Millisecond):
			}
		}
	})
	times := make([]time.Duration, count)
	var all sync.WaitGroup
	begin := make(chan struct{})
	for i := range sheets {
		all.Go(func() {
			<-begin
			began := time.Now()
			if status := post(ctx, l.Addr().String(), fmt.Sprintf("Q%dL", i), sheets[i]); status != http.StatusCreated {
				t.Errorf("sheet %d: %d", i, status)
			}
			times[i] = time.Since(began)
		})
	}
	began, usedBefore := time.Now(), processor(t)
	close(begin)
	all.Wait()
	marked, used := time.Since(began), processor(t)-usedBefore
	close(stop)
	watch.Wait()
	if kept, err := n.evening.book.runs(ctx); err != nil || len(kept) != count {
		t.Errorf("%d of %d in the book, %v", len(kept), count, err)
	}
	n.close(1)
	began = time.Now()
	res, err := http.Get(base + "/wall")
	if err != nil {
		t.Fatal(err)
	}
	text, err := io.ReadAll(res.Body)
	_ = res.Body.Close()
	if err != nil || strings.Count(string(text), `<td class="place">`) != count {
		t.Errorf("the wall shows %d of %d, %v", strings.Count(string(text), `<td class="place">`), count, err)
	}
	wall := time.Since(began)
	rating := time.Now()
	waitFor(t, func() bool { return len(n.evening.unrated()) == 0 })
	slices.Sort(times)
	slices.Sort(walls)
	t.Logf("%d sheets of %d s, %.1f MB: all marked after %v and %v of processor time (median %v, slowest %v); wall during that %v at most, the whole table after it in %v; ratings of all after another %v; memory %d MB before, %d MB at most (sheets of the test included)",
		count, setup.Length/sim.TicksPerSecond, float64(total)/1e6, marked.Round(time.Millisecond), used.Round(time.Millisecond), times[len(times)/2].Round(time.Millisecond), times[len(times)-1].Round(time.Millisecond),
		walls[len(walls)-1].Round(time.Millisecond), wall.Round(time.Millisecond), time.Since(rating).Round(time.Millisecond), before>>20, peak>>20)
}

// processor is the processor time of this process so far; 0 where the system does not tell.
func processor(t *testing.T) time.Duration {
	text, err := os.ReadFile("/proc/self/stat")
	if err != nil {
		return 0
	}
	fields := strings.Fields(string(text[strings.LastIndexByte(string(text), ')')+2:]))
	user, err1 := strconv.Atoi(fields[11])
	system, err2 := strconv.Atoi(fields[12])
	if err1 != nil || err2 != nil {
		t.Error(err1, err2)
	}
	return time.Duration(user+system) * time.Second / 100 // of the kernel's clock ticks, 100 a second
}

// resident is the memory of this process, bytes; 0 where the system does not tell.
func resident(t *testing.T) int64 {
	text, err := os.ReadFile("/proc/self/statm")
	if err != nil {
		return 0
	}
	var size, pages int64
	if _, err := fmt.Sscan(string(text), &size, &pages); err != nil {
		t.Error(err)
	}
	return pages * int64(os.Getpagesize())
}
