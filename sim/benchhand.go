package sim

// benchHand is how a human-like hand works at the radios: down the list, one
// setting after another, at a pace by its skill, and passing over some.
type benchHand struct {
	setting BenchSetting // that he looks at next
	at      Tick         // when he does
}

// A look at one setting takes so long, from a first evening to an expert, and so
// great a share of what is wrong is passed over by who knows nothing, falling by the
// square to none: choices of this
// project. Once the bird is up he looks again, for he hears that something is wrong.
const (
	benchSlowS = 9.0
	benchFastS = 2.0
	benchMiss  = 0.9
)

// bench works on the radios.
func (h *humanHand) bench(s *State, post func(CommandKind, int64)) {
	b := &h.desk
	if h.setup == nil || h.setup.Bench == nil || s.Tick < b.at || s.Found {
		return
	}
	b.at = s.Tick + seconds(benchSlowS+float64(h.wits*(benchFastS-benchSlowS)))
	if b.setting == BenchSettings && !s.Bench.Above {
		return // once through
	}
	k := b.setting % BenchSettings
	b.setting = k + 1
	if s.Bench.Right[k] || h.g.Float64() < float64(benchMiss*float64((1-h.wits)*(1-h.wits))) {
		return
	}
	post(k.Command(), h.setup.Bench.Wants[k])
}

// setRight sets everything as the card wants it, at once.
func setRight(b *Bench, s *State, post func(CommandKind, int64)) {
	if s.Bench.Above || s.Tick < seconds(1) {
		return
	}
	for k := range BenchSettings {
		if !s.Bench.Right[k] {
			post(k.Command(), b.Wants[k])
		}
	}
}
