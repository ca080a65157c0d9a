package recording

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
)

// Analyse reads a recording to its end and measures it. progress, where it is
// not nil, is told how many seconds have been read. A source that ends with
// another error than io.EOF is measured as far as it goes, and a note says so.
// Of more than two channels the first two are taken.
func Analyse(src Source, opt Options, progress func(doneS float64)) (*Result, error) {
	if rate := src.Rate(); rate < MinRate || rate > MaxRate {
		return nil, fmt.Errorf("has a rate of %d Hz; %d to %d are measured", rate, MinRate, MaxRate)
	}
	if src.Channels() < 1 {
		return nil, errors.New("has no channel")
	}
	a := newAnalysis(src, opt)
	err := a.readAll(src, progress)
	return a.result(err), nil
}

// analysis is a recording while it is read.
type analysis struct {
	opt    Options
	rate   int
	sides  int // that are looked at: 1 or 2
	frames int
	mix    []*downmixer
	meters []*meter
	pair   *pairAnalysis // both, until it is known which it is
	mono   *monoAnalysis
	tones  *toneAnalysis // instead of both
	rx     int           // side that mono takes
	same   bool
	early  [2][]complex64 // what was read before that was known
	sum    sameness
	paint  []*painter // of each side: which is the receiver is known at the end
}

func newAnalysis(src Source, opt Options) *analysis {
	a := &analysis{opt: opt, rate: src.Rate(), sides: min(2, src.Channels())}
	for range a.sides {
		a.mix, a.meters, a.paint = append(a.mix, newDownmixer(a.rate)), append(a.meters, newMeter(a.rate)), append(a.paint, newPainter())
	}
	tone := opt.Tone || opt.PitchHz > 0
	if tone {
		a.tones = newToneAnalysis(opt, a.sides)
	}
	if a.sides == 1 || opt.Mono || tone {
		if !tone {
			a.mono = newMonoAnalysis(opt)
		}
		if a.sides == 2 && opt.Mic != Right {
			a.rx = Right
		}
	}
	return a
}

// chunk is how many frames are read at once.
const chunk = 8192

func (a *analysis) readAll(src Source, progress func(float64)) error {
	channels := src.Channels()
	buf := make([]float32, chunk*channels)
	side := make([][]float32, a.sides)
	for {
		n, err := src.Read(buf)
		for s := range side {
			side[s] = side[s][:0]
			for i := range n {
				side[s] = append(side[s], buf[i*channels+s])
			}
			a.meters[s].feed(side[s])
			if err != nil {
				side[s] = append(side[s], make([]float32, a.mix[s].tail())...)
			}
		}
		a.frames += n
		a.feed(side)
		if progress != nil {
			progress(float64(a.frames) / float64(a.rate))
		}
		if err != nil {
			a.finish()
			return err
		}
		if n == 0 {
			a.finish()
			return io.ErrNoProgress
		}
	}
}

// sameness adds up how alike two sides are.
type sameness struct {
	power [2]float64
	cross complex128
}

func (s *sameness) add(left, right []complex64) {
	s.power[0] += energyOf(left)
	s.power[1] += energyOf(right)
	for i, v := range left[:min(len(left), len(right))] {
		s.cross += complex128(v) * complex(float64(real(right[i])), -float64(imag(right[i])))
	}
}

const (
	sameFrom     = 0.99  // coherence of two sides that are the same
	oneSideRatio = 1e-7  // of the other's power: a side that carries nothing
	decideS      = 20    // seconds with sound after which it is decided
	quietPower   = 1e-10 // per sample: nothing that could decide
)

func (s *sameness) same() bool {
	both := math.Sqrt(s.power[0] * s.power[1])
	return both > 0 && math.Hypot(real(s.cross), imag(s.cross)) > sameFrom*both
}

// empty returns the side that carries nothing beside the other, or Unknown.
func (s *sameness) empty() int {
	switch {
	case s.power[0] < oneSideRatio*s.power[1]:
		return Left
	case s.power[1] < oneSideRatio*s.power[0]:
		return Right
	}
	return Unknown
}

// feed hands on what was read.
func (a *analysis) feed(side [][]float32) {
	if a.tones != nil {
		a.feedTones(side)
		return
	}
	if a.mono != nil {
		for s := range a.mix {
			z := a.mix[s].feed(side[s])
			a.paint[s].feed(z)
			if s == a.rx {
				a.mono.add(z)
			}
		}
		return
	}
	left, right := a.mix[0].feed(side[0]), a.mix[1].feed(side[1])
	a.paint[0].feed(left)
	a.paint[1].feed(right)
	if a.pair != nil {
		a.pair.add(left, right)
		return
	}
	a.sum.add(left, right)
	a.early[0], a.early[1] = append(a.early[0], left...), append(a.early[1], right...)
	if n := float64(len(a.early[0])); n > decideS*baseRate && a.sum.power[0]+a.sum.power[1] > quietPower*n || n > stretchS*baseRate {
		a.decide()
	}
}

