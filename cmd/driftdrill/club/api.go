package club

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"time"

	"driftdrill/scoring"
	"driftdrill/sim"
)

// codeHeader carries the join code of a program that sends sheets.
const codeHeader = "X-Join-Code"

// sessionCookie is the only cookie: whose session this is.
const sessionCookie = "night"

// who says on whose behalf a request comes: a member's session, the trainer's, or a code.
type who struct {
	call    string // of the session; "" = none
	trainer bool
	code    bool // the join code came with the request
	wrong   bool // a code came and was wrong
}

// ask finds out who asks. Codes are only looked at while the address may guess.
func (s *Server) ask(r *http.Request) (who, bool) {
	var w who
	if c, err := r.Cookie(sessionCookie); err == nil && c.Value != "" {
		key := tokenKey(c.Value)
		s.evening.mu.Lock()
		call, ok := s.evening.sessions[key]
		s.evening.mu.Unlock()
		w.call, w.trainer = call, ok && call == ""
	}
	given := r.Header.Get(codeHeader)
	if given == "" {
		return w, true
	}
	if !s.guard.mayGuess(r) {
		return w, false
	}
	w.code = sameCode(given, s.cfg.Code)
	if w.wrong = !w.code; w.wrong {
		s.guard.guessed(r)
	}
	return w, true
}

const (
	slowDown  = "Too many wrong codes from here; wait a minute."
	needsCode = "The join code is missing or wrong: it stands on the wall."
)

// nightAnswer is what GET /night tells.
type nightAnswer struct {
	Name    string      `json:"name"`
	Drill   string      `json:"drill"`
	Title   string      `json:"title"`
	Bird    string      `json:"bird"`
	Place   string      `json:"place"`
	AOS     time.Time   `json:"aos_utc"`
	LOS     time.Time   `json:"los_utc"`
	TopDeg  float64     `json:"top_deg"`
	Tries   int         `json:"tries"`
	Classes []string    `json:"classes"`
	Heat    *heatAnswer `json:"heat"` // null while none is open
}

// heatAnswer is the heat that is open.
type heatAnswer struct {
	Number int       `json:"number"`
	Name   string    `json:"name"`
	Opened time.Time `json:"opened_utc"`
	// What follows is told to who has the code and says for whom.
	Class    string     `json:"class,omitempty"`
	Seed     uint64     `json:"seed,omitempty"`
	StepFree bool       `json:"step_free,omitempty"` // the step is the member's own choice
	Setup    *sim.Setup `json:"setup,omitempty"`     // the run, as the header of its sheet has it
}

// night answers what to fly. Who names a call, with the code, is about to fly:
// the wall shows him in the air from now on. While no heat is open he joins, and the wall shows him here.
func (s *Server) night(w http.ResponseWriter, r *http.Request) {
	asks, ok := s.ask(r)
	if !ok || asks.wrong {
		refuseCode(w, ok)
		return
	}
	e := s.evening
	e.mu.Lock()
	setup, heat := &e.rounds[0].setup, e.current()
	if heat != nil {
		setup = &heat.setup
	}
	a := nightAnswer{Name: e.night.Name, Drill: setup.Drill.Name, Title: setup.Drill.Title, Bird: setup.Bird.Name, Place: setup.Site.Name, AOS: setup.Pass.AOS.UTC(),
		LOS: setup.Pass.LOS.UTC(), TopDeg: setup.Pass.MaxElevationDeg, Tries: e.night.Tries, Classes: e.night.Classes}
	if heat != nil {
		a.Heat = &heatAnswer{Number: heat.Number, Name: heat.label(), Opened: heat.opened}
	}
	e.mu.Unlock()
	call, given := s.callOf(r, asks)
	if given {
		err := s.enter(r.Context(), call, query(r, "class"))
		if err == nil && a.Heat != nil {
			err = s.tell(a.Heat, call)
		}
		if err != nil {
			answerRefusal(w, err)
			return
		}
	}
	answerJSON(w, http.StatusOK, a)
}

// callOf is the call on whose behalf a member's program asks; false where it
// names none or has no right to.
func (s *Server) callOf(r *http.Request, asks who) (string, bool) {
	if asks.call != "" && !asks.code && !asks.trainer {
		return asks.call, query(r, "call") != ""
	}
	call, ok := parseCall(query(r, "call"))
	return call, ok && (asks.code || asks.trainer)
}

