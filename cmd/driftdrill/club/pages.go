package club

import (
	"bytes"
	"context"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/gomonobold"
	"golang.org/x/image/font/gofont/goregular"
)

//go:embed pages
var pageFiles embed.FS

// fonts are the desk's own: a page looks the same on every machine.
var fonts = map[string][]byte{"regular.ttf": goregular.TTF, "bold.ttf": gobold.TTF, "mono.ttf": gomono.TTF, "mono-bold.ttf": gomonobold.TTF}

func parsePages() (*template.Template, error) {
	return template.New("club").Funcs(template.FuncMap{
		"num": func(x float64) string { return fixed(x, 0) },
		"at":  func(t time.Time) string { return t.UTC().Format("15:04:05") },
		"box": func(size int) int { return size + 6 },
		"sub": func(a, b float64) float64 { return math.Round(10*(a-b)) / 10 },
	}).ParseFS(pageFiles, "pages/*.html")
}

func (s *Server) routes() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", s.firstPage)
	mux.HandleFunc("GET /fly", s.flyPage)
	mux.HandleFunc("GET /desk", s.practicePage)
	mux.HandleFunc("GET /desk/{name}", s.deskFile)
	mux.HandleFunc("GET /desk.js", s.file("pages/desk.js", "text/javascript; charset=utf-8"))
	mux.HandleFunc("GET /outbox.js", s.file("pages/outbox.js", "text/javascript; charset=utf-8"))
	mux.HandleFunc("POST /join", s.joinForm)
	mux.HandleFunc("GET /wall", s.wall)
	mux.HandleFunc("GET /night", s.night)
	mux.HandleFunc("POST /sheets", s.sheets)
	mux.HandleFunc("GET /sheets/{id}", s.sheetFile)
	mux.HandleFunc("POST /flying", s.flying)
	mux.HandleFunc("GET /events", s.events)
	mux.HandleFunc("GET /results", s.results)
	mux.HandleFunc("GET /results.csv", s.resultsCSV)
	mux.HandleFunc("GET /trainer", s.trainer)
	mux.HandleFunc("POST /trainer/in", s.trainerIn)
	mux.HandleFunc("POST /trainer/heat", s.trainerHeat)
	mux.HandleFunc("POST /trainer/sheet", s.trainerSheet)
	mux.HandleFunc("GET /club.css", s.file("pages/club.css", "text/css; charset=utf-8"))
	mux.HandleFunc("GET /icon.svg", s.file("pages/icon.svg", "image/svg+xml"))
	mux.HandleFunc("GET /club.js", s.file("pages/club.js", "text/javascript; charset=utf-8"))
	mux.HandleFunc("GET /fonts/{name}", func(w http.ResponseWriter, r *http.Request) {
		font, ok := fonts[r.PathValue("name")]
		if !ok {
			plain(w, http.StatusNotFound, "There is no such font.")
			return
		}
		w.Header().Set("Content-Type", "font/ttf")
		w.Header().Set("Cache-Control", "max-age=86400")
		_, _ = w.Write(font)
	})
	mux.HandleFunc("/", func(w http.ResponseWriter, _ *http.Request) {
		plain(w, http.StatusNotFound, "There is nothing here. The evening is at /, the wall at /wall.")
	})
	return s.guard.wrap(http.NewCrossOriginProtection().Handler(mux))
}

// file serves one of the pages' own files.
func (s *Server) file(name, kind string) http.HandlerFunc {
	return func(w http.ResponseWriter, _ *http.Request) {
		data, err := pageFiles.ReadFile(name)
		if err != nil {
			plain(w, http.StatusNotFound, "There is no such file.")
			return
		}
		w.Header().Set("Content-Type", kind)
		_, _ = w.Write(data)
	}
}

