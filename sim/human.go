package sim

import "math"

// humanHand hears, searches, turns and leads as a person does, from what a
// person can know: what he hears, what his own hand did, and what the prompt
// card says.
type humanHand struct {
	keyer
	tracker
	inverts bool    // the transponder does
	low     float64 // offsets between which the voice is inside the filter, Hz
	high    float64
	floorDB float64 // S/N in 2400 Hz below which he hears nothing
	got     bool    // he hears himself and works on it
	hadIt   bool    // he has had himself before
	heardS  float64 // how long he has heard himself
	lostS   float64
	lastAt  float64 // where the dial was when he last heard himself

	want    float64 // where the dial should be, against where it began, Hz
	did     float64 // where it is
	credit  float64 // notches that the hand may still make
	fast    bool
	dir     float64 // dial motion that lowers an offset: +1 or -1
	receive bool    // he turns the receive dial

	search searchPlan
	setup  *Setup // nil where there is none
	free   bool   // no talk plan: he makes contacts
	aims   bool   // he holds the antenna too
	task   task
	desk   benchHand // the radios, where he is to set them
}

// deliberate is how often somebody who has nothing to do but the first turn,
// with the card before him, starts the wrong way against one in the middle of
// an over: a choice of this project.
const deliberate = 0.5

// searchPlan is the search by stops: 0, +1, -1, +2, -2 ... strides.
type searchPlan struct {
	stop   int
	spent  float64 // s at this stop
	centre float64
	first  float64 // direction of the first stride
	callAt Tick    // when he says his call again
}

func newHumanHand(s skill, seed uint64, setup *Setup) *humanHand {
	g := stream(seed, streamHand)
	h := &humanHand{inverts: true, tracker: newTracker(s, g)}
	voice, narrow := "", false
	if setup != nil {
		voice, narrow = setup.Drill.Voice, setup.Station.Receive.FilterHz == 500
		h.inverts = setup.transponder().Inverting
		h.setup, h.free, h.aims = setup, setup.Drill.Plan.Free, setup.Station.HandAntenna
		if setup.exerciseKind() == ExerciseFirstMove {
			h.wrong *= deliberate
		}
	}
	h.low, h.high, h.floorDB = audibleSpan(voice, narrow)
	if h.high <= cwFilterHz {
		h.stride = math.Min(h.stride, narrowStrideHz)
	}
	h.search.first, h.task.target = 1, -1
	if g.Float64() < 0.5 {
		h.search.first = -1
	}
	return h
}

// narrowStrideHz is the longest stride of a search through a filter of 500 Hz.
const narrowStrideHz = 700.0

// audibleSpan returns the offsets between which a voice lies inside a filter
// of 300 to 2700 Hz, or a tone inside a narrow one of 500 Hz, and the S/N from
// which it is heard: a tone of 700 Hz, a whistle of 1000 Hz, speech from 300 Hz up. A steady tone is heard 9 dB below
// the noise of 2400 Hz, where its critical band of some 100 Hz has it 5 dB
// above; speech needs about 0 dB. Choices of this project.
func audibleSpan(voice string, narrow bool) (low, high, floorDB float64) {
	tone := voice == "tone" || voice == "cw"
	switch {
	case tone && narrow:
		return -cwFilterHz, cwFilterHz, -9
	case tone:
		return -400, 2000, -9
	case voice == "whistle":
		return -700, 1700, -9
	}
	return -700, 1500, 0
}

// AudibleDB is the S/N in 2400 Hz from which one hears one's own return, dB, by
// the drill's voice: a steady tone well below the noise, speech about at it.
// Choices of this project.
func AudibleDB(voice string) float64 {
	_, _, floor := audibleSpan(voice, false)
	return floor
}

// Act implements Hand. It thinks 20 times a second.
func (h *humanHand) Act(s *State, post func(CommandKind, int64)) {
	if s.Tick%slowTicks != 0 {
		return
	}
	if h.aims {
		h.aim(s, post)
	}
	h.way(s)
	if s.Bench.Of > 0 {
		h.bench(s, post)
	}
	hears := s.Keyed && s.InPassband && (s.Bench.Of == 0 || s.Readable()) && s.SNRDB > h.floorDB && s.OffsetHz > h.low && s.OffsetHz < h.high
	switch {
	case s.Exercise.Kind != ExerciseNone:
		h.exercise(s, post)
	case h.free && s.Found:
		h.work(s, hears, post)
	case !s.Assigned:
		h.follow(false, post)
		if s.Phase == PhaseListen {
			h.rest()
		}
	default:
		h.notice(s, hears)
		if h.got || s.Phase == PhaseTalk {
			h.follow(true, post)
			if h.got {
				h.track(s, hears)
			} else {
				h.seek(s, nil)
			}
		} else {
			h.seek(s, post)
		}
	}
	if s.Rule == RuleBoth {
		h.followCard(s, post)
	}
	h.turn(s, post)
}

