package scoring

import (
	"math"
	"sort"

	"driftdrill/sim"
)

// Measure computes the marks of a sampled run. It is a pure function.
func Measure(tr *Trace) Marks { return MeasureBy(tr, Formula) }

// MeasureBy computes the marks by an older formula, to compare them with those
// that a sheet or a logbook carries. Formulas from 1 on are known.
func MeasureBy(tr *Trace, formula int) Marks {
	m := Marks{Formula: formula, ComeBacks: []ComeBack{}, Contacts: tr.Contacts, AskedToMove: tr.AskedToMove, Stopped: tr.Stopped || tr.Cut}
	m.Exercise = tr.exercise()
	m.AntennaShare = tr.antennaShare()
	m.Ready = tr.ready()
	first := tr.firstAssigned()
	if first < 0 {
		return m
	}
	m.StartErrorHz = round(tr.Samples[first].OffsetHz)
	if tr.HasFound {
		from := tr.Samples[first].Tick
		if formula > 2 {
			from = tr.couldBeHeard(first)
		}
		m.FoundS = rounded(max(0, (tr.FoundAt - from).Seconds()))
	}
	tr.measureHold(&m)
	tr.measureComeBacks(&m)
	tr.measureIndex(&m)
	tr.measureHand(&m)
	tr.measureDiscipline(&m)
	tr.measureSearch(&m)
	m.LeadError = leadError(m.ComeBacks)
	m.BirdDriftHz = tr.birdDrift()
	return m
}

// Offsets between which one's own whistle or voice lies inside a receiver of
// 300 to 2700 Hz, so that one hears how to go on; a choice of this project, after
// the whistle's 1 kHz and a voice's range.
const hearLowHz, hearHighHz = -700.0, 1700.0

// hearable says whether the own return is where it can be heard: tuning it in
// with the key down is no call into the blue.
func (s *Sample) hearable() bool {
	return s.InPassband && s.OffsetHz > hearLowHz && s.OffsetHz < hearHighHz
}

// heard says whether the own return is there and stands out of the noise.
func (s *Sample) heard(audibleDB float64) bool { return s.hearable() && s.SNRDB >= audibleDB }

// turning is what the pass drifted from one sample to the next, and what of that
// the hand took out, Hz.
func turning(a, b *Sample) (drift, turned float64) {
	drift = b.RateHzS * sampleS
	return drift, drift - (b.OffsetHz - a.OffsetHz)
}

// worth is the quality of one sample: nothing where it was not keyed or came
// out of no transponder, and nothing for standing still: until a dial has been
// turned for the first time, only moments within one step of zero beat, in
// which nothing had to be turned, are worth anything.
func worth(s *Sample) float64 {
	if !s.Keyed || !s.InPassband || !s.Turned && math.Abs(s.OffsetHz) > float64(s.StepHz) {
		return 0
	}
	return quality(s.OffsetHz)
}

