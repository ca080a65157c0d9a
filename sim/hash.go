package sim

import (
	"math"
	"regexp"
)

const (
	hashSeed  = 14695981039346656037 // FNV-1a, 64 bit
	hashPrime = 1099511628211
)

// fold64 folds the eight bytes of a value into a hash.
func fold64(h uint64, v uint64) uint64 {
	for i := 0; i < 8; i++ {
		h ^= v & 0xff
		h *= hashPrime
		v >>= 8
	}
	return h
}

// machine matches what a header says of the machine and the toolchain, and
// what stands before it.
var machine = regexp.MustCompile(`^(\{"driftdrill_sheet":\d+,(?:"program":"[^"\\]*",)?)"goos":"[^"\\]*","goarch":"[^"\\]*","go":"[^"\\]*",`)

// chainHeader begins a sheet's chain with its first line, byte by byte, but for
// what it says of the machine: the same run gives the same chain on any.
func chainHeader(line []byte) uint64 {
	h := uint64(hashSeed)
	for _, b := range machine.ReplaceAll(line, []byte("$1")) {
		h ^= uint64(b)
		h *= hashPrime
	}
	return h
}

// chainCommand folds a command into a sheet's chain.
func chainCommand(h uint64, c *Command) uint64 {
	h = fold64(h, uint64(c.Tick))
	for i := 0; i < len(c.Kind); i++ {
		h ^= uint64(c.Kind[i])
		h *= hashPrime
	}
	return fold64(h, uint64(c.Value))
}

// chainState folds the hash of a state into a sheet's chain.
func chainState(h, state uint64) uint64 { return fold64(h, state) }

// hashState folds a state into a hash. Continuous values are rounded first,
// coarsely enough that processors which differ in the last bits of SGP4 agree.
func hashState(h uint64, s *State) uint64 {
	add := func(v int64) { h = fold64(h, uint64(v)) }
	near := func(v, step float64) { add(int64(math.Round(v / step))) }
	flag := func(bits ...bool) {
		n := int64(0)
		for _, b := range bits {
			n <<= 1
			if b {
				n |= 1
			}
		}
		add(n)
	}
	add(int64(s.Tick))
	add(s.UplinkHz)
	add(s.ReceiveHz)
	add(int64(s.StepHz))
	add(int64(s.Phase))
	add(int64(s.Over))
	add(int64(s.FoundAt))
	add(int64(s.Contacts))
	flag(s.Fast, s.Keyed, s.Latched, s.Assigned, s.InPassband, s.Found, s.TransponderOn, s.AidsOn)
	if s.ByHand { // older sheets have none
		flag(s.Carrier)
		for _, b := range s.Sent {
			add(int64(b))
		}
	}
	near(s.OffsetHz, 0.1)
	near(s.SNRDB, 0.1)
	add(int64(s.NumSignals))
	for i := range s.Signals[:s.NumSignals] {
		g := &s.Signals[i]
		flag(g.On)
		near(g.OffsetHz, 0.1)
		add(int64(g.Script))
	}
	s.Exercise.hash(add)
	s.Bench.hash(add)
	return h
}
