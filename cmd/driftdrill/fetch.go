package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/outfile"
	"driftdrill/orbit"
)

// A fetch is polite and careful: it asks the same address at most once in two
// hours, or in ten minutes where nothing came of it, says what it has already, reads no more than 64 MiB, gives up on a
// server that stalls, and puts a new file in the place of the old one only
// when every set in it can be read. The file before is kept beside it.
type fetcher struct {
	client   *http.Client
	now      func() time.Time
	stall    time.Duration // longest silence of the server
	whole    time.Duration // longest fetch
	progress io.Writer     // where a bar is drawn; nil for none
	lenient  bool
	force    bool
	daily    bool // nobody waits for it: ask once a day, and rarer where nothing comes of it
	tried    bool // note also that a server could not be reached
}

// Limits of a fetch.
const (
	fetchInterval = 2 * time.Hour
	fetchAgain    = 10 * time.Minute // after an answer that was of no use
	fetchStall    = 20 * time.Second
	fetchWhole    = 5 * time.Minute
	mostRedirects = 5
	fetchDaily    = 24 * time.Hour
	fetchRarest   = 3                   // a day is doubled so often where what came was of no use
	fetchMissed   = 15 * time.Minute    // after a server that could not be reached; doubled each time
	fetchMissedTo = 5                   // so often at the most: 8 h
	fetchLater    = 30 * 24 * time.Hour // the longest that a server may ask to be left alone
)

func newFetcher(progress io.Writer) *fetcher {
	return &fetcher{now: time.Now, stall: fetchStall, whole: fetchWhole, progress: progress, client: &http.Client{
		CheckRedirect: func(req *http.Request, via []*http.Request) error {
			if len(via) > mostRedirects {
				return fmt.Errorf("the server sends from one address to the next more than %d times", mostRedirects)
			}
			if via[0].URL.Scheme == "https" && req.URL.Scheme != "https" {
				return errors.New("the server sends from a safe address to an unsafe one")
			}
			return nil
		},
	}}
}

// origin is what is known of where a file came from: it lies beside it.
type origin struct {
	URL          string    `json:"url"`
	ETag         string    `json:"etag,omitempty"`
	LastModified string    `json:"last_modified,omitempty"`
	Asked        time.Time `json:"asked"`              // when the server was last asked
	Failed       bool      `json:"failed,omitempty"`   // and what came was of no use
	Failures     int       `json:"failures,omitempty"` // how often in a row
	Later        time.Time `json:"later,omitzero"`     // the server asks to be left alone until then
	Tried        time.Time `json:"tried,omitzero"`     // when it could not be reached
	Missed       int       `json:"missed,omitempty"`   // how often in a row
}

// wait is how long its server is still to be left alone.
func (f *fetcher) wait(o origin) time.Duration {
	now, left := f.now(), time.Duration(0)
	since := func(t time.Time, d time.Duration) {
		if passed := now.Sub(t); passed >= 0 && passed < d { // a time to come says nothing: the clock was wrong
			left = max(left, d-passed)
		}
	}
	switch {
	case f.daily:
		since(o.Asked, fetchDaily<<min(o.Failures, fetchRarest))
		if o.Missed > 0 {
			since(o.Tried, fetchMissed<<min(o.Missed-1, fetchMissedTo))
		}
	default:
		since(o.Asked, o.interval())
	}
	if later := o.Later.Sub(now); later > 0 && later <= fetchLater {
		left = max(left, later)
	}
	return left
}

// interval is how long the server is left alone after its last answer.
func (o origin) interval() time.Duration {
	if o.Failed {
		return fetchAgain
	}
	return fetchInterval
}

func originPath(file string) string { return file + ".origin.json" }

// readOrigin returns what is known of a file; nothing where it cannot be read.
func readOrigin(file string) origin {
	var o origin
	data, err := os.ReadFile(originPath(file))
	if err != nil || json.Unmarshal(data, &o) != nil {
		return origin{}
	}
	return o
}

func (o origin) write(file string) error {
	data, err := json.MarshalIndent(o, "", "  ")
	if err != nil {
		return err
	}
	return outfile.Write(originPath(file), append(data, '\n'))
}

// fetched is how a fetch ended.
type fetched struct {
	sets      []orbit.Elements
	problems  []orbit.Problem // warnings only
	unchanged bool            // the server has nothing newer
	tooSoon   time.Duration   // it was not asked: this long to wait
}

// parseURL checks an address.
func parseURL(text string) (*url.URL, error) {
	u, err := url.Parse(text)
	if err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" {
		return nil, fmt.Errorf("%q is no address; it begins with https:// or http://", text)
	}
	return u, nil
}

// fetch gets elements from an address into a file. Where it fails the file
// stays as it was.
func (f *fetcher) fetch(ctx context.Context, address, file string) (fetched, error) {
	known := readOrigin(file)
	here := fileExists(file)
	if known.URL != address {
		known = origin{URL: address}
	}
	if wait := f.wait(known); wait > 0 && !f.force {
		return fetched{tooSoon: wait}, nil
	}
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		return fetched{}, err
	}
	ctx, cancel := context.WithTimeout(ctx, f.whole)
	defer cancel()
	data, next, err := f.download(ctx, known, here)
	if !next.Asked.IsZero() { // the server was reached: that counts, however it ended
		seen := known
		seen.Asked, seen.Later, seen.Missed = next.Asked, next.Later, 0
		if seen.Failed = err != nil || data != nil; seen.Failed { // until all is well
			seen.Failures++
		} else {
			seen.Failures = 0
		}
		if e := seen.write(file); e != nil && err == nil {
			err = e
		}
	}
	if err != nil {
		if f.tried && next.Asked.IsZero() && ctx.Err() == nil {
			missed := known
			missed.Tried, missed.Missed = f.now().UTC(), known.Missed+1
			_ = missed.write(file) // it is told already that nothing came
		}
		return fetched{}, fmt.Errorf("%s: %w", address, plainNetError(err))
	}
	if data == nil {
		return fetched{unchanged: true}, nil
	}
	sets, problems := orbit.ReadElementsWith(bytes.NewReader(data), address, orbit.ReadOptions{Lenient: f.lenient})
	for _, p := range problems {
		if !p.Warning {
			return fetched{}, fmt.Errorf("what came is not used: %w", p)
		}
	}
	if err := replaceWhole(file, data); err != nil {
		return fetched{}, err
	}
	return fetched{sets: sets, problems: problems}, next.write(file)
}

