package recording

import "math"

// Whose carrier is it? Nothing but its keying tells: it goes with the sidetone,
// or it sends the own call. Where there is neither, a carrier is taken for the
// own only while nobody else's is heard.
const (
	steadyHz    = 3.0  // a sidetone stays so near to its middle
	sameHz      = 6.0  // and all of it so near together
	alike       = 0.45 // correlation of a track's keying with the own from which it is its return
	mostLag     = 16   // hops, 0.4 s: the longest delay of the return
	leastKeyedS = 0.15 // of a track
	leastOwnS   = 1.0  // of keying that can be recognised
	wordHops    = 32   // 0.8 s: a longer pause is none between words
	overlapRows = 8    // by which they may overlap: what a line is looked for in
	chainHz     = 250  // a turn of the knob between them
	lastTracks  = 4    // of a chain, to one of which the next must go on
	overHz      = 20   // by which a sending may miss where the last would have gone
	otherShare  = 0.15 // of all keying that may be somebody else's without doubt about whose the rest is
	beaconShare = 0.95 // of its time for which a beacon's key is down
	beaconS     = 8.0
)

// toneFound is what a recording of tones holds.
type toneFound struct {
	own     []*toneTrack
	pitchHz float64 // of zero beat; 0 = not known
	lag     int     // hops from the own key to the return; -1 = not known
	certain bool    // the keying says so
	several bool    // nothing tells whose
	none    bool    // no carrier
	hidden  float64 // Hz of a sidetone in the receiver's sound, which hides what is near; 0 for none
	keys    []bool  // the own key by hops, from the sidetone; nil = not known
}

// heardTracks are the tracks with enough keying.
func (t *toneTracker) heardTracks() []*toneTrack {
	var out []*toneTrack
	for _, a := range t.done {
		if a.onS() >= leastKeyedS {
			out = append(out, a)
		}
	}
	sortBy(out, func(a, b *toneTrack) bool { return a.first < b.first })
	return out
}

// sidetone finds the tone that stands still and is keyed most, near a pitch
// where one is given: its tracks and its pitch.
func sidetone(tracks []*toneTrack, pitchHz float64) (found []*toneTrack, hz float64) {
	best := 0.0
	for _, a := range tracks {
		middle, spread := a.middleHz()
		if spread > steadyHz || pitchHz > 0 && math.Abs(middle-pitchHz) > sameHz {
			continue
		}
		var same []*toneTrack
		sum, weight := 0.0, 0.0
		for _, b := range tracks {
			if m, s := b.middleHz(); s <= steadyHz && math.Abs(m-middle) <= sameHz/2 {
				w := b.onS()
				same, sum, weight = append(same, b), sum+w*m, weight+w
			}
		}
		if weight > best {
			best, found, hz = weight, same, sum/weight
		}
	}
	if best < leastOwnS {
		return nil, 0
	}
	return found, hz
}

// keysOf is when the key was down in tracks, by hops.
func keysOf(tracks []*toneTrack) []bool {
	var keys []bool
	for _, a := range tracks {
		from := a.firstHop()
		for k, on := range a.keying() {
			if h := from + k; on && h >= 0 {
				for len(keys) <= h {
					keys = append(keys, false)
				}
				keys[h] = true
			}
		}
	}
	return keys
}

// likeness is the correlation of a track's amplitude with keys that come lag
// hops before it.
func (a *toneTrack) likeness(keys []bool, lag int) float64 {
	level := a.level()
	from := a.firstHop() - lag
	var n, x1, x2, y1, xy float64
	for k, v := range a.on {
		x := math.Min(float64(v)/level, 1.5)
		y := 0.0
		if h := from + k; h >= 0 && h < len(keys) && keys[h] {
			y = 1
		}
		n, x1, x2, y1, xy = n+1, x1+x, x2+x*x, y1+y, xy+x*y
	}
	d := (x2 - x1*x1/n) * (y1 - y1*y1/n)
	if d <= 0 {
		return 0
	}
	return (xy - x1*y1/n) / math.Sqrt(d)
}

// returnsOf finds the tracks that are keyed as keys, all with one delay.
func returnsOf(tracks []*toneTrack, keys []bool) (own []*toneTrack, lag int) {
	best := 0.0
	for l := 0; l <= mostLag; l++ {
		sum := 0.0
		var these []*toneTrack
		for _, a := range tracks {
			if r := a.likeness(keys, l); r >= alike {
				sum += r * a.onS()
				these = append(these, a)
			}
		}
		if sum > best {
			best, own, lag = sum, these, l
		}
	}
	return own, lag
}