// page writes a template whole or not at all.
func (s *Server) page(w http.ResponseWriter, status int, name string, data any) {
	var out bytes.Buffer
	if err := s.pages.ExecuteTemplate(&out, name, data); err != nil {
		plain(w, http.StatusInternalServerError, "This page cannot be drawn: "+err.Error())
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(out.Bytes())
}

// part says whether a page's script asks for its moving part alone.
func part(r *http.Request, whole, live string) string {
	if query(r, "part") != "" {
		return live
	}
	return whole
}

// wall is for the projector. The code stands on it where the trainer has opened it.
func (s *Server) wall(w http.ResponseWriter, r *http.Request) {
	asks, _ := s.ask(r)
	v, err := s.wallOf(r.Context(), asks.trainer)
	if err != nil {
		plain(w, http.StatusServiceUnavailable, "The night book cannot be read now.")
		return
	}
	s.page(w, http.StatusOK, part(r, "wall", "wall-live"), v)
}

// joinView is the page of who has not joined.
type joinView struct {
	Name, Code, Call, Class, Problem string
	Again                            string // a call that has joined already, and joins here too if it is sent once more
	Classes                          []Class
}

// memberView is the page of a member.
type memberView struct {
	Name, Call, Class string
	Heat, Next, Title string
	Bird              string
	Left, Tries       int
	Classes           []Class
	Runs              []memberRun
	Homework          homework
	Join              string // what a desktop program is told
	CanChange, IsOpen bool
	Drill, Rule       string
	Aired             bool // he flies, as far as is known
	InBrowser         bool // the desk for browsers is there
}

// memberRun is one of his own runs.
type memberRun struct {
	*Run
	Heat string
	Goal string
}

// firstPage is the first page: to join, or for a member what to do now.
func (s *Server) firstPage(w http.ResponseWriter, r *http.Request) {
	asks, _ := s.ask(r)
	if asks.call == "" {
		v := joinView{Name: s.cfg.Night.Name, Class: s.cfg.Night.Classes[0], Classes: s.classes()}
		if code := query(r, "code"); printable(code, 40) {
			v.Code = code
		}
		s.page(w, http.StatusOK, "join", v)
		return
	}
	v, err := s.member(r.Context(), asks.call)
	if err != nil {
		plain(w, http.StatusServiceUnavailable, "The night book cannot be read now.")
		return
	}
	s.page(w, http.StatusOK, part(r, "member", "member-live"), v)
}

func (s *Server) classes() []Class {
	var out []Class
	for _, name := range s.cfg.Night.Classes {
		out = append(out, *classNamed(name))
	}
	return out
}

func (s *Server) member(ctx context.Context, call string) (memberView, error) {
	e := s.evening
	e.mu.Lock()
	v := memberView{Name: e.night.Name, Call: call, Classes: s.classes(), Tries: e.night.Tries, CanChange: true,
		Join: s.cfg.Address + "/?code=" + plainCode(s.cfg.Code)}
	if d, err := s.desk(); err == nil && d != nil {
		v.InBrowser = true
	}
	if f := e.flyers[call]; f != nil {
		v.Class, v.Rule = f.class, classNamed(f.class).Rule
	}
	setup := &e.rounds[0].setup
	if h := e.current(); h != nil {
		setup, v.IsOpen, v.Heat = &h.setup, true, h.label()
		n := e.triesOf(h.Number, call)
		v.Left, v.CanChange = e.night.Tries-n, n == 0
		if f := e.flyers[call]; f != nil {
			var w wallFlyer
			e.inHeat(&w, h, f)
			v.Aired = w.State == "flying"
		}
	} else {
		v.Next = e.nextWords()
	}
	v.Title, v.Bird, v.Drill = setup.Drill.Title, setup.Bird.Name, setup.Drill.Name
	anyClosed := false
	for _, r := range e.runs {
		if r.Call != call || r.ID == 0 {
			continue
		}
		anyClosed = anyClosed || !e.rounds[r.Heat-1].closed.IsZero()
		run := *r
		v.Runs = append(v.Runs, memberRun{&run, e.rounds[r.Heat-1].label(), ""})
	}
	e.mu.Unlock()
	slices.Reverse(v.Runs)
	if !anyClosed {
		return v, nil
	}
	var err error
	v.Homework, err = s.homeworkOf(ctx, call)
	return v, err
}

// joinForm lets a member in by the code and gives him a session.
func (s *Server) joinForm(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	asks, _ := s.ask(r)
	v := joinView{Name: s.cfg.Night.Name, Classes: s.classes(), Code: r.PostFormValue("code"), Call: r.PostFormValue("call"), Class: r.PostFormValue("class")}
	for _, text := range []*string{&v.Code, &v.Call} {
		if !printable(*text, 40) {
			*text = ""
		}
	}
	status, problem := s.joinBy(r, asks, &v)
	if problem != "" {
		v.Problem = problem
		s.page(w, status, "join", v)
		return
	}
	if asks.call != v.Call {
		if err := s.startSession(w, v.Call); err != nil {
			plain(w, http.StatusServiceUnavailable, "The night book cannot be written now; try again.")
			return
		}
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// joinBy enters who has the code, or a session already; otherwise it says why not.
func (s *Server) joinBy(r *http.Request, asks who, v *joinView) (int, string) {
	call, ok := parseCall(v.Call)
	if asks.call == "" || asks.call != call {
		if !s.guard.mayGuess(r) {
			return http.StatusTooManyRequests, slowDown
		}
		if !sameCode(v.Code, s.cfg.Code) {
			s.guard.guessed(r)
			return http.StatusUnauthorized, "That is not tonight's code: it stands on the wall."
		}
	}
	if !ok {
		return http.StatusUnprocessableEntity, fmt.Sprintf("A call sign has letters, digits, and / or - between them, up to %d in all.", maxCall)
	}
	v.Call = call
	if asks.call != call && r.PostFormValue("again") != call && s.evening.has(call) {
		v.Again = call
		return http.StatusConflict, fmt.Sprintf("%s has joined already. If that is you, on another device or in the program, press Join again. Else look at your call once more: two with one call share its tries.", call)
	}
	err := s.evening.join(r.Context(), call, v.Class)
	var no *Refusal
	if errors.As(err, &no) {
		return http.StatusUnprocessableEntity, no.Reason
	}
	if err != nil {
		return http.StatusServiceUnavailable, "The night book cannot be written now; try again."
	}
	return 0, ""
}

// sessionLasts is an evening and the way home.
const sessionLasts = 16 * time.Hour

// startSession gives the cookie of a member, or with "" of the trainer.
func (s *Server) startSession(w http.ResponseWriter, call string) error {
	token, err := newToken()
	if err != nil {
		return err
	}
	key := tokenKey(token)
	e := s.evening
	e.mu.Lock()
	defer e.mu.Unlock()
	if len(e.sessions) >= maxSessions {
		return errors.New("too many sessions")
	}
	if err := e.book.setSession(key, call, e.now()); err != nil {
		return err
	}
	e.sessions[key] = call
	http.SetCookie(w, &http.Cookie{Name: sessionCookie, Value: token, Path: "/", MaxAge: int(sessionLasts / time.Second), HttpOnly: true, SameSite: http.SameSiteStrictMode})
	return nil
}

// maxSessions bounds what a night keeps in memory.
const maxSessions = 4096

// resultsView is the page to print.
type resultsView struct {
	Name, Drill, Bird, Place, Day, Words string
	Heats                                []resultsHeat
	Prizes                               []Prize
	Homework                             []homework
	Several                              bool // classes
}

type resultsHeat struct {
	Name string
	Rows []wallRow
}

// results is the printable page of all heats that are closed.
func (s *Server) results(w http.ResponseWriter, r *http.Request) {
	e := s.evening
	e.mu.Lock()
	setup := &e.rounds[0].setup
	v := resultsView{Name: e.night.Name, Drill: setup.Drill.Title, Bird: setup.Bird.Name, Place: setup.Site.Name, Words: s.cfg.resultWords(),
		Day: e.now().Format("2 January 2006"), Several: len(e.night.Classes) > 1}
	for _, h := range e.rounds {
		if !h.closed.IsZero() {
			v.Heats = append(v.Heats, resultsHeat{h.label(), s.heatRows(h.Number)})
		}
	}
	shown := e.shown()
	v.Prizes = prizes(shown)
	e.mu.Unlock()
	var err error
	if v.Homework, err = s.homework(r.Context(), shown); err != nil {
		plain(w, http.StatusServiceUnavailable, "The night book cannot be read now.")
		return
	}
	s.page(w, http.StatusOK, "results", v)
}

// trainerView is the trainer's page.
type trainerView struct {
	Name    string
	Inside  bool
	Problem string
	Rounds  []trainerRound
	Flyers  []wallFlyer
	Classes []Class
	Runs    []memberRun
	Refused []refused
	Invite  *invite
	Drill   string
	Bird    string
}

type trainerRound struct {
	Number       int
	Label, State string
	Open         bool
	Sheets       int
}

func (s *Server) trainer(w http.ResponseWriter, r *http.Request) {
	asks, _ := s.ask(r)
	if !asks.trainer {
		s.page(w, http.StatusOK, "trainer", trainerView{Name: s.cfg.Night.Name})
		return
	}
	e := s.evening
	e.mu.Lock()
	v := trainerView{Name: e.night.Name, Inside: true, Classes: s.classes(), Flyers: e.wallFlyers(e.current()), Drill: e.rounds[0].setup.Drill.Title, Bird: e.rounds[0].setup.Bird.Name}
	for _, h := range e.rounds {
		t := trainerRound{Number: h.Number, Label: h.label(), Open: h.open(), State: "not flown yet"}
		switch {
		case h.open():
			t.State = "open since " + h.opened.Format("15:04:05")
		case !h.closed.IsZero():
			t.State = "closed at " + h.closed.Format("15:04:05")
		}
		for _, run := range e.runs {
			t.Sheets += boolInt(run.Heat == h.Number && run.ID != 0)
		}
		v.Rounds = append(v.Rounds, t)
	}
	for _, run := range slices.Backward(e.runs) {
		if run.ID != 0 {
			copied := *run
			v.Runs = append(v.Runs, memberRun{&copied, e.rounds[run.Heat-1].label(), ""})
		}
	}
	v.Refused = slices.Clone(e.refused)
	e.mu.Unlock()
	slices.Reverse(v.Refused)
	in, err := s.invite()
	if err != nil {
		plain(w, http.StatusInternalServerError, "The invitation cannot be drawn: "+err.Error())
		return
	}
	v.Invite = in
	s.page(w, http.StatusOK, part(r, "trainer", "trainer-live"), v)
}

// trainerIn lets the trainer in by his own code.
func (s *Server) trainerIn(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	v := trainerView{Name: s.cfg.Night.Name}
	switch {
	case !s.guard.mayGuess(r):
		v.Problem = slowDown
		s.page(w, http.StatusTooManyRequests, "trainer", v)
	case !sameCode(r.PostFormValue("code"), s.cfg.Trainer):
		s.guard.guessed(r)
		v.Problem = "That is not the trainer's code: it was printed when the server started."
		s.page(w, http.StatusUnauthorized, "trainer", v)
	default:
		if err := s.startSession(w, ""); err != nil {
			plain(w, http.StatusServiceUnavailable, "The night book cannot be written now; try again.")
			return
		}
		http.Redirect(w, r, "/trainer", http.StatusSeeOther)
	}
}

// byTrainer lets only the trainer do something and goes back to his page.
func (s *Server) byTrainer(w http.ResponseWriter, r *http.Request, do func() error) {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	if asks, _ := s.ask(r); !asks.trainer {
		plain(w, http.StatusUnauthorized, "Only the trainer can do that: sign in at /trainer.")
		return
	}
	if err := do(); err != nil {
		answerRefusal(w, err)
		return
	}
	http.Redirect(w, r, "/trainer", http.StatusSeeOther)
}

// trainerHeat opens or closes a heat.
func (s *Server) trainerHeat(w http.ResponseWriter, r *http.Request) {
	s.byTrainer(w, r, func() error {
		number, err := strconv.Atoi(r.PostFormValue("heat"))
		if err != nil {
			return refuse("Which heat? Give its number.")
		}
		switch r.PostFormValue("do") {
		case "open":
			return s.evening.openHeat(number)
		case "close":
			return s.evening.closeHeat(number)
		}
		return refuse("A heat is opened or closed.")
	})
}

// trainerSheet takes a sheet out of the results or in again.
func (s *Server) trainerSheet(w http.ResponseWriter, r *http.Request) {
	s.byTrainer(w, r, func() error {
		id, err := strconv.ParseInt(r.PostFormValue("id"), 10, 64)
		if err != nil {
			return refuse("Which sheet? Give its number.")
		}
		why := strings.TrimSpace(r.PostFormValue("why"))
		if !printable(why, 80) {
			return refuse("Give the reason in up to 80 printable characters.")
		}
		if r.PostFormValue("do") == "out" && why == "" {
			why = "taken out by the trainer"
		} else if r.PostFormValue("do") != "out" {
			why = ""
		}
		return s.evening.drop(id, why)
	})
}