func (a *analysis) feedTones(side [][]float32) {
	var z [2][]complex64
	for s := range a.mix {
		z[s] = a.mix[s].feed(side[s])
		a.paint[s].feed(z[s])
		a.tones.sides[s].add(z[s])
	}
	if a.sides == 2 {
		a.sum.add(z[0], z[1])
	}
}

// decide settles whether there are two sides at all.
func (a *analysis) decide() {
	empty := a.sum.empty()
	a.same = a.sum.same()
	if a.same || empty != Unknown && a.sum.power[1-empty] > quietPower*float64(len(a.early[0])) {
		a.mono = newMonoAnalysis(a.opt)
		if empty == Left {
			a.rx = Right
		}
		a.mono.add(a.early[a.rx])
	} else {
		a.pair = newPairAnalysis(a.opt)
		a.pair.add(a.early[0], a.early[1])
	}
	a.early = [2][]complex64{}
}

func (a *analysis) finish() {
	if a.tones != nil {
		for _, t := range a.tones.sides {
			t.finish()
		}
		if a.sides == 2 && a.sum.empty() == a.rx {
			a.rx = 1 - a.rx
		}
		return
	}
	if a.mono == nil && a.pair == nil {
		a.decide()
	}
	if a.mono != nil {
		a.mono.work(true)
	} else {
		a.pair.work(true)
	}
}

// result puts together what was found.
func (a *analysis) result(ending error) *Result {
	r := &Result{LengthS: float64(a.frames) / float64(a.rate), Mic: Unknown}
	for _, m := range a.meters {
		r.Sides = append(r.Sides, m.side())
	}
	if ending != nil && !errors.Is(ending, io.EOF) {
		r.Notes = append(r.Notes, Note{NoteCut, fmt.Sprintf("The recording %v; it is measured up to there.", ending)})
	}
	r.Notes = append(r.Notes, levelNotes(r.Sides)...)
	if r.LengthS < shortestS {
		r.Notes = append(r.Notes, Note{NoteShort, fmt.Sprintf("The recording is %.1f s long: too short to measure anything.", r.LengthS)})
	}
	if a.tones != nil {
		a.toneResult(r)
	} else if a.mono != nil {
		a.monoResult(r)
	} else {
		a.pairResult(r)
	}
	r.oneWord()
	return r
}

// oneWord leaves one line of why there is nothing to measure, where that is
// plain: too short, or silent. What else is said of such a recording is noise.
func (r *Result) oneWord() {
	for _, code := range []string{NoteShort, NoteSilent} {
		if slices.ContainsFunc(r.Notes, func(n Note) bool { return n.Code == code }) {
			r.Notes = slices.DeleteFunc(r.Notes, func(n Note) bool { return n.Code != code && n.Code != NoteCut })
			return
		}
	}
}

// shortestS is the shortest recording that is measured.
const shortestS = 2.0

func (a *analysis) pairResult(r *Result) {
	p := a.pair
	r.Method, r.Rows, r.Overs, r.Mic, r.SpokenS = ByMicrophone, p.rows, p.overs, p.mic, p.spokenS
	var delay []float64
	for _, o := range r.Overs {
		delay = append(delay, o.DelayS)
	}
	r.DelayS = medianOf(delay)
	rx := Right
	if p.mic == Right {
		rx = Left
	}
	r.Spectrogram = a.paint[rx].spectrogram()
	if p.leaks && len(r.Overs) > 0 {
		r.LeakDB = p.leakDB
		r.Notes = append(r.Notes, Note{NoteLeak, fmt.Sprintf("The receiver is heard in the microphone, %.0f dB below the own voice: the headset leaks. It was told apart.", -p.leakDB)})
	}
	if len(r.Overs) == 0 {
		r.Mirrored = p.mirror.quality > 0
		r.MirrorHz = p.mirror.hz + 2*centreHz
		r.Notes = append(r.Notes, a.whyNothing(r))
	}
	r.Rows = onGrid(r.Rows, r.LengthS)
	if left := p.asideS + r.leaveAsides(); left >= asideSayS && len(r.Overs) > 0 {
		r.Notes = append(r.Notes, asideNote(left))
	}
	r.tellShare()
}

