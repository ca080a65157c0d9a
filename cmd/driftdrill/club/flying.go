package club

import (
	"net/http"
)

// flying takes word of a member whose machine has no network here: that he is
// here, begins to fly now, or does not fly after all. The trainer may say so of
// everybody, a member and his program of the member alone.
func (s *Server) flying(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, maxForm)
	asks, ok := s.ask(r)
	if !ok || asks.wrong || !asks.code && !asks.trainer && asks.call == "" {
		refuseCode(w, ok)
		return
	}
	call, ok := parseCall(r.FormValue("call"))
	if !ok {
		answerRefusal(w, refuse("Give the call sign: letters, digits, and / or - between them, up to %d in all.", maxCall))
		return
	}
	if !asks.code && !asks.trainer && call != asks.call {
		refuseCode(w, true)
		return
	}
	if err := s.word(r, call, r.FormValue("class"), r.FormValue("do")); err != nil {
		answerRefusal(w, err)
		return
	}
	switch {
	case asks.code:
		w.WriteHeader(http.StatusNoContent)
	case asks.trainer:
		http.Redirect(w, r, "/trainer", http.StatusSeeOther)
	default:
		http.Redirect(w, r, "/", http.StatusSeeOther)
	}
}

// word does what was said of a member.
func (s *Server) word(r *http.Request, call, class, do string) error {
	switch do {
	case "here", "begin":
		if err := s.enter(r.Context(), call, class); err != nil || do == "here" {
			return err
		}
		_, _, err := s.evening.begin(call, true)
		return err
	case "end":
		return s.evening.rest(call)
	}
	return refuse("A member is here, begins or ends: do=here, do=begin or do=end.")
}
