package club

import (
	"context"
	"fmt"
	"math"
	"net"
	"slices"
	"sort"
	"strings"
	"time"

	"driftdrill/scoring"
)

// wallView is the wall as it is drawn.
type wallView struct {
	Name, Bird, Drill string
	Heat              string // the one that is open, or ""
	HeatOf            string
	Hill              hill
	FirstMS           int64 // when the wall's own bird is at AOS, ms since 1970; 0 = none is on its way
	NowMS             int64
	Flyers            []wallFlyer
	InTheAir, Sent    int
	Joined            int
	Pages             []wallPage
	Invite            *invite // nil where the page may not show the code
	Next              string  // what comes next, while no heat is open
}

// wallFlyer is a member on the wall.
type wallFlyer struct {
	Call, Class string
	State       string // "here", "flying", "due" (the run is over by the clock, its sheet has not come), "sent"
	StateText   string
	FirstMS     int64 // when his bird is at AOS; 0 = he is not flying
	MayFly      bool  // he has a try left in the heat that is open
}

// wallPage is one of the pages that take turns in the wall's lower left.
type wallPage struct {
	Kind, Title, Note string
	Key               string // the same page again after a change
	Rows              []wallRow
	Prizes            []Prize
	Curve             *curveView
	Homework          []homework
}

// wallRow is a line of the results.
type wallRow struct {
	Row
	Class, Band  string // the class where it changes; the rating in words
	Known        bool   // the rating is there
	Low, Mid, Up float64
	Found        string
	Others       string
	Line         string
	Handicapped  bool
}

// invite is how a member joins.
type invite struct {
	Address, Code, QR string
	QRSize            int
	Alone             bool   // the address is this machine's own: nobody else reaches it
	Port              string // then: on which it answers
}

// homework is what a member practises next.
type homework struct{ Call, Title, Why string }

// rowsAPage is how many lines fit on the wall at a size that is read from ten metres.
const rowsAPage = 6

