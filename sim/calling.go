package sim

import "math"

// How the simulated hands call in general, come to those who call them, and
// follow a net. Lengths in s; choices of this project.
const (
	generalS   = 6.0 // a general call
	patientS   = 8.0 // of hearing nobody call before one calls oneself
	blockedS   = 6.0 // of others on one's channel before one goes elsewhere
	moveAwayHz = 5000.0
)

// answers says whether there is anybody who waits for a general call.
func (s *Setup) answers() bool {
	for i := range s.Others {
		if s.Others[i].Plan == "answer" {
			return true
		}
	}
	return false
}

// saying returns what a signal's script is, one of sayCall ...; -1 = nothing scripted.
func saying(g *Signal) int {
	if g.Kind != SignalStation || !g.On || g.Script < 0 {
		return -1
	}
	return int(g.Script) % scriptsOfOne
}

// callsMe returns the signal of who calls the operator, the loudest; nil = nobody.
func callsMe(s *State) *Signal {
	var best *Signal
	for i := range s.Signals[:s.NumSignals] {
		g := &s.Signals[i]
		if w := saying(g); (w == sayCallYou || w == sayRoll) && math.Abs(g.OffsetHz) < clearHz && (best == nil || g.LevelDBW > best.LevelDBW) {
			best = g
		}
	}
	return best
}

// netSpeaker returns the signal of the member of a net that speaks; nil = none.
func (s *Setup) netSpeaker(st *State) *Signal {
	if !s.Drill.Situations.Roll {
		return nil
	}
	for i := range st.Signals[:st.NumSignals] {
		if g := &st.Signals[i]; g.Kind == SignalStation && g.On && s.Others[g.Station].Plan == "net" {
			return g
		}
	}
	return nil
}

// callsAnybody says whether a station can be called outside a contact.
func (s *Setup) callsAnybody(i int) bool { return s.Others[i].Plan == "cq" }

// netOf says whether a station is one of a net that calls the roll.
func (s *Setup) netOf(i int) bool { return s.Drill.Situations.Roll && s.Others[i].Plan == "net" }

// sameGroup says whether two stations talk in one group.
func (s *Setup) sameGroup(a, b int) bool {
	return a >= 0 && b >= 0 && a < len(s.Others) && b < len(s.Others) && s.Others[a].Group >= 0 && s.Others[a].Group == s.Others[b].Group
}

// calling is what a hand remembers of all that.
type calling struct {
	since   Tick // it has heard nobody call from here on
	blocked Tick // others have been on its channel from here on; 0 = they are not
	away    int  // how often it has gone elsewhere
}

// general says whether to call in general now: where somebody may answer,
// nobody has called for a while, and the channel is free.
func (c *calling) general(setup *Setup, s *State, free bool) bool {
	if setup == nil || !setup.answers() || !s.Found {
		return false
	}
	if c.since == 0 || !free {
		c.since = s.Tick
	}
	if s.Tick-c.since < seconds(patientS) {
		return false
	}
	c.since = s.Tick + setup.over(generalS)
	return true
}

// leave says by how many hertz to go elsewhere; 0 = stay. Others are on the
// channel while here is true.
func (c *calling) leave(s *State, here bool) float64 {
	if !here {
		c.blocked = 0
		return 0
	}
	if c.blocked == 0 {
		c.blocked = s.Tick
	}
	if s.Tick-c.blocked < seconds(blockedS) {
		return 0
	}
	return c.aside()
}

// aside is the way elsewhere: to one side, then to and fro about where it began, Hz.
func (c *calling) aside() float64 {
	c.blocked = 0
	c.away++
	switch {
	case c.away == 1:
		return moveAwayHz
	case c.away%2 == 0:
		return -2 * moveAwayHz
	}
	return 2 * moveAwayHz
}

// his says whether the channel is that of a station that calls there itself,
// which has been worked: one does not call in general on it.
func (s *Setup) his(st *State, worked *[MaxOthers]bool) bool {
	for i := range st.Signals[:st.NumSignals] {
		g := &st.Signals[i]
		if g.Kind == SignalStation && worked[g.Station] && s.callsAnybody(int(g.Station)) && math.Abs(g.OffsetHz) < clearHz {
			return true
		}
	}
	return false
}
