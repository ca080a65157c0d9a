package club

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"net"
	"net/http"
	"runtime"
	"sync"
	"sync/atomic"
	"time"

	"driftdrill/scoring"
	"driftdrill/sim"

	"golang.org/x/net/netutil"
	"golang.org/x/sync/semaphore"
)

// Config is everything a server needs from outside.
type Config struct {
	Night    Night
	Fly      func(seed uint64) (sim.Setup, error) // what is flown with a seed
	StepFree bool                                 // the drill leaves the step to the member
	Next     func(tried []scoring.Tried, skill *scoring.Skill, now time.Time) (scoring.Suggestion, bool)
	Data     string           // folder of the night book
	Code     string           // of the members
	Trainer  string           // code of the trainer
	Address  string           // where members find it, "http://192.0.2.7:8437"; for the wall
	Now      func() time.Time // nil = the wall clock
	Program  string           // name and version, for the sheets of those who fly in a browser
}

// Bounds of what a server takes: our choices.
const (
	maxSheet       = 4 << 20  // bytes of a sheet
	bodiesMemory   = 64 << 20 // bytes of sheets that are being read or marked at once
	maxForm        = 16 << 10
	maxHeader      = 16 << 10
	maxConnections = 1024
	maxListeners   = 512 // of /events
)

// Server is a club night on its way. Safe for concurrent use.
type Server struct {
	cfg     Config
	evening *evening
	pages   *template.Template
	mux     http.Handler
	guard   *guard
	bodies  *semaphore.Weighted
	marking *semaphore.Weighted
	waiting *semaphore.Weighted // of /events
	ladders scoring.Ladders
	parMu   sync.Mutex
	pars    map[int]*scoring.Ladder // by heat; what handicaps are worked out from
	homeMu  sync.Mutex
	homeKey [2]int // runs shown, ratings among them: what home was worked out from
	home    []homework
	toRate  chan struct{}
	desk    func() (*deskEdition, error) // nil, nil = this build has none
	sending atomic.Int64                 // sheets that are being read and marked
	stop    context.CancelFunc
	idle    sync.WaitGroup
	ending  context.Context
}

// New opens the night book and prepares every heat. The caller closes the server.
func New(cfg Config) (*Server, error) {
	if cfg.Now == nil {
		cfg.Now = func() time.Time { return time.Now().UTC() }
	}
	if plainCode(cfg.Code) == "" || plainCode(cfg.Trainer) == "" || sameCode(cfg.Code, cfg.Trainer) {
		return nil, errors.New("club night: members and trainer need a code each, and not the same")
	}
	e := &evening{night: cfg.Night, stepFree: cfg.StepFree, now: cfg.Now}
	for i, h := range cfg.Night.Heats {
		setup, err := cfg.Fly(h.Seed)
		if err != nil {
			return nil, err
		}
		r := &round{Heat: h, Number: i + 1, setup: setup}
		if r.hill, err = hillOf(&setup); err != nil {
			return nil, err
		}
		e.rounds = append(e.rounds, r)
	}
	pages, err := parsePages()
	if err != nil {
		return nil, err
	}
	config, err := configHash(e)
	if err != nil {
		return nil, err
	}
	if e.book, err = openBook(cfg.Data, cfg.Night.Name, config, cfg.Now()); err != nil {
		return nil, err
	}
	if err := e.load(context.Background()); err != nil {
		return nil, errors.Join(fmt.Errorf("night book: %w", err), e.book.close())
	}
	s := &Server{cfg: cfg, evening: e, pages: pages, guard: newGuard(cfg.Now), bodies: semaphore.NewWeighted(bodiesMemory),
		marking: semaphore.NewWeighted(int64(runtime.GOMAXPROCS(0))), waiting: semaphore.NewWeighted(maxListeners),
		pars: map[int]*scoring.Ladder{}, toRate: make(chan struct{}, 1), desk: loadDesk}
	s.ending, s.stop = context.WithCancel(context.Background())
	s.mux = s.routes()
	s.idle.Go(s.rateAll)
	s.rateSoon()
	return s, nil
}