// download asks the server. No data and no error means that nothing is newer.
// The origin returned has Asked set as soon as the server has answered.
func (f *fetcher) download(ctx context.Context, known origin, here bool) ([]byte, origin, error) {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	watch := time.AfterFunc(f.stall, func() { cancel(errStalled) })
	defer watch.Stop()
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, known.URL, nil)
	if err != nil {
		return nil, origin{}, err
	}
	request.Header.Set("User-Agent", "driftdrill/"+version)
	if here && known.ETag != "" {
		request.Header.Set("If-None-Match", known.ETag)
	}
	if here && known.LastModified != "" {
		request.Header.Set("If-Modified-Since", known.LastModified)
	}
	response, err := f.client.Do(request)
	if err != nil {
		return nil, origin{}, stallCause(ctx, err)
	}
	defer response.Body.Close()
	next := origin{URL: known.URL, ETag: response.Header.Get("ETag"), LastModified: response.Header.Get("Last-Modified"), Asked: f.now().UTC()}
	next.Later = leftAlone(response.Header.Get("Retry-After"), next.Asked)
	switch {
	case response.StatusCode == http.StatusNotModified && here:
		return nil, next, nil
	case response.StatusCode != http.StatusOK:
		return nil, next, fmt.Errorf("the server answers %s", response.Status)
	case response.ContentLength > orbit.MaxElementBytes:
		return nil, next, fmt.Errorf("the file has %d MiB; at most %d are read", response.ContentLength>>20, orbit.MaxElementBytes>>20)
	}
	bar := newLoadBar(f.progress, response.ContentLength)
	defer bar.finish()
	body := &watchedReader{response.Body, func(n int) {
		watch.Reset(f.stall)
		bar.add(n)
	}}
	data, err := io.ReadAll(io.LimitReader(body, orbit.MaxElementBytes+1))
	if err != nil {
		return nil, next, stallCause(ctx, err)
	}
	if len(data) > orbit.MaxElementBytes {
		return nil, next, fmt.Errorf("the file does not end after %d MiB, the most that is read", orbit.MaxElementBytes>>20)
	}
	if data == nil {
		data = []byte{}
	}
	return data, next, nil
}

// leftAlone reads until when a server asks to be left alone: Retry-After of RFC
// 9110, section 10.2.3, in seconds or as a date; zero = it does not, or asks
// for more than makes sense.
func leftAlone(header string, now time.Time) time.Time {
	if seconds, err := strconv.Atoi(strings.TrimSpace(header)); err == nil && seconds > 0 && seconds <= int(fetchLater.Seconds()) {
		return now.Add(time.Duration(seconds) * time.Second)
	}
	if at, err := http.ParseTime(header); err == nil && at.After(now) && at.Sub(now) <= fetchLater {
		return at.UTC()
	}
	return time.Time{}
}

var errStalled = errors.New("the server is silent; try again later")

// stallCause returns why a request was given up, where it was we who did.
func stallCause(ctx context.Context, err error) error {
	if cause := context.Cause(ctx); errors.Is(cause, errStalled) {
		return cause
	}
	return err
}

// plainNetError says in plain words what went wrong on the way.
func plainNetError(err error) error {
	var lookup *net.DNSError
	var address *url.Error
	var way *net.OpError
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF):
		return errors.New("the answer was cut short; the old file stays")
	case errors.Is(err, context.DeadlineExceeded):
		return errors.New("it took too long; the old file stays")
	case errors.As(err, &lookup):
		return fmt.Errorf("there is no server %s, or no network", lookup.Name)
	case errors.As(err, &way) && way.Op == "dial" && way.Addr != nil:
		return fmt.Errorf("the server at %s cannot be reached, or there is no network", way.Addr)
	case errors.As(err, &address):
		return address.Err
	}
	return err
}

// watchedReader tells of what was read.
type watchedReader struct {
	io.Reader
	tell func(n int)
}

func (r *watchedReader) Read(p []byte) (int, error) {
	n, err := r.Reader.Read(p)
	r.tell(n)
	return n, err
}

// replaceWhole writes a file and keeps the file that was there as FILE.before.
func replaceWhole(file string, data []byte) error {
	if old, err := os.ReadFile(file); err == nil {
		if err := sameMode(file, file+".before"); err != nil {
			return err
		}
		if err := outfile.Write(file+".before", old); err != nil {
			return err
		}
	}
	return outfile.Write(file, data)
}

// sameMode gives a file, which it makes where there is none, the mode of
// another: who may not read the one may not read its copy.
func sameMode(file, other string) error {
	info, err := os.Stat(file)
	if err != nil {
		return err
	}
	f, err := os.OpenFile(other, os.O_CREATE|os.O_WRONLY, info.Mode().Perm())
	if err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	return os.Chmod(other, info.Mode().Perm())
}
