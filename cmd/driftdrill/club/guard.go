package club

import (
	"net"
	"net/http"
	"os"
	"strings"
	"sync"
	"time"

	"golang.org/x/time/rate"
)

// guard slows down who asks too often, by network address.
type guard struct {
	now     func() time.Time
	mu      sync.Mutex
	callers map[string]*caller
}

// caller is what is remembered of one address.
type caller struct {
	requests *rate.Limiter
	guesses  *rate.Limiter // of codes that were wrong
	seen     time.Time
}

// Rates for one address: our choices. The burst lets a whole club behind one
// address send its sheets in the same second; a code can be guessed ten times
// a minute, which takes hours for a hundredth of them.
const (
	requestsPerS    = 50
	requestsBurst   = 1000
	guessesPerS     = 10.0 / 60
	guessesBurst    = 10
	callersKept     = 4096
	callerForgotten = 10 * time.Minute
)

func newGuard(now func() time.Time) *guard { return &guard{now: now, callers: map[string]*caller{}} }

func (g *guard) caller(r *http.Request) *caller {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		host = r.RemoteAddr
	}
	now := g.now()
	g.mu.Lock()
	defer g.mu.Unlock()
	c := g.callers[host]
	if c == nil {
		if len(g.callers) >= callersKept {
			g.forget(now)
		}
		c = &caller{requests: rate.NewLimiter(requestsPerS, requestsBurst), guesses: rate.NewLimiter(guessesPerS, guessesBurst)}
		g.callers[host] = c
	}
	c.seen = now
	return c
}

// forget drops who has not been seen for long, and everybody where that is nobody.
func (g *guard) forget(now time.Time) {
	for host, c := range g.callers {
		if now.Sub(c.seen) > callerForgotten {
			delete(g.callers, host)
		}
	}
	if len(g.callers) >= callersKept {
		clear(g.callers)
	}
}

// mayGuess says whether an address may try a code, and guessed notes a wrong one.
func (g *guard) mayGuess(r *http.Request) bool { return g.caller(r).guesses.TokensAt(g.now()) >= 1 }
func (g *guard) guessed(r *http.Request)       { g.caller(r).guesses.AllowN(g.now(), 1) }

// contentPolicy lets a page load what comes from this server and nothing else.
const contentPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self'; connect-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// wrap puts before every answer what holds for all of them.
func (g *guard) wrap(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", contentPolicy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cache-Control", "no-store")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		if !ownHost(r.Host) {
			plain(w, http.StatusMisdirectedRequest, "Open this server by its address in numbers, as the wall shows it.")
			return
		}
		if !g.caller(r).requests.AllowN(g.now(), 1) {
			h.Set("Retry-After", "2")
			plain(w, http.StatusTooManyRequests, "Too many requests from here; try again in two seconds.")
			return
		}
		next.ServeHTTP(w, r)
	})
}

// ownHost says whether a request was meant for this server: by an address in
// numbers or a name of this machine. A page elsewhere whose name is led to this
// address gets nothing.
func ownHost(host string) bool {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	host = strings.ToLower(strings.Trim(host, "[]"))
	if host == "localhost" || net.ParseIP(host) != nil {
		return true
	}
	name, err := os.Hostname()
	name = strings.ToLower(name)
	return err == nil && name != "" && (host == name || host == name+".local")
}

// plain answers with one line of text.
func plain(w http.ResponseWriter, status int, line string) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write([]byte(line + "\n")) // who has gone needs no answer
}