// tell gives a member what he flies now.
func (s *Server) tell(a *heatAnswer, call string) error {
	heat, class, err := s.evening.begin(call, false)
	if err != nil {
		return err
	}
	setup := heat.setup
	setup.Drill.Aids = classNamed(class).Aids
	setup.Call = call
	a.Class, a.Seed, a.StepFree, a.Setup = class, heat.Seed, s.cfg.StepFree, &setup
	return nil
}

// enter lets a member join who has not, and change his class where he asks for it.
func (s *Server) enter(ctx context.Context, call, class string) error {
	s.evening.mu.Lock()
	f := s.evening.flyers[call]
	s.evening.mu.Unlock()
	if class == "" {
		if f != nil {
			return nil
		}
		class = s.cfg.Night.Classes[0]
	}
	return s.evening.join(ctx, call, class)
}

// SheetAnswer is what POST /sheets answers to a sheet that is taken.
type SheetAnswer struct {
	ID       int64          `json:"id"`
	Call     string         `json:"call"`
	Heat     int            `json:"heat"`
	Class    string         `json:"class"`
	Received time.Time      `json:"received_utc"`
	Marks    scoring.Marks  `json:"marks"`
	Advice   scoring.Advice `json:"advice"`
}

// sheets takes a run sheet: 201 with its marks, or why not.
func (s *Server) sheets(w http.ResponseWriter, r *http.Request) {
	asks, ok := s.ask(r)
	if !ok || asks.wrong || !asks.code && !asks.trainer && asks.call == "" {
		refuseCode(w, ok)
		return
	}
	call, ok := parseCall(query(r, "call"))
	if query(r, "call") == "" && asks.call != "" {
		call, ok = asks.call, true
	}
	if !ok {
		answerRefusal(w, refuse("Give the call sign with ?call=: letters, digits, and / or - between them, up to %d in all.", maxCall))
		return
	}
	if !asks.code && !asks.trainer && call != asks.call {
		refuseCode(w, true)
		return
	}
	s.sending.Add(1)
	defer s.sending.Add(-1)
	body, release, status, err := s.body(w, r)
	if err != nil {
		plain(w, status, err.Error())
		return
	}
	defer release()
	run, err := s.submit(r.Context(), call, query(r, "class"), body)
	var no *Refusal
	switch {
	case errors.As(err, &no):
		s.evening.refuseSheet(call, no)
		answerRefusal(w, no)
	case err != nil:
		plain(w, http.StatusServiceUnavailable, "The night book cannot be written now; keep the sheet and send it again.")
	default:
		s.rateSoon()
		answerJSON(w, http.StatusCreated, SheetAnswer{run.ID, run.Call, run.Heat, run.Class, run.Received, run.Marks, run.Advice})
	}
}

// body reads a sheet within the memory that is set aside for all of them.
func (s *Server) body(w http.ResponseWriter, r *http.Request) (body []byte, release func(), status int, err error) {
	tooLong := fmt.Errorf("the sheet is longer than %d MiB", maxSheet>>20)
	if r.ContentLength > maxSheet {
		return nil, nil, http.StatusRequestEntityTooLarge, tooLong
	}
	weight := r.ContentLength
	if weight < 0 {
		weight = maxSheet
	}
	if err := s.bodies.Acquire(r.Context(), weight); err != nil {
		return nil, nil, http.StatusServiceUnavailable, err
	}
	body, err = readBody(http.MaxBytesReader(w, r.Body, maxSheet), weight)
	if err != nil {
		s.bodies.Release(weight)
		var long *http.MaxBytesError
		if errors.As(err, &long) {
			return nil, nil, http.StatusRequestEntityTooLarge, tooLong
		}
		return nil, nil, http.StatusBadRequest, errors.New("the sheet did not come whole; send it again")
	}
	return body, func() { s.bodies.Release(weight) }, 0, nil
}

func readBody(r io.Reader, size int64) ([]byte, error) {
	b := make([]byte, 0, min(size+1, 64<<10))
	for {
		if len(b) == cap(b) {
			b = append(b, 0)[:len(b)]
		}
		n, err := r.Read(b[len(b):cap(b)])
		b = b[:len(b)+n]
		if err == io.EOF {
			return b, nil
		}
		if err != nil {
			return nil, err
		}
	}
}