// configHash tells two nights apart by what is flown in them.
func configHash(e *evening) ([]byte, error) {
	h := sha256.New()
	enc := json.NewEncoder(h)
	if err := enc.Encode(e.night.Name); err != nil {
		return nil, err
	}
	for _, r := range e.rounds {
		s := r.setup
		s.Program, s.BirdFrom, s.ElementsFrom = "", "", ""
		if err := enc.Encode(&s); err != nil {
			return nil, err
		}
	}
	return h.Sum(nil), nil
}

// Close ends what goes on in the background and closes the book.
func (s *Server) Close() error {
	s.stop()
	s.idle.Wait()
	return s.evening.book.close()
}

// ServeHTTP implements http.Handler.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.mux.ServeHTTP(w, r) }

// Serve answers on a listener until ctx ends; requests under way are finished.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	srv := &http.Server{Handler: s, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second, WriteTimeout: 60 * time.Second,
		IdleTimeout: 60 * time.Second, MaxHeaderBytes: maxHeader}
	failed := make(chan error, 1)
	go func() { failed <- srv.Serve(netutil.LimitListener(l, maxConnections)) }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	s.stop() // those who listen to /events go
	last, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	return srv.Shutdown(last)
}

// rateSoon lets the background rate what is not rated yet.
func (s *Server) rateSoon() {
	select {
	case s.toRate <- struct{}{}:
	default: // it will look anyway
	}
}

// rateAll rates runs among the reference hands, one after another, beside
// everything else: half of the processors, so that marks and pages go on.
func (s *Server) rateAll() {
	s.flyPars()
	for {
		select {
		case <-s.ending.Done():
			return
		case <-s.toRate:
		}
		for _, r := range s.evening.unrated() {
			if !s.quiet() {
				return
			}
			s.rate(r)
		}
	}
}

// quiet waits until no sheet is being marked: ratings take what time is left.
// It is false where the server ends.
func (s *Server) quiet() bool {
	for s.sending.Load() > 0 {
		select {
		case <-s.ending.Done():
			return false
		case <-time.After(50 * time.Millisecond):
		}
	}
	return s.ending.Err() == nil
}

// flyPars flies the reference hands of every heat before anybody asks.
func (s *Server) flyPars() {
	for _, r := range s.evening.rounds {
		l, err := s.ladders.Fly(s.ending, &r.setup, nil, rateWorkers(), nil)
		if err != nil {
			return // a drill without reference hands, or the end: there are no ratings then
		}
		s.parMu.Lock()
		s.pars[r.Number] = l
		s.parMu.Unlock()
	}
}

func rateWorkers() int { return max(1, runtime.GOMAXPROCS(0)/2) }

// rate finds one run's rating. What cannot be rated goes without.
func (s *Server) rate(r *Run) {
	body, err := s.evening.book.sheet(s.ending, r.ID)
	if err != nil {
		return
	}
	sh, err := readSheet(body)
	if err != nil {
		return
	}
	m, tr, err := scoring.Mark(sh)
	if err != nil {
		return
	}
	l, err := s.ladders.Fly(s.ending, &sh.Setup, tr, rateWorkers(), nil)
	if err != nil {
		return
	}
	rating := l.Rate(m, tr)
	_ = s.evening.rated(r, &rating) // it is tried again after the next sheet
}

// handicap is what a member's result in a heat is raised by. The caller holds the evening's mu.
func (s *Server) handicap(heat int, call string) float64 {
	if !s.cfg.Night.Handicap {
		return 0
	}
	s.parMu.Lock()
	l := s.pars[heat]
	s.parMu.Unlock()
	own, known := s.evening.own[call]
	return handicapOf(l, own, known)
}