// without returns the tracks that are not among others.
func without(tracks, others []*toneTrack) []*toneTrack {
	var out []*toneTrack
	for _, a := range tracks {
		found := false
		for _, b := range others {
			found = found || a == b
		}
		if !found {
			out = append(out, a)
		}
	}
	return out
}

// ownByMic finds the own carrier by the sidetone on the other side.
func ownByMic(rx, mic *toneTracker, opt Options) (f toneFound, ok bool) {
	side, hz := sidetone(mic.heardTracks(), 0)
	if side == nil {
		return f, false
	}
	f = toneFound{pitchHz: hz, keys: keysOf(side), certain: true}
	if opt.PitchHz > 0 {
		f.pitchHz = opt.PitchHz
	}
	f.own, f.lag = returnsOf(rx.heardTracks(), f.keys)
	return f, len(f.own) > 0
}

// ownAlone finds the own carrier in the receiver alone.
func ownAlone(rx *toneTracker, opt Options) toneFound {
	tracks := rx.heardTracks()
	f := toneFound{pitchHz: opt.PitchHz, lag: -1, none: len(tracks) == 0}
	if side, hz := sidetone(tracks, opt.PitchHz); side != nil {
		rest := without(tracks, side)
		if own, lag := returnsOf(rest, keysOf(side)); len(own) > 0 {
			f.own, f.lag, f.certain, f.keys, f.hidden = own, lag, true, keysOf(side), hz
			if f.pitchHz == 0 {
				f.pitchHz = hz
			}
			return f
		}
	}
	chains := chainsOf(rx, tracks, opt.Call == "")
	if opt.Call != "" {
		f.own = callersOf(chains, opt.Call)
		f.certain = len(f.own) > 0
		f.several = len(f.own) == 0 && len(chains) > 0
		return f
	}
	chains = withoutBeacons(chains)
	best, all := -1, 0.0
	for i := range chains {
		all += chains[i].onS()
		if best < 0 || chains[i].onS() > chains[best].onS() {
			best = i
		}
	}
	switch {
	case best < 0:
	case chains[best].onS() < (1-otherShare)*all:
		f.several = true
	default:
		f.own = chains[best]
	}
	return f
}

// toneChain is one sending, perhaps with turns of the knob in it, and others
// that go on where it would have gone.
type toneChain []*toneTrack

func (c toneChain) onS() float64 {
	sum := 0.0
	for _, a := range c {
		sum += a.onS()
	}
	return sum
}

// chainsOf joins tracks: a turn of the knob breaks a track but not the chain.
// over joins over pauses too what goes on where it would have gone.
func chainsOf(t *toneTracker, tracks []*toneTrack, over bool) []toneChain {
	var chains []toneChain
	for _, a := range tracks {
		best, least := -1, math.Inf(1)
		for i, c := range chains {
			for _, b := range c[max(0, len(c)-lastTracks):] {
				jump := t.jump(b, a, over)
				if jump < least {
					best, least = i, jump
				}
			}
		}
		if best >= 0 {
			chains[best] = append(chains[best], a)
		} else {
			chains = append(chains, toneChain{a})
		}
	}
	return chains
}

// jump is by how far a track misses where another would have gone, +Inf where
// they cannot be one sending.
func (t *toneTracker) jump(b, a *toneTrack, over bool) float64 {
	_, end := b.onHops()
	begin, _ := a.onHops()
	most := float64(overHz)
	switch {
	case a.first-b.last < -overlapRows:
		return math.Inf(1)
	case begin-end <= wordHops:
		most = chainHz
	case !over:
		return math.Inf(1)
	}
	jump := math.Abs(a.lines[0].hz - t.course(b, a.first))
	if jump > most {
		return math.Inf(1)
	}
	return jump
}

// withoutBeacons leaves out carriers that are never keyed, where there are others.
func withoutBeacons(chains []toneChain) []toneChain {
	var keyed []toneChain
	for _, c := range chains {
		length := 0.0
		for _, a := range c {
			length += float64(len(a.lines)) * RowS
		}
		if length < beaconS || c.onS() < beaconShare*length {
			keyed = append(keyed, c)
		}
	}
	if len(keyed) == 0 {
		return chains
	}
	return keyed
}