// whyNothing says why no return was found.
func (a *analysis) whyNothing(r *Result) Note {
	p := a.pair
	wide := 0
	for _, s := range r.Sides {
		if s.wide() {
			wide++
		}
	}
	silent := r.Sides[0].LevelDB < silentDB && r.Sides[1].LevelDB < silentDB
	switch {
	case r.Mirrored:
		return Note{NoteMirrored, fmt.Sprintf("The own voice comes back upside down, its carrier at %.0f Hz of the audio: the uplink was on the wrong sideband. No turn of the knob makes that readable.", r.MirrorHz)}
	case silent || r.LengthS < shortestS:
		return Note{NoteNoSpeech, "There is nothing to measure."}
	case p.swapped:
		return Note{NoteNoReturn, fmt.Sprintf("The %s side was named as the microphone, but it is the receiver: the voice of the other side comes back in it. Name that one, or none.", sideWords[a.opt.Mic])}
	case wide == len(r.Sides):
		return Note{NoteNotRadio, "Neither side sounds like an SSB receiver: both reach far above 3 kHz, as music and open microphones do."}
	case p.heardS[0] < 1 && p.heardS[1] < 1:
		return Note{NoteNoSpeech, "Nobody is heard talking on either side; there is nothing to measure."}
	case min(p.heardS[0], p.heardS[1]) < 1:
		return Note{NoteNoReturn, fmt.Sprintf("Only the %s side has somebody talking; his return is not in the other. Was the other side connected to the receiver?", sideWords[loudest(p.heardS)])}
	}
	return Note{NoteNoReturn, "Both sides have somebody talking, but neither is the return of the other: no offset can be measured. Is one side the microphone, the other the receiver of the same station?"}
}

func loudest(s [2]float64) int {
	if s[1] > s[0] {
		return 1
	}
	return 0
}

func (a *analysis) monoResult(r *Result) {
	m := a.mono
	r.Method, r.Rows, r.SpokenS = ByVoice, m.rows, m.heardS
	r.Spectrogram = a.paint[a.rx].spectrogram()
	if a.same {
		r.Notes = append(r.Notes, Note{NoteSame, "Both sides carry the same sound; it is taken for the receiver alone."})
	}
	r.Notes = append(r.Notes, Note{NoteUnrated, "Measured from the receiver alone: it cannot tell whose voice it is. Nothing of it is rated."})
	known := 0
	for i := range r.Rows {
		if r.Rows[i].Known() {
			known++
		}
	}
	if s := r.Sides[a.rx]; known == 0 && s.LevelDB >= silentDB {
		if s.wide() {
			r.Notes = append(r.Notes, Note{NoteNotRadio, "It does not sound like an SSB receiver: it reaches far above 3 kHz, as music does."})
		} else {
			r.Notes = append(r.Notes, Note{NoteNoSpeech, "No voice stands out clearly enough to measure."})
		}
	}
	r.Rows = onGrid(r.Rows, r.LengthS)
	r.tellShare()
}

// tellShare notes how much of the keyed time could not be told.
func (r *Result) tellShare() {
	keyed, blank := 0, 0
	for i := range r.Rows {
		if r.Rows[i].Keyed {
			keyed++
			if !r.Rows[i].Known() {
				blank++
			}
		}
	}
	if keyed > 0 && float64(blank) > 0.2*float64(keyed) {
		r.Notes = append(r.Notes, Note{NoteRaw, fmt.Sprintf("For %.0f %% of the keyed time the offset could not be told.", 100*float64(blank)/float64(keyed))})
	}
}

// onGrid returns a row for each 0.1 s of the recording: the ones that there
// are, and empty ones between.
func onGrid(rows []Row, lengthS float64) []Row {
	n := int(math.Ceil(lengthS/RowS - 1e-6))
	grid := make([]Row, n)
	for i := range grid {
		grid[i] = Row{TimeS: float64(i) * RowS, OffsetHz: math.NaN(), SNRDB: math.NaN(), RateHzS: math.NaN(), GuessHz: math.NaN()}
	}
	for _, row := range rows {
		if i := int(math.Round(row.TimeS / RowS)); i >= 0 && i < n {
			if old := &grid[i]; old.Keyed || old.Known() {
				row.Keyed = row.Keyed || old.Keyed
				if !row.Known() || old.Confidence > row.Confidence {
					keyed := row.Keyed
					row = *old
					row.Keyed = keyed
				}
			}
			row.TimeS = float64(i) * RowS
			grid[i] = row
		}
	}
	return grid
}