// wallOf puts the wall together.
func (s *Server) wallOf(ctx context.Context, withCode bool) (wallView, error) {
	e := s.evening
	e.mu.Lock()
	h := e.current()
	show := e.rounds[0]
	for _, r := range e.rounds {
		if !r.opened.IsZero() {
			show = r
		}
	}
	if h != nil {
		show = h
	}
	v := wallView{Name: e.night.Name, Bird: show.setup.Bird.Name, Drill: show.setup.Drill.Title, Hill: show.hill, NowMS: e.now().UnixMilli(), Joined: len(e.flyers)}
	if h != nil {
		v.Heat, v.HeatOf = h.label(), fmt.Sprintf("heat %d of %d", h.Number, len(e.rounds))
		if h.Name == "" {
			v.Heat, v.HeatOf = v.HeatOf, ""
		}
		v.FirstMS = h.opened.Add(time.Duration(e.night.ReadyS)*time.Second).UnixMilli() - h.hill.FromMS
	} else {
		v.Next = e.nextWords()
	}
	v.Flyers = e.wallFlyers(h)
	for _, f := range v.Flyers {
		v.InTheAir += boolInt(f.State == "flying")
		v.Sent += boolInt(f.State == "sent")
	}
	v.Pages = s.resultPages()
	shown := e.shown()
	e.mu.Unlock()
	if len(shown) > 0 {
		work, err := s.homework(ctx, shown)
		if err != nil {
			return v, err
		}
		for part := range slices.Chunk(work, rowsAPage-1) {
			v.Pages = append(v.Pages, wallPage{Kind: "homework", Key: "homework-" + part[0].Call, Title: "Tomorrow's homework", Homework: part})
		}
	}
	if withCode {
		in, err := s.invite()
		if err != nil {
			return v, err
		}
		v.Invite = in
	}
	return v, nil
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// nextWords says what comes next. The caller holds mu.
func (e *evening) nextWords() string {
	for _, r := range e.rounds {
		if r.opened.IsZero() {
			return fmt.Sprintf("%s of %d is next", r.label(), len(e.rounds))
		}
	}
	return "all heats are flown"
}

// wallFlyers lists who has joined: who flies first, then whose sheet is waited
// for, then who has sent, then the others. The caller holds mu.
func (e *evening) wallFlyers(h *round) []wallFlyer {
	var out []wallFlyer
	for _, f := range e.flyers {
		w := wallFlyer{Call: f.call, Class: f.class, State: "here", StateText: "has joined"}
		if h != nil {
			e.inHeat(&w, h, f)
		}
		out = append(out, w)
	}
	rank := map[string]int{"flying": 0, "due": 1, "sent": 2, "here": 3}
	sort.Slice(out, func(i, j int) bool {
		if a, b := rank[out[i].State], rank[out[j].State]; a != b {
			return a < b
		}
		return out[i].Call < out[j].Call
	})
	return out
}

// inHeat says what a member does in the heat that is open. That he flies is known
// from his program, which asked for the run, or from somebody who said so; where
// no sheet has come when the run must be over, that is all that is said.
// The caller holds mu.
func (e *evening) inHeat(w *wallFlyer, h *round, f *flyer) {
	n := e.triesOf(h.Number, f.call)
	w.MayFly = n < e.night.Tries
	gone := e.now().Sub(f.began)
	switch {
	case !f.began.IsZero() && gone < time.Duration(h.hill.ForMS)*time.Millisecond+lateSheet:
		w.State, w.FirstMS = "flying", f.began.UnixMilli()-h.hill.FromMS
		w.StateText = fmt.Sprintf("try %d of %d", n+1, e.night.Tries)
		if f.told {
			w.StateText += ", on a stick"
		}
	case !f.began.IsZero():
		w.State, w.StateText = "due", "no sheet yet"
	case n > 0:
		w.State, w.StateText = "sent", fmt.Sprintf("%d of %d in", n, e.night.Tries)
	}
}

// lateSheet is how long after its run's end a sheet may still be on its way.
const lateSheet = 2 * time.Minute

// resultPages are the pages of what may be shown, the newest heat first. The caller holds mu.
func (s *Server) resultPages() []wallPage {
	e := s.evening
	shown := e.shown()
	if len(shown) == 0 {
		return nil
	}
	var pages []wallPage
	for i := len(e.rounds) - 1; i >= 0; i-- {
		r := e.rounds[i]
		if r.closed.IsZero() {
			continue
		}
		rows := s.heatRows(r.Number)
		n := 0
		for part := range slices.Chunk(rows, rowsAPage) {
			n++
			page := wallPage{Kind: "results", Key: fmt.Sprintf("heat-%d-%d", r.Number, n), Title: r.label(), Rows: part, Note: s.cfg.resultWords()}
			if more := (len(rows) + rowsAPage - 1) / rowsAPage; more > 1 {
				page.Note = strings.TrimPrefix(fmt.Sprintf("%s, page %d of %d", page.Note, n, more), ", ")
			}
			pages = append(pages, page)
		}
	}
	last := wallPage{Kind: "summary", Key: "summary", Title: "The evening so far", Prizes: prizes(shown)}
	if c := curveOf(shown); len(c.Median) > 1 {
		view := drawCurve(c)
		last.Curve = &view
	}
	return append(pages, last)
}

// resultWords says what a result is.
func (c *Config) resultWords() string {
	words := ""
	switch {
	case c.Night.Tries == 1:
	case c.Night.Result == "best":
		words = fmt.Sprintf("best of %d tries", c.Night.Tries)
	default:
		words = fmt.Sprintf("median of %d tries", c.Night.Tries)
	}
	if c.Night.Handicap {
		words = strings.TrimPrefix(words+", with half the handicap", ", ")
	}
	return words
}

// heatRows are the lines of one heat. The caller holds mu.
func (s *Server) heatRows(number int) []wallRow {
	e := s.evening
	tables := heatTables(e.runs, number, e.night.Result == "best", func(call string) float64 { return s.handicap(number, call) })
	var out []wallRow
	for _, t := range tables {
		for i, row := range t.Rows {
			w := wallRow{Row: row, Line: row.Run.Advice.Headline, Others: fixed(row.Run.Marks.OnOthersS, 0) + " s", Found: "never", Handicapped: row.Handicap > 0}
			if i == 0 && len(e.night.Classes) > 1 {
				w.Class = t.Class
			}
			if f := row.Run.Marks.FoundS; f != nil {
				w.Found = fixed(*f, 1) + " s"
			}
			w.band(row.Run.Rating)
			out = append(out, w)
		}
	}
	return out
}

// ratingBand is the half width of the band that is drawn, in standard deviations: 90 %.
const ratingBand = 1.645

// band works out the rating as it is drawn, 0..100.
func (w *wallRow) band(r *scoring.Rating) {
	if r == nil {
		return
	}
	w.Known = true
	w.Low, w.Mid, w.Up = math.Max(0, r.Hand-ratingBand*r.SD), r.Hand, math.Min(100, r.Hand+ratingBand*r.SD)
	w.Band = fmt.Sprintf("hand rating %.0f, %.0f to %.0f", w.Mid, w.Low, w.Up)
}

// Width is the breadth of the band as it is drawn.
func (w wallRow) Width() float64 { return math.Max(2, w.Up-w.Low) }

// homework is one drill for each who has flown, by the trainer's own "what
// next". It is worked out anew when a heat has been closed or a rating has come. The
// caller does not hold mu.
func (s *Server) homework(ctx context.Context, shown []*Run) ([]homework, error) {
	var calls []string
	rated := 0
	s.evening.mu.Lock()
	for _, r := range shown {
		rated += boolInt(r.Rating != nil)
	}
	s.evening.mu.Unlock()
	s.homeMu.Lock()
	defer s.homeMu.Unlock()
	key := [2]int{len(shown), rated}
	if key == s.homeKey {
		return s.home, nil
	}
	for _, r := range shown {
		if !slices.Contains(calls, r.Call) {
			calls = append(calls, r.Call)
		}
	}
	slices.Sort(calls)
	var out []homework
	for _, call := range calls {
		h, err := s.homeworkOf(ctx, call)
		if err != nil {
			return nil, err
		}
		if h.Title != "" {
			out = append(out, h)
		}
	}
	s.home, s.homeKey = out, key
	return out, nil
}

func (s *Server) homeworkOf(ctx context.Context, call string) (homework, error) {
	if s.cfg.Next == nil {
		return homework{}, nil
	}
	runs, err := s.evening.book.history(ctx, call)
	if err != nil {
		return homework{}, err
	}
	var tried []scoring.Tried
	for _, r := range runs {
		tried = append(tried, scoring.Tried{Drill: r.Drill, Bird: r.Bird, Flown: r.Received, TopDeg: r.TopDeg, GoalMet: r.GoalMet})
	}
	now := s.evening.now()
	skill := skillOf(runs, now)
	next, ok := s.cfg.Next(tried, &skill, now)
	if !ok {
		return homework{}, nil
	}
	return homework{Call: call, Title: next.Title, Why: upperFirst(next.Why)}, nil
}

// invite says how to join.
func (s *Server) invite() (*invite, error) {
	path, size, err := qrPath(s.cfg.Address + "/?code=" + plainCode(s.cfg.Code))
	if err != nil {
		return nil, err
	}
	in := &invite{Address: strings.TrimPrefix(s.cfg.Address, "http://"), Code: s.cfg.Code, QR: path, QRSize: size}
	host, port, err := net.SplitHostPort(in.Address)
	if err == nil {
		ip := net.ParseIP(host)
		in.Alone, in.Port = host == "localhost" || ip != nil && ip.IsLoopback(), port
	}
	return in, nil
}

// curveView is the learning curve as it is drawn, in a box curveWide x curveHigh.
type curveView struct {
	Lines  []string // SVG path data
	Median string
	Dots   []curveDot
}

// curveDot is a point of the median.
type curveDot struct {
	X, Y  float64
	Value string
	Try   int
}

const (
	curveWide, curveHigh = 560.0, 300.0
	curveRoom            = 40.0 // beside and above the points, for figures
)

// drawCurve lays the learning curve out: tries from left to right, hold index upwards.
func drawCurve(c curve) curveView {
	low, high := 1000.0, 0.0
	for _, line := range append(slices.Clone(c.Lines), c.Median) {
		for _, v := range line {
			low, high = min(low, v), max(high, v)
		}
	}
	low, high = max(0, low-20), min(1000, high+20)
	place := func(i int, v float64) (x, y float64) {
		return curveRoom + (curveWide-2*curveRoom)*float64(i)/float64(max(1, len(c.Median)-1)), curveHigh - curveRoom - (curveHigh-2*curveRoom)*(v-low)/(high-low)
	}
	path := func(line []float64) string {
		var b strings.Builder
		for i, v := range line {
			x, y := place(i, v)
			fmt.Fprintf(&b, "%s%.1f %.1f", map[bool]string{true: "M", false: "L"}[i == 0], x, y)
		}
		return b.String()
	}
	var v curveView
	for _, line := range c.Lines {
		v.Lines = append(v.Lines, path(line))
	}
	v.Median = path(c.Median)
	for i, m := range c.Median {
		x, y := place(i, m)
		v.Dots = append(v.Dots, curveDot{x, y, fixed(m, 0), i + 1})
	}
	return v
}

// upperFirst begins a line with a capital.
func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