func (tr *Trace) measureHold(m *Marks) {
	from, to := tr.held()
	var held, keyed, in25, in50, in100, audible, audible100 int
	var sum, sumSq, worthSum float64
	for i := from; i < to; i++ {
		s := &tr.Samples[i]
		if !s.Assigned {
			continue
		}
		held++
		worthSum += worth(s)
		audible += count(s.SNRDB >= audibleDB)
		if !s.Keyed {
			continue
		}
		keyed++
		e := math.Abs(s.OffsetHz)
		in25 += count(e <= 25)
		in50 += count(e <= 50)
		in100 += count(e <= 100)
		audible100 += count(e <= 100 && s.SNRDB >= audibleDB)
		sum += s.OffsetHz
		sumSq += float64(s.OffsetHz * s.OffsetHz)
	}
	if tr.HasFound {
		m.HeldS, m.KeyedS, m.UnkeyedS = round(seconds(held)), round(seconds(keyed)), round(seconds(held-keyed))
		m.HoldQuality = round(worthSum / float64(max(held, 1)))
	}
	m.ShareWithin25Hz = round(share(in25, held))
	m.ShareWithin50Hz = round(share(in50, held))
	m.ShareWithin100Hz = round(share(in100, held))
	if tr.HasFound && audible > 0 {
		m.AudibleWithin100Hz = rounded(share(audible100, audible))
	}
	if keyed > 0 {
		m.RMSHz = round(math.Sqrt(sumSq / float64(keyed)))
		m.BiasHz = round(sum / float64(keyed))
	}
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

func share(part, whole int) float64 {
	if whole == 0 {
		return 0
	}
	return float64(part) / float64(whole)
}

// measureIndex puts H and R together. A plan without a come-back is judged by
// H alone; a plan with one that never got as far has R = 0.
func (tr *Trace) measureIndex(m *Marks) {
	if !tr.HasFound {
		return
	}
	from, to := tr.held()
	h := holdOf(tr.Samples[from:to], worth)
	tr.measureSettled(m)
	if tr.Plan.ListenS <= 0 {
		m.HoldIndex = round(1000 * h)
		return
	}
	r := comeBackOf(m.ComeBacks)
	if m.Formula == 1 {
		r = comeBackOf1(m.ComeBacks)
	}
	m.ComeBackQuality = rounded(r)
	if s := m.SettledQuality; s != nil && *s >= leastSettled && len(m.ComeBacks) > 0 {
		m.ComeBackKept = rounded(min(r / *s, mostKept))
	}
	m.HoldIndex = round(1000 * (float64(holdWeight*h) + float64(comeBackWeight*r)))
}

// Bounds of the two marks that keep holding and coming back apart.
const (
	settledMinS  = 5.0  // of weight
	leastSettled = 0.05 // a hold worth less than this has nothing that could be kept
	mostKept     = 1.5  // better at once than later is luck
)

// measureSettled is the quality of holding with each moment counted by how
// little it belongs to the come-back before it: 1 - e^(-t / 3 s).
func (tr *Trace) measureSettled(m *Marks) {
	var sum, weight float64
	left := 0.0 // weight that the come-back still has
	backs := m.ComeBacks
	fade := math.Exp(-sampleS / backFadeS)
	for i, to := tr.held(); i < to; i++ {
		s := &tr.Samples[i]
		if len(backs) > 0 && s.Tick >= backs[0].Tick {
			left, backs = 1, backs[1:]
		}
		if !s.Assigned {
			continue
		}
		sum += float64((1 - left) * worth(s))
		weight += 1 - left
		left *= fade
	}
	if weight*sampleS >= settledMinS {
		m.SettledQuality = rounded(sum / weight)
	}
}

// holdOf is H: the mean of value over the assigned samples.
func holdOf(samples []Sample, value func(*Sample) float64) float64 {
	var sum float64
	n := 0
	for i := range samples {
		if s := &samples[i]; s.Assigned {
			sum += value(s)
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return sum / float64(n)
}

// comeBackOf is R: the mean quality of the come-backs, 0 where there was none.
func comeBackOf(backs []ComeBack) float64 {
	var sum, weight float64
	for i := range backs {
		sum += float64(backs[i].weight * backs[i].Quality)
		weight += backs[i].weight
	}
	if weight == 0 {
		return 0
	}
	return sum / weight
}

// comeBackOf1 is R by formula 1.
func comeBackOf1(backs []ComeBack) float64 {
	if len(backs) == 0 {
		return 0
	}
	var sum float64
	for _, b := range backs {
		sum += backQuality(b.BackS)
	}
	return sum / float64(len(backs))
}

// measureComeBacks finds every change from listening to talking after found.
func (tr *Trace) measureComeBacks(m *Marks) {
	if !tr.HasFound {
		return
	}
	var times []float64
	for i, to := tr.held(); i < to; i++ {
		s := &tr.Samples[i]
		if i == 0 || s.Phase != sim.PhaseTalk || tr.Samples[i-1].Phase != sim.PhaseListen {
			continue
		}
		b := tr.comeBack(i)
		b.Quality, b.weight = tr.backWorth(i)
		m.ComeBacks = append(m.ComeBacks, b)
		times = append(times, b.BackS)
	}
	if len(times) > 0 {
		m.ComeBackMedianS = rounded(median(times))
	}
}

// comeBack measures the come-back of the over that starts at sample i.
func (tr *Trace) comeBack(i int) ComeBack {
	s, last := &tr.Samples[i], tr.Samples[i-1].OffsetHz
	b := ComeBack{Over: s.Over, Tick: s.Tick, StartHz: round(last), RateHzS: round(s.RateHzS), BackS: backCapS}
	start := i - 1
	for start > 0 && tr.Samples[start-1].Phase == sim.PhaseListen {
		start--
	}
	var drift float64
	for k := start; k < i; k++ {
		drift += tr.Samples[k].RateHzS * sampleS
	}
	b.DriftHz = round(drift)
	b.MovedHz = round(last - tr.Samples[start].OffsetHz)
	need, good := samplesIn(backForS), 0
	for k := i; k < len(tr.Samples) && tr.Samples[k].Phase == sim.PhaseTalk; k++ {
		t := &tr.Samples[k]
		if t.Keyed && t.InPassband && math.Abs(t.OffsetHz) < backWithinHz {
			good++
		} else {
			good = 0
		}
		if good > need {
			if r := seconds(k - need - i); r < backCapS {
				b.BackS, b.Back = round(r), true
			}
			break
		}
	}
	return b
}

// backWorth is the quality of the over that starts at sample i, each moment
// counted less the later it is; weight is the sum of the counts.
func (tr *Trace) backWorth(i int) (quality, weight float64) {
	to := i
	for to < len(tr.Samples) && tr.Samples[to].Phase == sim.PhaseTalk {
		to++
	}
	for n := samplesIn(keyingS); n > 0 && i < to && !tr.Samples[i].Keyed; n-- {
		i++
	}
	var sum float64
	w, fade := 1.0, math.Exp(-sampleS/backFadeS)
	for ; i < to; i++ {
		sum += float64(w * worth(&tr.Samples[i]))
		weight += w
		w *= fade
	}
	if weight == 0 {
		return 0, 0
	}
	return sum / weight, weight
}

func median(x []float64) float64 {
	y := append([]float64(nil), x...)
	sort.Float64s(y)
	n := len(y)
	if n == 0 {
		return 0
	}
	if n%2 == 1 {
		return y[n/2]
	}
	return (y[n/2-1] + y[n/2]) / 2
}

func (tr *Trace) measureDiscipline(m *Marks) {
	var others, above, outside, his, call, longest, searching int
	for i := range tr.Samples {
		s := &tr.Samples[i]
		if i > 0 && s.Rule == sim.RuleUplink {
			m.ReceiveTravelHz += math.Abs(float64(s.ReceiveHz - tr.Samples[i-1].ReceiveHz))
		}
		before := !tr.HasFound || s.Tick < tr.FoundAt
		searching += count(s.Keyed && before)
		if s.Keyed && before && (m.Formula == 1 || !s.hearable()) {
			call++
			longest = max(longest, call)
		} else {
			call = 0
		}
		if !s.Keyed {
			continue
		}
		others += count(s.NearestHz < onOthersHz)
		above += count(s.InPassband && s.BeaconDB > 0)
		outside += count(!s.InPassband)
		his += count(s.Phase == sim.PhaseListen)
	}
	m.OnOthersS, m.AboveBeaconS = round(seconds(others)), round(seconds(above))
	m.OutsideS, m.OverHisS, m.LongestCallS = round(seconds(outside)), round(seconds(his)), round(seconds(longest))
	m.KeyedBeforeS, m.ReceiveTravelHz = round(seconds(searching)), round(m.ReceiveTravelHz)
}