// submit judges a sheet and takes it for the heat that is open.
func (s *Server) submit(ctx context.Context, call, class string, body []byte) (*Run, error) {
	e := s.evening
	e.mu.Lock()
	heat, f := e.current(), e.flyers[call]
	e.mu.Unlock()
	if heat == nil {
		return nil, refuse("No heat is open: keep the sheet until the trainer opens one.")
	}
	if f == nil || class != "" {
		if err := s.enter(ctx, call, class); err != nil {
			return nil, err
		}
	}
	e.mu.Lock()
	class = e.flyers[call].class
	e.mu.Unlock()
	if err := s.marking.Acquire(ctx, 1); err != nil {
		return nil, err
	}
	j, no := judge(body, &heat.setup, e.stepFree, classNamed(class))
	s.marking.Release(1)
	if no != nil {
		return nil, no
	}
	run, no, err := e.take(ctx, heat, call, class, j, body)
	if no != nil {
		return nil, no
	}
	return run, err
}

// events tells of every change: one line with the number of the state that the pages now show.
func (s *Server) events(w http.ResponseWriter, r *http.Request) {
	if !s.waiting.TryAcquire(1) {
		plain(w, http.StatusServiceUnavailable, "Too many pages are waiting for news.")
		return
	}
	defer s.waiting.Release(1)
	out := http.NewResponseController(w)
	w.Header().Set("Content-Type", "text/event-stream")
	beat := time.NewTicker(15 * time.Second)
	defer beat.Stop()
	for {
		version, changed := s.evening.watch()
		_ = out.SetWriteDeadline(time.Now().Add(30 * time.Second)) // where there is none, nothing is waited for
		if _, err := fmt.Fprintf(w, "retry: 2000\ndata: %d\n\n", version); err != nil {
			return
		}
		if err := out.Flush(); err != nil {
			return
		}
		select {
		case <-r.Context().Done():
			return
		case <-s.ending.Done():
			return
		case <-beat.C:
		case <-changed:
		}
	}
}

// resultsCSV gives the runs of all heats that are closed.
func (s *Server) resultsCSV(w http.ResponseWriter, _ *http.Request) {
	var out bytes.Buffer
	e := s.evening
	e.mu.Lock()
	err := writeCSV(&out, e.rounds, e.shown(), s.handicap)
	e.mu.Unlock()
	if err != nil {
		plain(w, http.StatusInternalServerError, "The results cannot be written: "+err.Error())
		return
	}
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="results.csv"`)
	_, _ = w.Write(out.Bytes()) // who has gone needs no answer
}

// sheetFile gives a member one of his sheets back, as it came: for his logbook.
func (s *Server) sheetFile(w http.ResponseWriter, r *http.Request) {
	asks, _ := s.ask(r)
	id, err := strconv.ParseInt(r.PathValue("id"), 10, 64)
	call, drill := "", ""
	s.evening.mu.Lock()
	for _, run := range s.evening.runs {
		if run.ID == id && id > 0 {
			call, drill = run.Call, run.Drill
		}
	}
	s.evening.mu.Unlock()
	if err != nil || call == "" || !asks.trainer && asks.call != call {
		plain(w, http.StatusNotFound, "There is no such sheet of yours.")
		return
	}
	body, err := s.evening.book.sheet(r.Context(), id)
	if err != nil {
		plain(w, http.StatusServiceUnavailable, "The night book cannot be read now.")
		return
	}
	w.Header().Set("Content-Type", "application/jsonl; charset=utf-8")
	w.Header().Set("Content-Disposition", fmt.Sprintf(`attachment; filename="%s-%d.jsonl"`, drill, id)) // a drill's name is letters, digits and hyphens
	_, _ = w.Write(body)
}

func refuseCode(w http.ResponseWriter, mayGuess bool) {
	if !mayGuess {
		w.Header().Set("Retry-After", "60")
		plain(w, http.StatusTooManyRequests, slowDown)
		return
	}
	plain(w, http.StatusUnauthorized, needsCode)
}

// answerRefusal says why something is not done.
func answerRefusal(w http.ResponseWriter, err error) {
	var no *Refusal
	if !errors.As(err, &no) {
		plain(w, http.StatusServiceUnavailable, "The night book cannot be used now; try again.")
		return
	}
	answerJSON(w, http.StatusUnprocessableEntity, struct {
		Reason string `json:"reason"`
	}{no.Reason})
}

func answerJSON(w http.ResponseWriter, status int, v any) {
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(v) // who has gone needs no answer
}

// query is a parameter of the address; bodies are left alone.
func query(r *http.Request, name string) string { return r.URL.Query().Get(name) }