// track works on what he hears.
func (h *humanHand) track(s *State, hears bool) {
	h.want += float64(h.dir * float64(h.step(s.OffsetHz, hears, true)*handStepS))
}

// rest keeps turning by feel while he does not hear himself.
func (h *humanHand) rest() {
	h.want += float64(h.dir * float64(h.step(0, false, false)*handStepS))
}

// way settles which dial he turns and which way round it works.
func (h *humanHand) way(s *State) {
	h.receive = s.Rule == RuleDownlink
	h.dir = 1
	if !h.receive && !h.inverts {
		h.dir = -1
	}
	if s.ReceiveSideband == LSB {
		h.dir = -h.dir
	}
}

// patienceS is how long he takes a silence for a fade after he had himself.
const patienceS = 6.0

// notice decides whether he has got hold of his own signal or lost it.
func (h *humanHand) notice(s *State, hears bool) {
	patience := 3.0
	if s.Found {
		patience = patienceS
	}
	if hears {
		h.heardS += handStepS
		h.lostS, h.lastAt = 0, h.did
	} else {
		h.heardS = math.Max(0, h.heardS-handStepS/3)
		if s.Keyed {
			h.lostS += handStepS
		}
	}
	if !h.got && (h.heardS > 0.4 || s.Found && !h.hadIt) {
		h.got, h.hadIt = true, true
		h.want = h.did
		h.lostS = 0
	}
	if h.got && h.lostS > patience {
		h.got = false
		h.heardS = 0
		h.search.stop, h.search.spent, h.search.centre = 0, 0, h.lastAt
	}
}

// seek keys short at one stop after another; one who had himself just now
// begins near where he was, lets his centre drift on, and keeps keying.
func (h *humanHand) seek(s *State, post func(CommandKind, int64)) {
	p := &h.search
	stride, reach := h.stride, 6000.0
	if h.hadIt {
		stride, reach = h.stride*0.4, 2500
		if h.learntS >= rateMemoryS {
			p.centre += float64(h.dir * float64(h.rate*handStepS))
		}
	}
	arrived := math.Abs(h.want-h.did) < stride/3
	if arrived || p.spent > 0 {
		p.spent += handStepS
	}
	if p.spent >= h.dwell {
		p.spent = 0
		p.stop++
		if float64(p.stop/2+1)*stride > reach {
			p.stop = 0
		}
	}
	side := p.first
	if p.stop%2 == 0 {
		side = -side
	}
	h.want = p.centre + float64(side*float64(float64((p.stop+1)/2)*stride))
	if post != nil {
		down := p.spent > h.dwell*0.1 && p.spent < h.dwell*(0.1+h.duty)
		if down && !h.down && h.setup.mustCall() && s.Tick >= p.callAt {
			p.callAt = s.Tick + seconds(callEveryS)
			post(CommandSay, SayCall)
		}
		h.follow(down, post)
	}
}

// callEveryS is how often he says his call while he searches among others with
// a voice that does not say it; common practice, no published source.
const callEveryS = 20.0

// mustCall says whether the operator has to say his call himself, and somebody is there to hear it.
func (s *Setup) mustCall() bool {
	return s != nil && len(s.Others) > 0 && s.Drill.Voice != "call"
}

// turn moves the dial towards where it should be, a notch at a time.
func (h *humanHand) turn(s *State, post func(CommandKind, int64)) {
	step := float64(s.StepHz)
	h.credit = math.Min(1.5, h.credit+float64(h.clicks*handStepS))
	if fast := math.Abs(h.want-h.did) > 12*step; fast != h.fast && (!h.got || h.task.moving) {
		h.fast = fast
		post(CommandFast, boolValue(fast))
	} else if h.got && h.fast && !h.task.moving {
		h.fast = false
		post(CommandFast, 0)
	}
	if h.fast {
		step *= 10
	}
	before := h.did
	gap := h.want - h.did
	if math.Abs(gap) > step/2 && h.credit >= 1 {
		n := int64(1)
		if gap < 0 {
			n = -1
		}
		h.credit--
		h.did += float64(float64(n) * step)
		if h.receive {
			post(CommandReceive, n)
		} else {
			post(CommandUplink, n)
		}
	}
	// He does not run ahead of what his fingers can do.
	if limit := 2 * step; math.Abs(h.want-h.did) > limit && h.got && !h.task.moving {
		h.want = h.did + math.Copysign(limit, h.want-h.did)
	}
	h.turned(float64(h.dir*(h.did-before-h.task.takenBack)), h.got && h.talking && s.Found && math.Abs(s.OffsetHz) < 300)
	h.task.takenBack = 0
}

func boolValue(b bool) int64 {
	if b {
		return 1
	}
	return 0
}
